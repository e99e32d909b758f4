"""The marks of a class as a table for spreadsheets, in which nothing a learner typed becomes a formula."""

from __future__ import annotations

from probebook.assessment.cells import plain_cell, table_text
from probebook.assessment.marking.facts import TableHeads
from probebook.assessment.model import MarkedClass, MarkedPaper
from probebook.words import Words

__all__ = ["marks_csv"]

HEADS = (
    "learner", "name", "paper", "marks", "out-of", "percent", "passed", "grade", "critical", "late", "lacking",
    "handed-in", "typed",
)  # fmt: skip


def marks_csv(marked: MarkedClass, words: Words) -> str:
    """The table: a line a learner, then a column an item with its marks; learners without a hand-in stand last."""
    items = max((len(paper.items) for paper in marked.papers), default=0)
    columns = [f"q{number:02d}" for number in range(1, items + 1)]
    heads = [*(words.say(TableHeads(), head) for head in HEADS), *columns]
    rows = [
        [*map(plain_cell, _row(paper, words)), *(f"{item.marks:g}" for item in paper.items)] for paper in marked.papers
    ]
    empty = [""] * (len(HEADS) - 2 + items)
    return table_text(heads, [*rows, *([plain_cell(each.id), plain_cell(each.name), *empty] for each in marked.absent)])


def _row(paper: MarkedPaper, words: Words) -> list[str]:
    told = {True: words.say(TableHeads(), "yes"), False: words.say(TableHeads(), "no")}
    return [
        paper.learner.id,
        paper.learner.name,
        paper.paper,
        f"{paper.marks:g}",
        f"{paper.out_of:g}",
        f"{100 * paper.marks / paper.out_of:.1f}" if paper.out_of else "",
        told[paper.passed],
        paper.grade,
        told[paper.critical],
        f"{paper.minutes_late:g}",
        " ".join(paper.lacking),
        paper.handed_in,
        told[paper.typed],
    ]
