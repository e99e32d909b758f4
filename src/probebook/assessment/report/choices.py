"""What was answered where: the right answer, each slip and each other option, by the whole class and by its ends."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Literal

import numpy as np

from probebook.assessment.model import MarkedPart
from probebook.assessment.report import classical
from probebook.assessment.report.places import Grid
from probebook.questions.model import Standing

__all__ = ["AnswerFigures", "answers"]

Sort = Literal["right", "slip", "option", "other", "partly", "nothing"]

#: Share of a class that is its top and its bottom group here.
THIRD = 1 / 3


@dataclass(frozen=True, slots=True)
class AnswerFigures:
    """How often one answer was given to one field of a place.

    Attributes
    ----------
    place, part
        The place of the blueprint, and the words before the field.
    sort
        What ``answer`` is: nothing for the ``right`` answer, the id of a ``slip``, the text of an ``option`` that shows
        no slip; nothing for any ``other`` answer, one that is ``partly`` right, and for ``nothing`` given.
    times
        Learners who gave it.
    top, bottom
        Share of the top and of the bottom third of the class that gave it, 0 to 1.
    """

    place: str
    part: str
    sort: Sort
    answer: str
    times: int
    top: float
    bottom: float


def answers(grid: Grid) -> tuple[AnswerFigures, ...]:
    """Count the answers, place by place, the right one first and then the commonest."""
    if not grid.papers:
        return ()
    totals = np.array([paper.marks / paper.out_of if paper.out_of else 0.0 for paper in grid.papers])
    size = max(1.0, THIRD * len(totals))
    top, bottom = classical.weights(-totals, size), classical.weights(totals, size)
    found: list[AnswerFigures] = []
    for place in grid.places:
        labels: dict[str, str] = {}
        gave: dict[tuple[str, Sort, str], list[int]] = defaultdict(list)
        for number, item in grid.items(place):
            for part in item.parts:
                labels.setdefault(part.field, part.label)
                gave[part.field, *_sort(part)].append(number)
        counted = [
            AnswerFigures(
                place, labels[field], sort, answer, len(numbers),
                float(top[numbers].sum() / size), float(bottom[numbers].sum() / size),
            )
            for (field, sort, answer), numbers in sorted(gave.items(), key=lambda pair: _order(pair[0], len(pair[1])))
        ]  # fmt: skip
        found += counted
    return tuple(found)


def _sort(part: MarkedPart) -> tuple[Sort, str]:
    if part.standing is Standing.RIGHT:
        return "right", ""
    if part.standing is Standing.BLANK:
        return "nothing", ""
    if part.slip:
        return "slip", part.slip
    if part.standing is Standing.PARTLY:
        return "partly", ""
    return ("option", "; ".join(part.chosen)) if part.chosen else ("other", "")


def _order(key: tuple[str, Sort, str], times: int) -> tuple[str, bool, int, str, str]:
    field, sort, answer = key
    return field, sort != "right", -times, sort, answer
