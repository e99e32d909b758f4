"""The start page as HTML: safety first, then where to go next, the workbooks, outcomes, slips, the record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from urllib.parse import quote

from probebook.page.frame import Frame, framed
from probebook.page.start.facts import Dated, Failed, SlipTimes, StartTexts, Week, Where
from probebook.page.start.learner import Danger, Done, Learner, Next, OutcomeLine
from probebook.page.start.tables import cell, marks_of, table
from probebook.words import Words
from probebook.workbook.markup import inline, safe
from probebook.workbook.practice.facts import KnownTable, Owed

__all__ = ["standing_words", "start_page", "weakest_first"]

SHEETS = ("page/static/page.css", "page/static/start.css")


def start_page(
    learner: Learner,
    frame: Frame,
    words: Words,
    left_out: Sequence[tuple[str, str]] = (),
    papers: Sequence[tuple[str, str]] = (),
) -> str:
    """The page; ``left_out`` are names of notebooks that cannot be shown with why, ``papers`` names with titles."""
    say = {key: safe(words.say(StartTexts(), key)) for key in StartTexts.says_}
    pieces = [f"<h1>{say['title']}</h1>\n"]
    pieces += _trouble(learner, words, left_out)
    sat = list(_papers(papers, say, frame))
    if not learner.workbooks:
        pieces += sat or [f"<p>{say['none']}</p>\n"]
    else:
        pieces.append(f'<p class="pb-lead">{say["lead"]}</p>\n')
        pieces += _dangers(learner.dangers, say, frame, words)
        pieces += sat
        pieces += _next(learner, say, frame, words)
        pieces += _workbooks(learner.workbooks, say, frame, words)
        pieces += _outcomes(learner, say, words)
        pieces += _slips(learner.slips, say, words)
        pieces.append(_section("record", say["record"], _record(say, frame)))
    body = f'<main id="main" tabindex="-1">\n{"".join(pieces)}</main>\n'
    return framed(frame, words.say(StartTexts(), "title"), body, sheets=SHEETS)


def _section(name: str, heading: str, html: str) -> str:
    return f'<section id="{name}" aria-labelledby="{name}-head"><h2 id="{name}-head">{heading}</h2>\n{html}</section>\n'


def _trouble(learner: Learner, words: Words, left_out: Sequence[tuple[str, str]]) -> Iterable[str]:
    for name, trouble in left_out:
        yield f'<p class="pb-notice">{safe(words.say(Failed(name, trouble), "left-out"))}</p>\n'
    if learner.trouble:
        what = words.say(StartTexts(), "outcomes")
        yield f'<p class="pb-notice">{safe(words.say(Failed(what, learner.trouble), "not-all"))}</p>\n'


def _papers(papers: Sequence[tuple[str, str]], say: dict[str, str], frame: Frame) -> Iterable[str]:
    if papers:
        ways = "".join(
            f'<li><a class="pb-way" href="{frame.home}paper/{quote(name)}">{safe(title)}</a> {safe(name)}</li>\n'
            for name, title in papers
        )
        yield _section("papers", say["papers"], f'<p>{say["papers-lead"]}</p><ul class="pb-papers">{ways}</ul>\n')


def _address(frame: Frame, workbook: str, place: str = "") -> str:
    return f"{frame.home}workbook/{quote(workbook)}" + (f"#{quote(place)}" if place else "")


# ---------------------------------------------------------------- sections


def _dangers(dangers: Sequence[Danger], say: dict[str, str], frame: Frame, words: Words) -> Iterable[str]:
    if not dangers:
        return
    items = []
    for danger in dangers:
        head = words.say(Dated(danger.question_title, danger.workbook_title, danger.time[:10]), "danger")
        place = danger.question if not danger.question.startswith("practice-") else "practice"
        after = say["mended" if danger.mended else "not-mended"]
        items.append(
            f'<li data-mended="{str(danger.mended).lower()}"><a href="{_address(frame, danger.workbook, place)}">'
            f"{safe(head)}</a><p>{inline(danger.said)}</p><p><b>{after}</b></p></li>\n"
        )
    yield _section("dangers", f"⚠ {say['dangers']}", f"<p>{say['dangers-lead']}</p><ul>{''.join(items)}</ul>\n")


def _next(learner: Learner, say: dict[str, str], frame: Frame, words: Words) -> Iterable[str]:
    """Where the learner stopped, and what suits best."""
    html = ""
    if learner.stopped is not None:
        html += f"<p>{say['stopped']}</p>{_way(learner.stopped, frame, words)}"
    if learner.next is not None:
        html += f"<p>{safe(learner.next.why)}</p>{_way(learner.next, frame, words)}"
    if html:
        yield _section("next", say["next"], html)


def _way(found: Next, frame: Frame, words: Words) -> str:
    number = found.question.removeprefix("q").lstrip("0")
    where = words.say(Where(number, found.workbook_title), f"at-{found.how}")
    place = {"question": found.question, "begin": "", "practice": "practice"}[found.how]
    address = _address(frame, found.workbook, place)
    return f'<p><a class="pb-way" href="{address}">{safe(where)}</a></p>\n'


def _workbooks(workbooks: Sequence[Done], say: dict[str, str], frame: Frame, words: Words) -> Iterable[str]:
    latest = max(workbooks, key=lambda item: item.latest)
    readers = dict.fromkeys(item.reader for item in (latest, *workbooks))
    lists = []
    for reader in readers:
        items = "".join(_workbook(item, say, frame, words) for item in workbooks if item.reader == reader)
        head = f"<h3>{say[reader]}</h3>" if reader in say and len(readers) > 1 else ""
        lists.append(f'{head}<ul class="pb-shelf">{items}</ul>\n')
    yield _section("workbooks", say["workbooks"], "".join(lists))


def _workbook(item: Done, say: dict[str, str], frame: Frame, words: Words) -> str:
    now, told = item.standings, item.standings.told(words)
    way = say["begin"] if not now.answered else say["go-on"] if now.following else say["look-again"]
    address = _address(frame, item.name, now.following if now.answered else "")
    title = safe(item.book.reading.title)
    number = item.name.partition("-")[0].lstrip("0")
    shown = f"{number} · {title}" if number.isdecimal() else title
    mark = "h4" if item.reader in say else "h3"
    return (
        f'<li class="pb-workbook" data-name="{safe(item.name)}"><{mark} id="title-{safe(item.name)}">{shown}</{mark}>'
        f"{item.book.reading.summary}"
        f'<p class="pb-stand"><progress max="{now.questions}" value="{now.answered}" aria-label="{title}"></progress> '
        f'<span>{safe(told["stand"])}</span></p><a class="pb-way" href="{address}" '
        f'aria-describedby="title-{safe(item.name)}">{way}</a></li>\n'
    )


def weakest_first(lines: Sequence[OutcomeLine]) -> list[OutcomeLine]:
    """Outcomes with a dangerous answer to make good, then those that are least known, then what is mastered."""
    return sorted(lines, key=lambda line: (-line.known.owed, line.mastered, line.known.probability))


def standing_words(line: OutcomeLine, words: Words) -> str:
    """How an outcome stands."""
    if line.known.owed:
        return words.say(Owed(line.known.owed), "owed")
    return words.say(KnownTable(), "mastered" if line.mastered else "learning")


def _outcomes(learner: Learner, say: dict[str, str], words: Words) -> Iterable[str]:
    if not learner.outcomes:
        return
    heads = [say["outcome"], say["standing"], f"#{say['answers']}"]
    heads += [f"#{safe(words.say(Week(week), 'week'))}" for week in learner.weeks]
    rows = []
    for line in weakest_first(learner.outcomes):
        weeks = [cell(marks_of(*week, words) if week[1] else say["none-in-week"], figure=True) for week in line.weeks]
        rows.append(
            [line.title, cell(safe(standing_words(line, words))), cell(str(line.known.answers), figure=True), *weeks]
        )
    html = f"<p>{say['outcomes-lead']}</p>{table(say['outcomes'], heads, rows)}"
    yield _section("outcomes", say["outcomes"], html)


def _slips(slips: Sequence[tuple[str, int]], say: dict[str, str], words: Words) -> Iterable[str]:
    if not slips:
        return
    items = "".join(f"<li>{safe(words.say(SlipTimes(name, times), 'slip'))}</li>" for name, times in slips)
    yield _section("slips", say["slips"], f"<p>{say['slips-lead']}</p><ul>{items}</ul>\n")


def _record(say: dict[str, str], frame: Frame) -> str:
    ways = "".join(
        f'<a class="pb-way" href="{frame.home}record.{kind}" download>{say[key]}</a> '
        for kind, key in (("html", "record-page"), ("json", "record-data"))
    )
    return f"<p>{say['record-lead']}</p><p>{ways}</p>\n"
