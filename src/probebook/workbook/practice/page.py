"""What the practice cell shows, as HTML: the case, the question, why it was chosen, how far each outcome is known."""

from __future__ import annotations

import base64
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from probebook.learning.mastery import Known
from probebook.learning.rules import Course
from probebook.words import Noun, Phrase, Words
from probebook.workbook import markup
from probebook.workbook.forms.view import marks_words
from probebook.workbook.practice.facts import KnownTable, Owed, PracticeHead

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.workbook.pages.prompts import Page
    from probebook.workbook.practice.fresh import Fresh

__all__ = ["asked_html", "known_html", "page_html"]

_PICTURE = re.compile(r"!\[(?P<words>[^\]]*)\]\(attachment:(?P<name>[^)]+)\)")


def page_html(page: Page) -> str:
    """A Markdown page with its pictures in place; text is escaped, pictures are our own drawings as data."""
    parts: list[str] = []
    end = 0
    for found in _PICTURE.finditer(page.text):
        parts.append(markup.block(page.text[end : found.start()]))
        svg = page.pictures.get(found["name"])
        if svg is not None:
            data = base64.b64encode(svg.encode()).decode("ascii")
            words = markup.safe(found["words"])
            parts.append(f'<div class="pb-picture"><img src="data:image/svg+xml;base64,{data}" alt="{words}"></div>')
        end = found.end()
    parts.append(markup.block(page.text[end:]))
    return "".join(parts)


def asked_html(fresh: Fresh, library: Library) -> str:
    """The case of a fresh question, if it has one, and the question as text."""
    from probebook.workbook.pages.prompts import prompt_page

    question = fresh.question
    number = question.id.rpartition("-")[2]
    body = ""
    if fresh.case is not None:
        from probebook.workbook.pages.case import case_page

        body = page_html(case_page(fresh.case, library, number=int(number)))
    shown = prompt_page(question, library.words)
    marks = marks_words(question.marks, library.words)
    head = library.words.say(PracticeHead(number, Phrase(question.title), marks), "head")
    asked = page_html(shown)
    return f"{body}<h3>{markup.safe(head)}</h3>{asked}"


def known_html(known: Mapping[str, Known], course: Course, titles: Mapping[str, Noun], words: Words) -> str:
    """How far each outcome is known, folded away until it is asked for."""
    order = [name for name in (*course.outcomes, *sorted(set(known) - set(course.outcomes))) if name in known]
    if not order:
        return ""
    rows = "".join(
        f'<tr><th scope="row">{markup.safe(str(titles.get(name, name)))}</th>'
        f"<td>{markup.safe(_lately(known[name], words))}</td>"
        f'<td class="pb-figure">{known[name].answers}</td>'
        f"<td>{markup.safe(_standing(known[name], course, words))}</td></tr>"
        for name in order
    )
    said = {key: markup.safe(words.say(KnownTable(), key)) for key in _HEADS}
    head = (
        f'<tr><th scope="col">{said["outcome"]}</th><th scope="col">{said["lately"]}</th>'
        f'<th scope="col" class="pb-figure">{said["answers"]}</th><th scope="col">{said["standing"]}</th></tr>'
    )
    return (
        f'<details class="pb-known"><summary>{said["summary"]}</summary><table class="pb-table">'
        f"<caption>{said['caption']}</caption>{head}{rows}</table></details>"
    )


_HEADS = ("summary", "caption", "outcome", "lately", "answers", "standing")


def _lately(known: Known, words: Words) -> str:
    """The last few answers in words, oldest first."""
    return ", ".join(words.say(KnownTable(), "was-right" if fine else "was-missed") for fine in known.lately)


def _standing(known: Known, course: Course, words: Words) -> str:
    if known.owed:
        return words.say(Owed(known.owed), "owed")
    return words.say(KnownTable(), "mastered" if known.mastered(course.goal) else "learning")
