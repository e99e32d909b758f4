"""The pages of a static folder: workbooks to read and answer, benches to work on, what to look up, the list."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any

from probebook.bench.facts import Ended
from probebook.bench.table.bench_table import key_of
from probebook.cases.library import Library
from probebook.files import canonical_json
from probebook.page.facts import Listed, PageTexts, StateWords
from probebook.page.reading import Part
from probebook.page.workbook_page import SIGNS, Book
from probebook.questions.model import Question
from probebook.site.benches import PracticeBench
from probebook.site.facts import BenchListed, BenchTexts, Earned, Minutes, SiteTexts
from probebook.site.frame import framed
from probebook.site.marking import MARKS, marking_words, question_table
from probebook.words import Phrase, Words
from probebook.workbook.forms.bench_table import page_table
from probebook.workbook.forms.bench_view import view as bench_view
from probebook.workbook.markup import block, inline, safe
from probebook.workbook.pages.glossary import glossary
from probebook.workbook.pages.reference import reference_page

__all__ = ["Entry", "bench_page", "glossary_page", "index_page", "sheet_page", "workbook_page"]

INDEX = "index.html"


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the list: the file, what it is called, what is said beside it."""

    file: str
    title: str
    note: str = ""


def workbook_page(book: Book, library: Library) -> str:
    """A workbook whose questions are marked from tables."""
    words, name = library.words, book.reading.name
    questions = {question.id: question for question in book.sheet.questions}
    told = _told(name, book.sheet.questions, words)
    for table in told["questions"]:
        # Titles come again in a workbook; a reader of landmarks tells forms apart by their numbers.
        table["view"]["title"] = str(_label(questions[table["id"]], words))
    parts = "".join(_part(part, set(questions), words) for part in book.reading.parts)
    for number, drawing in enumerate(book.reading.drawings):
        parts = parts.replace(f'src="drawing:{number}"', f'src="{_as_data(drawing)}"')
    contents = _contents(book.reading.parts, questions, words)
    return _page(words, book.reading.title, _main(parts, words), told, contents=contents)


def bench_page(number: int, found: PracticeBench, library: Library) -> tuple[Entry, str]:
    """A bench that runs from its table, and its line in the list."""
    words, bench, question = library.words, found.bench, found.question
    title = str(words.say(BenchListed(number, words.noun(bench.appliance.title)), "listed"))
    name = f"bench-{number:02d}"
    told = _told(name, [question], words)
    most = bench.grading
    told["bench"] = {
        "view": bench_view(bench),
        "table": page_table(bench),
        "key": key_of(bench),
        "words": {
            **{key: inline(words.say(BenchTexts(), key)) for key in BenchTexts.says_},
            "parts": inline(
                words.say(
                    Earned(
                        Phrase("{safety}"),
                        most.safety,
                        Phrase("{economy}"),
                        most.economy,
                        Phrase("{conclusion}"),
                        most.conclusion,
                    ),
                    "parts",
                )
            ),
            "ended": inline(words.say(Ended(MARKS, Phrase("{act}"), Phrase("{what}")), "ended")).replace(
                str(MARKS), "{step}"
            ),
            "advice": {slip.slip: inline(slip.advice) for slip in question.slips if slip.critical},
        },
    }
    told["questions"][0] |= _marks_of_bench(question, most.support, words)
    told["build"] = _build(told)
    place = _place(question.id, words)
    body = f'<section class="pb-text"><h1>{safe(title)}</h1>\n{block(question.prompt)}</section>\n{place}'
    return Entry(f"{name}.html", title), _page(words, title, _main(body, words, wide=True), told)


def _marks_of_bench(question: Question, support: float, words: Words) -> dict[str, Any]:
    """The marks that a table can give: what one's readings support is not among them."""
    field = replace(question.fields[0], marks=question.marks - support)
    table = question_table(replace(question, fields=(field,)), words)
    return {key: table[key] for key in ("marks", "score")}


def sheet_page(library: Library) -> tuple[Entry, str]:
    """The reference sheet of apprentices."""
    title = str(library.words.say(SiteTexts(), "sheet"))
    body = f'<div class="pb-sheet">{_headed(block(reference_page(library, "apprentice")))}</div>'
    return _looked_up("reference", title, body, library.words)


def glossary_page(library: Library) -> tuple[Entry, str]:
    """All words that are explained."""
    title = str(library.words.say(SiteTexts(), "glossary"))
    terms = sorted(glossary(library), key=lambda term: term.word.casefold())
    rows = "".join(f"<dt>{safe(term.word)}</dt>\n<dd>{block(term.text)}</dd>\n" for term in terms)
    return _looked_up("glossary", title, f"<h1>{safe(title)}</h1>\n<dl>{rows}</dl>", library.words)


def _looked_up(name: str, title: str, body: str, words: Words) -> tuple[Entry, str]:
    main = f'<main id="main" tabindex="-1"><section class="pb-text">{body}</section></main>\n'
    return Entry(f"{name}.html", title), _page(words, title, main, _told(name, (), words))


