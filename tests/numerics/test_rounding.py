"""Scores are rounded alike wherever they come from, and choices among them are broken by name or place."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from probebook.numerics.choosing import in_order, largest, largest_of, smallest_of
from probebook.numerics.rounding import rounded, rounded_number, stored

NUMBERS = st.floats(allow_nan=False, allow_infinity=False).filter(lambda x: x == 0 or 1e-280 < abs(x) < 1e280)


@given(NUMBERS)
def test_rounding_an_array_agrees_with_rounding_a_number(value: float) -> None:
    """Both ways of rounding to 9 digits give the same to within what a float resolves."""
    assert float(rounded(value)) == pytest.approx(rounded_number(value), rel=1e-15, abs=0.0)


@given(NUMBERS, st.floats(-1e-13, 1e-13))
def test_noise_moves_a_rounded_score_by_a_digit_at_most(value: float, noise: float) -> None:
    """What differs by noise is rounded to the same, or to the next number of nine digits."""
    other = value * (1.0 + noise)
    assert float(rounded(other)) == pytest.approx(float(rounded(value)), rel=1.1e-8, abs=0.0)


def test_what_noise_parts_is_one_again() -> None:
    """Numbers that differ in the last places only are equal once they are rounded, also beside a power of ten."""
    for value in (0.1 + 0.2, 1.0, 100.0, 1e-7, 250.0, 1 / 3, 0.0316):
        near = value * (1.0 + np.array([-3e-15, -1e-16, 0.0, 1e-16, 3e-15]))
        assert len(set(rounded(near).tolist())) == 1


def test_infinities_noughts_and_the_very_small_stay() -> None:
    """Infinity, nan and nought come back as they are, nought without a sign, and 1e-300 does not vanish."""
    found = rounded([math.inf, -math.inf, math.nan, -0.0, 1e-300, 5e-324])
    assert found[0] == math.inf
    assert found[1] == -math.inf
    assert math.isnan(found[2])
    assert math.copysign(1.0, found[3]) == 1.0
    assert found[4] == pytest.approx(1e-300, rel=1e-6)
    assert math.copysign(1.0, rounded_number(-0.0)) == 1.0


def test_a_difference_is_no_finer_than_is_said() -> None:
    """What subtraction leaves of equal numbers counts as nought; what is larger keeps its digits."""
    assert rounded([3e-16, -2e-12, 4e-10, 1.23456789012, 123.4567890123], least=1e-9).tolist() == [
        0.0, 0.0, 0.0, 1.23456789, 123.456789,
    ]  # fmt: skip


def test_files_keep_seven_digits() -> None:
    """A number is stored to seven significant digits, whatever its size."""
    assert [stored(x) for x in (31.536999999999995, 1 / 3, 1234567.89, math.inf)] == [
        31.537,
        0.3333333,
        1234568.0,
        math.inf,
    ]


def test_the_first_of_equals_is_the_largest() -> None:
    """Noise does not decide which of equal scores is chosen, nor their order."""
    scores = np.array([0.1, 0.3, 0.1 + 0.2, 0.3 - 1e-15])
    assert largest(scores) == 1
    assert in_order(-scores).tolist() == [1, 2, 3, 0]
    assert in_order(np.stack([scores, scores[::-1]], axis=1)).T.tolist() == [[0, 1, 2, 3], [3, 0, 1, 2]]


def test_ties_between_things_are_broken_by_name() -> None:
    """Of equals the first is chosen, or the one whose tie sorts first, upwards and downwards."""
    weights = {"b": 0.1 + 0.2, "a": 0.3, "c": 0.1}
    assert largest_of(weights, weights.__getitem__) == "b"
    assert largest_of(weights, weights.__getitem__, str) == "a"
    assert smallest_of(weights, lambda name: -weights[name], str) == "a"
    assert smallest_of(weights, weights.__getitem__) == "c"
    with pytest.raises(ValueError, match="empty"):
        largest_of([], float)
