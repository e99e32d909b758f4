"""The likelihood of a display: against scipy's Gaussian, as a distribution that sums to one, and at the extremes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from meters_setting import BENCH, POCKET, SOUND_FUNCTIONS, TESTER, one_range
from scipy import stats

from probebook.errors import UsageError
from probebook.meters import Function, Meter, limits, log_likelihood, read
from probebook.meters.likelihood import normal_cdf


def test_likelihood_is_the_gaussian_of_the_gum_near_the_truth() -> None:
    """Near the truth the probability is scipy's Gaussian of a/√3 (GUM 4.3.7) and rounding q/√12 (GUM F.2.2.1)."""
    meter = one_range(600.0, 0.1, 0.008, 2)  # the published statement 0.8 % + 2 digits
    truths = np.linspace(98.0, 102.0, 41)[:, None]
    half_width = 0.008 * truths + 0.2
    deviation = np.hypot(half_width / math.sqrt(3), 0.1 / math.sqrt(12))
    expected = stats.norm.logpdf(100.0, truths, deviation) + math.log(0.1)
    found = log_likelihood(meter, Function.AC_VOLTS, [100.0], truths)
    assert found == pytest.approx(expected, abs=0.01)


def test_likelihood_of_all_displays_sums_to_one() -> None:
    """Over every display of a one-range meter, nought and over-range with them, the probability is one."""
    meter = one_range(199.9, 0.1, 0.01, 5, Function.OHMS)
    displays = np.append(np.arange(2000) / 10, math.inf)
    truths = np.array([0.0, 0.3, 5.0, 47.0, 180.0, 199.0, 210.0, 1e6, math.inf])[:, None]
    table = log_likelihood(meter, Function.OHMS, displays, np.broadcast_to(truths, (9, 2001)))
    assert np.exp(table).sum(axis=-1) == pytest.approx(1.0, abs=0.02)


def test_logistic_distribution_function_is_close_to_scipy() -> None:
    """The approximation of the normal distribution function keeps its published bound of 0.00014 against scipy."""
    z = np.linspace(-8, 8, 4001)
    assert np.abs(normal_cdf(z) - stats.norm.cdf(z)).max() < 1.5e-4
    assert np.all(np.diff(normal_cdf(z)) >= 0)


@given(
    st.sampled_from(SOUND_FUNCTIONS),
    st.floats(-1, 9).map(lambda power: 10.0**power),
    st.floats(-1, 1),
    st.floats(-1, 1),
)
@settings(max_examples=200, deadline=None)
def test_likelihood_peaks_within_the_limits(
    pair: tuple[Meter, Function], value: float, gain: float, wobble: float
) -> None:
    """The true value that makes a display most probable lies within the limits of that display."""
    meter, function = pair
    shown = read(meter, function, value, gain=gain, wobble=wobble).value
    truths = np.append(np.geomspace(1e-3, 1e12, 3001), value)[:, None]
    found = log_likelihood(meter, function, [shown], truths)[:, 0]
    low, high = limits(meter, function, shown)
    best = truths[np.argmax(found), 0]
    spacing = 1.02
    assert low / spacing <= best <= high * spacing
    assert found[-1] > found.max() - 4.0 or math.isinf(shown)


def test_nothing_is_impossible() -> None:
    """Every display keeps a small probability for every true value, shorts and open circuits included."""
    displays = np.array([0.0, 0.4, 47.3, 1.5e6, math.inf])
    truths = np.array([0.0, 1e-9, 47.0, 1e6, 1e300, math.inf])[:, None]
    found = log_likelihood(POCKET, Function.OHMS, displays, np.broadcast_to(truths, (6, 5)))
    assert np.all(np.isfinite(found))
    assert np.all(found <= 0)
    assert found.min() > math.log(POCKET.astray.share) - 20


def test_open_circuit_and_short_are_told_apart() -> None:
    """Over-range supports an open circuit against a good element by more than a thousand to one, and the reverse."""
    over, number = log_likelihood(POCKET, Function.OHMS, [math.inf, 47.4], [[math.inf] * 2, [47.0] * 2]).T
    assert over[0] - over[1] > math.log(1000)
    assert number[1] - number[0] > math.log(1000)


def test_leads_are_part_of_the_display_unless_nulled() -> None:
    """The most probable truth of a display is the display less the leads, or the display itself when nulled."""
    truths = np.linspace(46, 48.5, 251)[:, None]
    plain = log_likelihood(BENCH, Function.OHMS, [47.3], truths)[:, 0]
    nulled = log_likelihood(BENCH, Function.OHMS, [47.3], truths, nulled=True)[:, 0]
    assert truths[plain.argmax(), 0] == pytest.approx(47.3 - BENCH.lead_ohms, abs=0.03)
    assert truths[nulled.argmax(), 0] == pytest.approx(47.3, abs=0.03)


def test_shapes_follow_hypotheses_draws_and_tests() -> None:
    """True values of shape (hypotheses, draws, tests) give logarithms of that shape, each as if reckoned alone."""
    rng = np.random.default_rng(7)
    displays = np.array([47.3, math.inf, 0.0, 1.2e6])
    truths = 10.0 ** rng.uniform(-2, 8, (5, 3, 4))
    truths[0, 0, :] = math.inf
    table = log_likelihood(BENCH, Function.OHMS, displays, truths)
    assert table.shape == (5, 3, 4)
    for index in np.ndindex(5, 3, 4):
        alone = log_likelihood(BENCH, Function.OHMS, [displays[index[2]]], [truths[index]])
        assert table[index] == pytest.approx(alone[0], rel=1e-12)


@pytest.mark.parametrize("display", [-1.0, math.nan, 1e12, -math.inf])
def test_displays_no_meter_can_show_are_refused(display: float) -> None:
    """A display the meter cannot show is refused in one sentence, not given a probability."""
    with pytest.raises(UsageError):
        log_likelihood(TESTER, Function.INSULATION, [display], [[1e6]])
