"""A sample of what ``nothing_fits.py`` draws: what fits is hardly ever said to fit nothing, what does not mostly is.

The bars of 1 % and 95 % are for 2,000 and 400 draws; so few as here allow no more than none or one, and most.
"""

from __future__ import annotations

import math

import pytest
from nothing_fits import INSIDE, SORTS, TELLS, Judged, judge, rates

from probebook.cases.library import library


@pytest.fixture(scope="module")
def drawn() -> list[Judged]:
    """Sixty truths inside, half of them on no list, and forty outside."""
    return [judge(library(), sort, n) for sort in INSIDE for n in range(30)] + [
        judge(library(), sort, n) for sort in SORTS for n in range(8)
    ]


def test_what_fits_is_not_said_to_fit_nothing(drawn: list[Judged]) -> None:
    """At most one of sixty: with the bar of 1 % two or more would come in 12 of 100 samples."""
    assert sum(j.said for j in drawn if j.sort in INSIDE) <= 1


def test_what_can_be_told_is_told(drawn: list[Judged]) -> None:
    """Nine in ten at least of what can be told, and some of it can."""
    _, said, telling, outside = rates(drawn)
    assert outside == 40
    assert telling >= 5
    assert said >= 0.9


def test_what_cannot_be_told_is_not_counted() -> None:
    """The share is of what the truth explains a thousand times better, and of that alone."""
    told = math.log(TELLS)
    judged = [Judged("bridge", True, told + 1), Judged("bridge", False, told - 1), Judged("listed", False, 0.0)]
    assert rates(judged) == (0.0, 1.0, 1, 2)
