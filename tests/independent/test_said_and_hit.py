"""A sample of what ``said_and_hit.py`` draws: failures that no file lists are found about as often as is said."""

from __future__ import annotations

import math

import pytest
from said_and_hit import Said, bins, judge

from probebook.cases.library import library


@pytest.fixture(scope="module")
def said() -> list[list[Said]]:
    """What is said of every way to fail, for sixty truths."""
    return [judge(library(), number) for number in range(60)]


def test_probabilities_are_a_whole_and_one_is_true(said: list[list[Said]]) -> None:
    """For each truth what is said sums to 1, and exactly one way is the true one."""
    for each in said:
        assert math.fsum(s.probability for s in each) == pytest.approx(1.0)
        assert sum(s.hit for s in each) == 1


def test_hits_are_about_as_many_as_was_said(said: list[list[Said]]) -> None:
    """Of all that is said with a tenth or more, hits differ from their expected number by under four deviations."""
    noticeable = [s for each in said for s in each if s.probability >= 0.1]
    expected = math.fsum(s.probability for s in noticeable)
    deviation = math.sqrt(math.fsum(s.probability * (1.0 - s.probability) for s in noticeable))
    assert abs(sum(s.hit for s in noticeable) - expected) < 4.0 * deviation + 1.0


def test_truths_are_seldom_called_hopeless(said: list[list[Said]]) -> None:
    """Not one in ten of the true failures is said to have less than one in a thousand."""
    true = [s.probability for each in said for s in each if s.hit]
    assert sum(p < 1e-3 for p in true) <= 6


def test_bins_count_what_falls_in_them() -> None:
    """A tenth is counted with its lower end, and certainty belongs to the last."""
    found = bins([Said(0.1, True), Said(0.15, False), Said(1.0, True)])
    assert found[1] == (2, 0.125, 0.5)
    assert found[9] == (1, 1.0, 1.0)