def index_page(owners: Sequence[Entry], benches: Sequence[Entry], more: Sequence[Entry], words: Words) -> str:
    """The list of all pages."""
    say = _texts(words)
    lists = "".join(
        f"<h2>{say[key]}</h2>\n{note}{_lines(entries)}\n"
        for key, note, entries in (
            ("owners", "", owners),
            ("benches", f"<p>{say['benches-about']}</p>\n", benches),
            ("more", "", more),
        )
    )
    body = (
        f'<main id="main" tabindex="-1"><section class="pb-text"><h1>{say["title"]}</h1>\n<p>{say["about"]}</p>\n'
        f"<p>{say['private']}</p>\n{lists}<p>{say['open-key']}</p>\n{_buttons(words, 'save-all')}</section></main>\n"
    )
    return _page(words, str(words.say(SiteTexts(), "title")), body, _told("index", (), words))


def _lines(entries: Sequence[Entry]) -> str:
    return f'<ul class="pb-pages">{"".join(map(_line, entries))}</ul>'


def _line(entry: Entry) -> str:
    note = f' <span class="pb-faint">{safe(entry.note)}</span>' if entry.note else ""
    return f'<li><a href="{entry.file}">{safe(entry.title)}</a>{note}</li>\n'


def minutes_note(minutes: int, words: Words) -> str:
    """How long a workbook takes, in words."""
    return str(words.say(Minutes(minutes), "minutes"))


# ---------------------------------------------------------------- pieces


def _texts(words: Words) -> dict[str, str]:
    return {key: safe(words.say(SiteTexts(), key)) for key in SiteTexts.says_}


def _told(name: str, questions: Sequence[Question], words: Words) -> dict[str, Any]:
    tables = [question_table(question, words) for question in questions]
    told: dict[str, Any] = {
        "name": name,
        "questions": tables,
        "marking": marking_words(words),
        "words": {key: str(words.say(SiteTexts(), key)) for key in ("kept", "not-kept", "forgotten")},
    }
    return {**told, "build": _build(told)}


def _build(told: dict[str, Any]) -> str:
    """What a page's answers belong to: other questions, other answers."""
    made_of = canonical_json({key: value for key, value in told.items() if key != "build"})
    return sha256(made_of.encode()).hexdigest()[:16]


def _page(words: Words, title: str, main: str, told: dict[str, Any], *, contents: str = "") -> str:
    say = _texts(words)
    home = "" if told["name"] == "index" else f'<a class="pb-home" href="{INDEX}">{say["home"]}</a>'
    bar = (
        f'<a class="pb-skip" href="#main">{say["skip"]}</a>\n<header class="pb-top pb-static">'
        f'<div class="pb-bar">{home}<span class="pb-title">{safe(title)}</span></div></header>\n'
        f'<noscript><p class="pb-banner">{say["no-script"]}</p></noscript>\n'
    )
    return framed(words.language.tag, title, bar + contents + main, told)


def _main(body: str, words: Words, *, wide: bool = False) -> str:
    kind = ' class="pb-whole"' if wide else ""
    return f'<main id="main" tabindex="-1"{kind}>\n{body}{_buttons(words, "save")}</main>\n'


def _buttons(words: Words, saves: str) -> str:
    say = _texts(words)
    return (
        f'<div class="pb-keeping pb-no-print"><p id="pb-kept" role="status"></p>'
        f'<p><button type="button" data-does="{saves}">{say[saves]}</button> '
        f'<button type="button" data-does="forget">{say["forget"]}</button></p></div>\n'
    )


def _contents(parts: Sequence[Part], questions: dict[str, Question], words: Words) -> str:
    rows = []
    for part in parts:
        if part.kind == "ask" and part.question in questions:
            label = _label(questions[part.question], words)
            rows.append(
                f'<li data-question="{safe(part.question)}" data-state="open"><a href="#{safe(part.question)}">'
                f"{safe(label)}</a>{_states(words)}</li>"
            )
        elif part.heading and not part.question and part.kind != "reference":
            rows.append(f'<li class="pb-section"><a href="#{part.anchor}">{safe(part.heading)}</a></li>')
    title = safe(words.say(PageTexts(), "contents"))
    return (
        f'<nav class="pb-index pb-no-print" aria-label="{title}"><details><summary>{title}</summary>'
        f"<ul>{''.join(rows)}</ul></details></nav>\n"
    )


def _label(question: Question, words: Words) -> Phrase:
    """A question's number and title."""
    number = question.id.removeprefix("q").lstrip("0")
    return words.say(Listed(number, Phrase(question.title)), "question")


def _states(words: Words) -> str:
    """How a question may stand; the style shows the one that holds."""
    return "".join(
        f' <span class="pb-is" data-is="{key}">{SIGNS[key]} {safe(words.say(StateWords(), key))}</span>'
        for key in StateWords.says_
    )


def _part(part: Part, known: set[str], words: Words) -> str:
    if part.kind in ("text", "reference"):
        kind = "pb-text pb-sheet" if part.kind == "reference" else "pb-text"
        return f'<section class="{kind}">{part.html}</section>\n'
    return _place(part.question, words) if part.question in known else ""


def _place(question: str, words: Words) -> str:
    coming = safe(words.say(PageTexts(), "coming"))
    return f'<div class="pb-place pb-ask" data-place="{safe(question)}"><p class="pb-coming">{coming}</p></div>\n'


def _headed(html: str) -> str:
    """A sheet on a page of its own: its heading is the page's."""
    raised = html.replace("<h2", "<h1", 1).replace("</h2>", "</h1>", 1)
    return raised.replace("<h3", "<h2").replace("</h3>", "</h2>")


def _as_data(drawing: bytes) -> str:
    return f"data:image/svg+xml;base64,{b64encode(drawing).decode('ascii')}"
