"""What the practice cell shows, as HTML: the case, the question, why it was chosen, how far each outcome is known."""

from __future__ import annotations

import base64
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from probebook.questions.course import Course
from probebook.questions.mastery import Known
from probebook.workbook import markup
from probebook.workbook.inputs import marks_words
from probebook.workbook.style import STYLE

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.workbook.fresh import Fresh
    from probebook.workbook.pages import Page

__all__ = ["HEAD", "asked_html", "known_html", "page_html", "status_html"]

HEAD = (
    STYLE
    + """<style>
.pb-form.pb-practice { max-width: 60rem; }
.pb-practice .widget-html, .pb-practice .widget-html-content { min-width: 0; max-width: 100%; }
.pb-practice .pb-form { border: 0; padding: 0; margin: 0; }
.pb-practice .widget-dropdown { width: auto; max-width: 100%; height: auto; flex-wrap: wrap; gap: 6px; }
.pb-practice .widget-dropdown > label { width: auto; font-weight: 600; color: var(--jp-ui-font-color1, #1c1c1c); }
.pb-practice .widget-dropdown > select { height: 34px; max-width: 26rem; min-width: 0; font-size: 14px;
  color: var(--jp-ui-font-color1, #1c1c1c); background-color: var(--jp-layout-color0, #fff);
  border: 1px solid var(--jp-ui-font-color2, #595959); border-radius: 4px; }
.pb-practice select:focus-visible { outline: 3px solid var(--jp-brand-color1, #1976d2); outline-offset: 2px; }
.pb-practice > .jupyter-button { align-self: flex-start; }
.pb-page { color: var(--jp-ui-font-color1, #1c1c1c); overflow-wrap: anywhere; }
.pb-page h2, .pb-page h3 { margin: 14px 0 6px; font-size: 1.15em; line-height: 1.3; }
.pb-page img { max-width: 100%; height: auto; border-radius: 6px; }
.pb-page table { display: block; overflow-x: auto; border-collapse: collapse; margin: 6px 0; font-size: inherit; }
.pb-page th, .pb-page td { padding: 4px 12px 4px 8px; text-align: left; vertical-align: top; overflow-wrap: normal;
  border-bottom: 1px solid var(--jp-border-color2, #d5d5d5); }
.pb-page p { margin: 6px 0; }
.pb-page .pb-picture { overflow-x: auto; }
@media (max-width: 480px) { .pb-page .pb-picture img { max-width: none; width: 42rem; } }
.pb-known summary { cursor: pointer; font-weight: 600; color: var(--jp-ui-font-color1, #1c1c1c); padding: 4px 0; }
</style>"""
)

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
    from probebook.workbook.pages import question_page

    question = fresh.question
    number = question.id.rpartition("-")[2]
    body = ""
    if fresh.case is not None:
        from probebook.workbook.casepage import case_page

        body = page_html(case_page(fresh.case, library, number=int(number)))
    shown = question_page(question)
    text = shown.text.partition("\n\n")[2]
    head = f"Practice {number} · {question.title} ({marks_words(question.marks)})"
    asked = page_html(type(shown)(text, shown.pictures))
    return f'<div class="pb-page">{body}<h3>{markup.safe(head)}</h3>{asked}</div>'


def status_html(text: str, trouble: str = "") -> str:
    """A sentence that a screen reader speaks as it changes."""
    more = f'<p class="pb-note">{markup.safe(trouble)}</p>' if trouble else ""
    return f'<div class="pb-notice" role="status"><p>{markup.safe(text)}</p>{more}</div>'


def known_html(known: Mapping[str, Known], course: Course, titles: Mapping[str, str]) -> str:
    """How far each outcome is known, folded away until it is asked for."""
    order = [name for name in (*course.outcomes, *sorted(set(known) - set(course.outcomes))) if name in known]
    if not order:
        return ""
    rows = "".join(
        f'<tr><th scope="row">{markup.safe(titles.get(name, name))}</th>'
        f'<td class="pb-figure">{known[name].probability:.2f}</td>'
        f'<td class="pb-figure">{known[name].answers}</td><td>{_standing(known[name], course)}</td></tr>'
        for name in order
    )
    head = (
        '<tr><th scope="col">Outcome</th><th scope="col" class="pb-figure">Known</th>'
        '<th scope="col" class="pb-figure">Answers</th><th scope="col">Standing</th></tr>'
    )
    return (
        '<details class="pb-known"><summary>How far you are with each outcome</summary><table class="pb-table">'
        f"<caption>Probability that you know it, judged from first answers</caption>{head}{rows}</table></details>"
    )


def _standing(known: Known, course: Course) -> str:
    if known.owed:
        return f"⚠ a dangerous answer; {known.owed} faultless in a row to go"
    return "✔ mastered" if known.mastered(course.goal) else "being learnt"
