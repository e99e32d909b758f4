"""A paper as one notebook file: what is read, what the forms are told, and nothing that tells an answer.

The forms of a notebook that is sat need the question as it is shown and no more: :func:`sitting_data` gives that, field
by field, and the notebook carries it in its metadata.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from probebook.assessment.model import Item, Paper, PaperSet, Safety
from probebook.assessment.setting.facts import PaperCells, PaperHead, PaperTitle
from probebook.assessment.sitting.facts import KeepButton
from probebook.words import Phrase, Words
from probebook.words.words import ENGLISH
from probebook.workbook import markup
from probebook.workbook.build.compiling import Cell
from probebook.workbook.build.notebook import document_text
from probebook.workbook.forms.view import view
from probebook.workbook.pages.prompts import Page, caution, options_text, question_page

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["paper_text", "sitting_data"]

#: The file of sentences that a paper carries with it.
CARRIED = "assessment/sitting"
#: A drawing as it stands in the text of a case.
DRAWING = re.compile(r"\(data:(?P<kind>image/svg\+xml);base64,(?P<data>[A-Za-z0-9+/=]+)\)")


def paper_text(paper: Paper, papers: PaperSet, library: Library) -> str:
    """The notebook of a paper, in the language of ``library``."""
    words, blueprint = library.words, papers.blueprint
    name = blueprint.paper_name(paper.learner)
    head = PaperHead(
        name=markup.plain(paper.learner.name),
        learner=paper.learner.id,
        minutes=blueprint.minutes_for(paper.learner),
        questions=len(paper.items),
        marks=paper.marks,
    )
    told = [words.say(PaperTitle(Phrase(blueprint.title)), "title"), blueprint.summary]
    danger = ("danger",) if blueprint.safety is Safety.PAPER else ()
    told += [words.say(head, key).strip() for key in ("learner", "time", "rules", *danger)]
    line = f'from probebook.assessment.sitting import open_paper; paper = open_paper("{name}")'
    cells = [
        Cell("title", "\n\n".join(told)),
        Cell("caution", caution(library, blueprint.reader)),
        Cell("open", line, code=True, reads=words.say(PaperCells(), "open")),
    ]
    for item in paper.items:
        cells += _item_cells(item, words)
    cells += [
        Cell("review", "paper.review()", code=True, reads=words.say(PaperCells(), "review")),
        Cell("hand-in", "paper.hand_in()", code=True, reads=words.say(PaperCells(), "hand-in")),
    ]
    mark: dict[str, Any] = {"paper": name, "sitting": sitting_data(paper, papers, library)}
    if words.id != ENGLISH:
        mark["language"] = words.id
    return document_text(cells, blueprint.title, mark)


def _item_cells(item: Item, words: Words) -> list[Cell]:
    page: Page = question_page(item.question, words)
    return [
        *([_case_cell(item)] if item.before else []),
        Cell(f"question-{item.id}", page.text, attachments=page.attachments()),
        Cell(f"ask-{item.id}", f'paper.ask("{item.id}")', code=True, reads=options_text(item.question, words)),
    ]


def _case_cell(item: Item) -> Cell:
    """The case of an item, its drawings attached: a drawing that stands in the text is taken for text."""
    drawn: dict[str, dict[str, str]] = {}

    def attached(found: re.Match[str]) -> str:
        name = f"{item.id}-case-{len(drawn) + 1}.svg"
        drawn[name] = {found["kind"]: found["data"]}
        return f"(attachment:{name})"

    return Cell(f"case-{item.id}", DRAWING.sub(attached, item.before), attachments=drawn)


def sitting_data(paper: Paper, papers: PaperSet, library: Library) -> dict[str, Any]:
    """All that is needed to sit a paper, as plain JSON data."""
    words = Words(library.folder, library.words.id)  # fresh: what was said of other things is not in it
    return {
        "format": 1,
        "paper": paper.id,
        "set": papers.id,
        "title": papers.blueprint.title,
        "learner": {"id": paper.learner.id, "name": paper.learner.name},
        "minutes": papers.blueprint.minutes_for(paper.learner),
        "large_print": paper.learner.large_print,
        "items": [
            {
                "id": item.id,
                "view": _view(item, library.words),
                "fields": [
                    {"key": field.key, "kind": field.kind.value, "options": len(field.options)}
                    for field in item.question.fields
                ],
                **({"bench": item.bench} if item.bench else {}),
            }
            for item in paper.items
        ],
        "words": words.subset(words.groups(CARRIED)),
    }


def _view(item: Item, words: Words) -> dict[str, Any]:
    """What the form is told: as in a workbook, with a button that keeps and does not check."""
    shown = view(item.question, words)
    button = KeepButton(Phrase(markup.plain(item.question.title)))
    # What is done on a bench is kept as it is done: there is nothing to press.
    said = {key: words.say(button, key) if shown["fields"] else "" for key in KeepButton.says_}
    return {**shown, "words": {**shown["words"], **said}}
