"""The marks of a class as a table for spreadsheets, in which nothing a learner typed becomes a formula."""

from __future__ import annotations

from collections import Counter

from probebook.assessment.cells import plain_cell, table_text
from probebook.assessment.marking.facts import TableHeads
from probebook.assessment.model import MarkedClass, MarkedPaper, Row
from probebook.words import Words

__all__ = ["marks_csv"]

HEADS = (
    "learner", "name", "paper", "marks", "out-of", "percent", "passed", "grade", "critical", "late", "lacking",
    "handed-in", "typed",
)  # fmt: skip


def marks_csv(marked: MarkedClass, words: Words) -> str:
    """The table: a line a learner, then a column a place of the blueprint with its marks.

    Learners meet the places in orders of their own; those without a hand-in stand last.
    """
    columns = [place for row in marked.blueprint.rows for place in _places(row)]
    heads = [*(words.say(TableHeads(), head) for head in HEADS), *columns]
    rows = [[*map(plain_cell, _row(paper, words)), *_marks(paper, columns)] for paper in marked.papers]
    empty = [""] * (len(HEADS) - 2 + len(columns))
    return table_text(heads, [*rows, *([plain_cell(each.id), plain_cell(each.name), *empty] for each in marked.absent)])


def _places(row: Row) -> list[str]:
    """The places of a row, called as reports call them."""
    return [row.id] if row.items == 1 else [f"{row.id} {number}" for number in range(1, row.items + 1)]


def _marks(paper: MarkedPaper, columns: list[str]) -> list[str]:
    seen: Counter[str] = Counter()
    by_place: dict[str, str] = {}
    for item in paper.items:
        seen[item.row] += 1
        by_place[f"{item.row} {seen[item.row]}"] = f"{item.marks:g}"
        by_place.setdefault(item.row, f"{item.marks:g}")
    return [by_place.get(column, "") for column in columns]


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
