"""The page of a workbook: its text and drawings at once, the places of its forms, contents and progress."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any
from urllib.parse import quote

from probebook.errors import JournalError
from probebook.page.facts import Listed, PageTexts, StateWords, Troubles
from probebook.page.frame import BUNDLE, Frame, framed
from probebook.page.reading import Part, Reading
from probebook.page.standing import Standings, page_words, standings
from probebook.questions.codec import Sheet
from probebook.words import Phrase, Words
from probebook.workbook.forms.verdict import score_words
from probebook.workbook.forms.view import asked, from_response, view
from probebook.workbook.journal import SUFFIX, Entry, History, read_journal
from probebook.workbook.language import sheet_words
from probebook.workbook.markup import safe

__all__ = ["Book", "sheet_page", "workbook_page"]

SIGNS = {"open": "○", "right": "✓", "partly": "◐", "wrong": "✗"}


@dataclass(frozen=True, slots=True)
class Book:
    """A workbook as it lies on disk: what there is to read, its key, the folder they and the answers lie in."""

    reading: Reading
    sheet: Sheet
    folder: Path

    def history(self) -> History:
        """The answers given so far; none where they cannot be read, which the kernel will say."""
        try:
            return read_journal(self.folder / f"{self.reading.name}{SUFFIX}", origin=self.reading.name)
        except JournalError:
            return History()


def workbook_page(book: Book, frame: Frame) -> str:
    """The page as HTML."""
    words = page_words(frame.language)
    by_question: dict[str, list[Entry]] = {}
    for entry in book.history().entries:
        by_question.setdefault(entry.question, []).append(entry)

    def of(question: str) -> Sequence[Entry]:
        return by_question.get(question, ())

    now = standings(book.sheet, of, sheet_words(book.sheet))
    name = book.reading.name
    told = {
        "name": name,
        "base": frame.base,
        "static": frame.static,
        "kernel": f"{frame.home}workbook/{quote(name)}/kernel",
        "home": sha256(f"{book.folder}/{name}".encode()).hexdigest()[:16],
        "forms": _forms(book, of),
        "words": {
            **{key: words.say(Troubles(), key) for key in Troubles.says_},
            **{key: words.say(StateWords(), key) for key in StateWords.says_},
            "elsewhere": words.say(PageTexts(), "elsewhere"),
            "elsewhereLink": words.say(PageTexts(), "elsewhere-link"),
        },
        "elsewhere": f"{frame.base}doc/tree/{quote(name)}.ipynb",
        "signs": SIGNS,
    }
    stamp = sha256(repr(book.reading.drawings).encode()).hexdigest()[:12] if book.reading.drawings else "0"
    drawn = f'src="{frame.home}workbook/{quote(name)}/drawing/{stamp}/'
    body = _bar(book, now, words, frame) + _main(book, now, words).replace('src="drawing:', drawn)
    return framed(frame, book.reading.title, body, sheets=(BUNDLE,), entry="page/static/page.js", told=told)


def sheet_page(book: Book, frame: Frame) -> str:
    """The reference sheet of a workbook as a page of its own, for screen and print."""
    words = page_words(frame.language)
    title = words.say(PageTexts(), "sheet")
    address = f"{frame.home}workbook/{quote(book.reading.name)}"
    sheet = book.reading.sheet.replace("<h2 ", "<h1 ", 1).replace("</h2>", "</h1>", 1)
    back = f'<p class="pb-no-print"><a href="{address}">{safe(book.reading.title)}</a></p>\n'
    body = f'<main id="main" class="pb-sheet" tabindex="-1">\n{back}{sheet}</main>\n'
    return framed(frame, title, body, sheets=("page/static/page.css", "page/static/lessons.css"))


def _forms(book: Book, of: Any) -> dict[str, Any]:
    """What each form shows before the kernel is there: the question, and the answer that was given last."""
    words = sheet_words(book.sheet)
    found = {}
    for question in book.sheet.questions:
        if question.bench:
            continue
        given = of(question.id)
        response = given[-1].response if given else {}
        found[question.id] = {
            "view": view(question, words),
            "answer": [from_response(field, response.get(field.key)) for field in asked(question)],
            "score": "" if given else score_words(question, None, 0, words),
        }
    return found


def _bar(book: Book, now: Standings, words: Words, frame: Frame) -> str:
    texts = PageTexts()
    say = {key: safe(words.say(texts, key)) for key in PageTexts.says_}
    told = now.told(words)
    return (
        f'<a class="pb-skip" href="#main">{say["skip"]}</a>\n'
        f'<header class="pb-top"><div class="pb-bar"><a class="pb-home" href="{frame.home}">{say["all-workbooks"]}</a>'
        f'<span class="pb-title">{safe(book.reading.title)}</span>'
        f'<span class="pb-stand"><progress id="pb-done" max="{now.questions}" value="{now.answered}" '
        f'aria-label="{say["progress"]}"></progress> <span id="pb-stand">{safe(told["stand"])}</span></span>'
        f'<button type="button" id="pb-open-contents" aria-expanded="false" aria-controls="pb-contents">'
        f"{say['contents']}</button></div>\n"
        '<div id="pb-trouble" class="pb-banner" role="status"></div>\n'
        f'<nav id="pb-contents" class="pb-contents" aria-label="{say["contents"]}">'
        f"{_contents(book, now, words, frame)}</nav></header>\n"
    )


def _contents(book: Book, now: Standings, words: Words, frame: Frame) -> str:
    """The reference sheet, sections, and the questions in each."""
    titles = {question.id: question.title for question in book.sheet.questions}
    rows: list[str] = []
    for part in book.reading.parts:
        if part.kind == "ask" and part.question in titles:
            number = part.question.removeprefix("q").lstrip("0")
            label = words.say(Listed(number, Phrase(titles[part.question])), "question")
            state = now.states[part.question]
            rows.append(
                f'<li class="pb-listed" data-question="{safe(part.question)}" data-state="{state}">'
                f'<a href="#{safe(part.question)}" data-sign="{SIGNS[state]}" '
                f'aria-label="{safe(label)}, {safe(words.say(StateWords(), state))}">{safe(label)}</a></li>'
            )
        elif part.heading and not part.question and part.kind != "reference":
            rows.append(f'<li class="pb-section"><a href="#{part.anchor}">{safe(part.heading)}</a></li>')
    if book.reading.sheet:
        address = f"{frame.home}sheet/{quote(book.reading.name)}"
        sheet = safe(words.say(PageTexts(), "sheet"))
        rows.insert(0, f'<li class="pb-section"><a href="{address}" target="_blank">{sheet}</a></li>')
    return f"<ul>{''.join(rows)}</ul>"


def _main(book: Book, now: Standings, words: Words) -> str:
    told = now.told(words)
    texts = {key: safe(words.say(PageTexts(), key)) for key in PageTexts.says_}
    link = f'<a id="pb-go-on" href="#{safe(now.following)}"' + (" hidden" if not now.following else "")
    going_on = (
        f'<p class="pb-going-on">{link}>{safe(told["goOn"])}</a></p>\n<div id="pb-notices" role="status"></div>\n'
    )
    known = {question.id for question in book.sheet.questions}
    pieces: list[str] = []
    for number, part in enumerate(book.reading.parts):
        pieces.append(_part(part, texts, now, known))
        if number == 0:
            pieces.append(going_on)
    return f'<main id="main" class="pb-text" tabindex="-1">\n{"".join(pieces)}</main>\n'


def _part(part: Part, texts: dict[str, str], now: Standings, known: set[str]) -> str:
    if part.kind == "text":
        return part.html
    if part.kind == "progress":
        named = f'tabindex="0" role="region" aria-label="{texts["progress"]}"'
        return f'<div class="pb-place" data-place="progress" {named}>{now.table}</div>\n'
    if part.kind == "practice":
        coming = f'<p class="pb-coming">{texts["practice-coming"]}</p>'
        place = f'<div class="pb-place" id="practice" data-place="practice">{coming}</div>'
        return f'{place}\n<div data-place="fresh"></div>\n<div data-place="known"></div>\n'
    if part.kind == "reference" or part.question not in known:
        return ""
    return (
        f'<div class="pb-place pb-ask" data-place="{safe(part.question)}">'
        f'<p class="pb-coming">{texts["coming"]}</p></div>\n'
    )
