"""Marks given by hand: a table that names the paper, the item, the marks, who gave them and why."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from probebook.assessment.cells import read_table
from probebook.assessment.model import SPARE, Paper, PaperSet
from probebook.errors import UsageError

__all__ = ["Override", "read_overrides"]

COLUMNS = ("paper", "item", "marks", "by", "why")
LONGEST = 2_000_000
LONGEST_TEXT = 500


@dataclass(frozen=True, slots=True)
class Override:
    """A mark given by hand: ``paper`` is the id of the paper, ``item`` that of the item."""

    paper: str
    item: str
    marks: float
    by: str
    why: str


def read_overrides(path: Path, papers: PaperSet) -> tuple[Override, ...]:
    """Read a table of overrides; a paper is named by its own id or that of its learner.

    Raises
    ------
    UsageError
        One sentence names file, line and column.
    """
    rows = read_table(path, "the override table", LONGEST)
    if not rows or tuple(rows[0][1]) != COLUMNS:
        raise UsageError("the headings are others", where=f"{path.name}: line 1", remedy=f"write {','.join(COLUMNS)}")
    known = {name: paper for paper in papers.papers for name in (paper.id, paper.learner.id)}
    found: dict[tuple[str, str], Override] = {}
    for line, row in rows[1:]:
        if not any(row):
            continue
        override = _override(row, known, f"{path.name}: line {line}")
        if (override.paper, override.item) in found:
            raise UsageError(
                "this mark was overridden before", where=f"{path.name}: line {line}", remedy="keep one line of the two"
            )
        found[override.paper, override.item] = override
    return tuple(found.values())


def _override(row: list[str], known: dict[str, Paper], where: str) -> Override:
    if len(row) != len(COLUMNS):
        raise UsageError(f"this line has {len(row)} columns", where=where, remedy=f"write {','.join(COLUMNS)}")
    name, item_id, text, by, why = row
    paper = known.get(name)
    if paper is None:
        raise UsageError(f"there is no paper '{name[:40]}'", where=f"{where}: paper", remedy="name paper or learner")
    item = next((item for item in paper.items if item.id == item_id), None)
    if item is None:
        raise UsageError(f"there is no item '{item_id[:40]}'", where=f"{where}: item", remedy="name one such as q01")
    try:
        marks = float(text)
    except ValueError:
        marks = math.nan
    most = item.question.marks
    if not 0 <= marks <= most + SPARE:
        raise UsageError(
            f"'{text[:40]}' is not a mark of this item", where=f"{where}: marks", remedy=f"write 0 to {most:g}"
        )
    for key, told in (("by", by), ("why", why)):
        if not told or len(told) > LONGEST_TEXT:
            raise UsageError(f"it is not said {key}", where=f"{where}: {key}", remedy="say who overrides, and why")
    return Override(paper.id, item.id, round(marks, 2), by, why)
