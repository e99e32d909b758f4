"""The tail of chi-square agrees with SciPy, with its closed form, and at the ends."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from probebook.numerics.chi_square import chi_square_tail


@pytest.mark.parametrize("freedom", [1, 2, 3, 5, 9, 20, 60])
def test_it_agrees_with_scipy(freedom: int) -> None:
    """To one part in 10¹⁰, from the middle out to where nothing is left, on both sides of where the way is changed."""
    for statistic in (0.001, 0.3, 1.0, freedom - 0.5, freedom + 1.9, freedom + 2.1, 3.0 * freedom, 90.0, 600.0):
        expected = stats.chi2.sf(statistic, freedom)
        assert chi_square_tail(statistic, freedom) == pytest.approx(expected, rel=1e-10, abs=1e-280)


def test_two_degrees_of_freedom_are_an_exponential() -> None:
    """With two degrees of freedom the tail is exp(-x/2) (Abramowitz and Stegun 26.4.4 and 26.4.5)."""
    for statistic in (0.5, 4.0, 13.8, 200.0):
        assert chi_square_tail(statistic, 2) == pytest.approx(math.exp(-statistic / 2), rel=1e-12)


def test_the_ends() -> None:
    """Nothing off is certain, endlessly far off is impossible, and without freedom nothing can be off."""
    assert chi_square_tail(0.0, 3) == 1.0
    assert chi_square_tail(math.inf, 3) == 0.0
    assert chi_square_tail(50.0, 0) == 1.0
