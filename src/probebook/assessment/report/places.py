"""The places of a blueprint: what the items of different learners have in common, as tables learners × places."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from probebook.assessment.model import MarkedClass, MarkedItem, MarkedPaper

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Table = NDArray[np.float64]

__all__ = ["Grid", "grid_of"]


@dataclass(frozen=True, slots=True)
class Grid:
    """The papers that hold something, the items of each by place, and the places in order of blueprint."""

    papers: tuple[MarkedPaper, ...]
    rows: tuple[dict[str, MarkedItem], ...]
    places: tuple[str, ...]

    def table(self, what: Literal["share", "marks", "difficulty"]) -> Table:
        """Learners × places: share of the marks (0 to 1), marks, or difficulty (logits); nan where none was given."""
        found = np.full((len(self.rows), len(self.places)), np.nan)
        for number, row in enumerate(self.rows):
            for column, place in enumerate(self.places):
                item = row.get(place)
                if item is not None:
                    found[number, column] = _figure(item, what)
        return found

    def items(self, place: str) -> Sequence[tuple[int, MarkedItem]]:
        """The items of a place with the numbers of their papers."""
        return [(number, row[place]) for number, row in enumerate(self.rows) if place in row]


def _figure(item: MarkedItem, what: str) -> float:
    if what == "difficulty":
        return item.difficulty
    return item.marks / (item.out_of if what == "share" and item.out_of else 1.0)


def grid_of(marked: MarkedClass) -> Grid:
    """The grid of a class."""
    papers = tuple(paper for paper in marked.papers if paper.items)
    rows = tuple(_placed(paper) for paper in papers)
    return Grid(papers, rows, tuple(dict.fromkeys(place for row in rows for place in row)))


def _placed(paper: MarkedPaper) -> dict[str, MarkedItem]:
    """The items of a paper by their place: the row, and the number in it where the row has several."""
    many, seen = Counter(item.row for item in paper.items), Counter[str]()
    found = {}
    for item in paper.items:
        seen[item.row] += 1
        found[item.row if many[item.row] == 1 else f"{item.row} {seen[item.row]}"] = item
    return found
