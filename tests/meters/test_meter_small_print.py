"""Small print of instruments: spread of a display, ranges by value, prefixes, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from meters_setting import BENCH, POCKET

from probebook.errors import UsageError
from probebook.meters import Function, propagate, read
from probebook.meters.display import display_to_value
from probebook.meters.likelihood import shown_values
from probebook.meters.scale import Scale


def test_noise_is_that_of_two_rectangles() -> None:
    """Digits with what nulling leaves, and rounding by half a step: a²/3 and step²/12 (GUM 4.3.7)."""
    found = Scale.of(BENCH, Function.OHMS, nulled=True).noise
    for shown, noise in zip(BENCH.ranges_of(Function.OHMS), found.tolist(), strict=True):
        spread = shown.digits * shown.resolution + 0.1
        assert noise == pytest.approx(math.sqrt(spread**2 / 3 + (shown.resolution / 2) ** 2 / 3))
    plain = Scale.of(BENCH, Function.OHMS).noise[0]
    assert plain == pytest.approx(math.sqrt(0.2**2 / 3 + 0.1**2 / 12))


def test_a_value_is_shown_in_the_lowest_range_that_holds_it() -> None:
    """599.9 Ω in the first range of the bench meter, 601 Ω in the second, what is over range in the last."""
    scale = Scale.of(BENCH, Function.OHMS)
    last = len(BENCH.ranges_of(Function.OHMS)) - 1
    assert scale.range_of([1.0, 599.9, 601.0, 5999.0, 6001.0, 39e6, 1e9]).tolist() == [0, 0, 1, 1, 2, last, last]


@pytest.mark.parametrize(
    ("gain", "wobble"), [(1.01, 0.0), (-1.01, 0.0), (0.0, 1.01), (0.0, -1.01), (1.5, 0.0), (0.0, 1.5)]
)
def test_errors_beyond_the_statement_are_refused(gain: float, wobble: float) -> None:
    """A display outside the accuracy statement cannot be asked for; at its ends it can."""
    with pytest.raises(UsageError, match="accuracy statement"):
        read(POCKET, Function.OHMS, 47.0, gain=gain, wobble=wobble)
    for edge in (1.0, -1.0):
        assert read(POCKET, Function.OHMS, 47.0, gain=edge, wobble=edge).value > 0


@pytest.mark.parametrize(
    ("display", "value"), [("2.5 mV", 2.5e-3), ("47 Ω", 47.0), ("1.2 kΩ", 1.2e3), ("3.4 MΩ", 3.4e6), ("1.0 GΩ", 1e9)]
)
def test_prefixes_are_those_of_the_si(display: str, value: float) -> None:
    """Milli is a thousandth, giga a thousand million."""
    function = Function.AC_VOLTS if display.endswith("V") else Function.INSULATION
    assert display_to_value(display, function) == pytest.approx(value)


def test_what_does_not_vary_is_correlated_with_nothing() -> None:
    """A result of no uncertainty has no correlation with another, and the other keeps its own."""
    found = propagate(lambda x, y: (x, 0.0 * y + 3.0), (2.0, 1.0), (0.1, 0.2))
    assert found.uncertainties == pytest.approx((0.1, 0.0))
    assert found.correlation[0][1] == 0.0
    assert np.isfinite(found.correlation).all()


@pytest.mark.parametrize("wobble", [-1.0, -0.3, 0.0, 1.0])
def test_many_displays_are_the_single_ones_with_leads_nulled(wobble: float) -> None:
    """What nulling leaves moves the displays of an array as it moves each by itself."""
    ohms = [0.0, 0.04, 12.34, 599.6, 4700.0, 1e9, math.inf]
    found = shown_values(BENCH, Function.OHMS, ohms, wobble=wobble, nulled=True).tolist()
    assert found == pytest.approx(
        [read(BENCH, Function.OHMS, x, wobble=wobble, nulled=True).value for x in ohms], abs=1e-9
    )
