"""Readings and their limits: published accuracy statements, the beeper, and properties over all instruments."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from meters_setting import BENCH, DRIFTED, METERS, POCKET, SOUND_FUNCTIONS, TESTER, one_range

from probebook.errors import AnswerError, UsageError
from probebook.meters import Function, Meter, Range, display_to_value, limits, read, shown_values

signs = st.floats(-1, 1)
EDGES = sorted({shown.full_scale for meter in METERS.values() for _, ranges in meter.ranges for shown in ranges})
beside_an_edge = st.builds(lambda edge, share: edge * share, st.sampled_from(EDGES), st.floats(0.93, 1.07))
ohm_values = st.one_of(
    st.just(0.0), st.just(math.inf), st.floats(-3, 10).map(lambda power: 10.0**power), beside_an_edge
)
function_of_sound_meter = st.sampled_from(SOUND_FUNCTIONS)


@pytest.mark.parametrize(
    ("full_scale", "resolution", "fraction", "digits", "shown", "low", "high"),
    [
        # Worked examples printed by instrument makers and dealers.
        pytest.param(5.0, 0.001, 0.0008, 2, 2.000, 1.9964, 2.0036, id="0.08 % + 2 at 2.000 V"),
        pytest.param(600.0, 0.1, 0.008, 2, 100.0, 99.0, 101.0, id="0.8 % + 2 at 100.0 V"),
        # One page prints "99.8 to 101.2 V" for this statement: its lower figure is a misprint for 98.8.
        pytest.param(600.0, 0.1, 0.01, 2, 100.0, 98.8, 101.2, id="1 % + 2 at 100.0 V"),
        pytest.param(2.0, 0.001, 0.005, 1, 1.755, 1.745225, 1.764775, id="0.5 % + 1 at 1.755 V"),
        pytest.param(5.0, 0.001, 0.005, 3, 2.000, 1.987, 2.013, id="0.5 % + 3 at 2.000 V"),
    ],
)
def test_accuracy_statement_gives_the_published_interval(
    full_scale: float, resolution: float, fraction: float, digits: float, shown: float, low: float, high: float
) -> None:
    """A statement of per cent of reading plus digits gives the interval printed in its worked example."""
    half_width = Range(full_scale, resolution, fraction, digits).accuracy(shown)
    assert (shown - half_width, shown + half_width) == pytest.approx((low, high), rel=1e-12)

    meter = one_range(full_scale, resolution, fraction, digits)
    found_low, found_high = limits(meter, Function.AC_VOLTS, shown)
    rounding = resolution / 2 * (1 + fraction)
    assert low - rounding * 1.001 <= found_low <= low
    assert high <= found_high <= high + rounding * 1.001


@pytest.mark.parametrize("gain", [-1.0, 0.0, 1.0])
@pytest.mark.parametrize("wobble", [-1.0, 0.0, 1.0])
def test_beeper_is_silent_on_a_good_element(gain: float, wobble: float) -> None:
    """A 30 Ω beeper stays silent on a sound 47 Ω element, which still reads a plain value (common practice)."""
    reading = read(POCKET, Function.CONTINUITY, 47.0, gain=gain, wobble=wobble)
    assert POCKET.beeper_ohms == 30.0
    assert reading.beeps is False
    assert not reading.overload
    assert 45 < reading.value < 50


def test_beeper_sounds_on_a_short_and_not_on_an_open_circuit() -> None:
    """The beeper sounds on a dead short, is silent on an open circuit, and says nothing in other functions."""
    assert read(POCKET, Function.CONTINUITY, 0.0).beeps is True
    assert read(POCKET, Function.CONTINUITY, math.inf).beeps is False
    assert read(POCKET, Function.OHMS, 0.0).beeps is None
    assert read(TESTER, Function.INSULATION, 0.0).beeps is None


@pytest.mark.parametrize(
    ("meter", "function", "value", "display"),
    [
        (BENCH, Function.OHMS, 47.1, "47.3 Ω"),
        (BENCH, Function.OHMS, 1214.8, "1.215 kΩ"),
        (BENCH, Function.OHMS, math.inf, "OL"),
        (POCKET, Function.OHMS, 0.0, "0.4 Ω"),
        (POCKET, Function.OHMS, 229.6, "0.230 kΩ"),
        (TESTER, Function.INSULATION, math.inf, ">999 MΩ"),
        (TESTER, Function.INSULATION, 2.5e6, "2.50 MΩ"),
        (BENCH, Function.AC_VOLTS, 230.0, "230.0 V"),
        (METERS["clamp-meter"], Function.CLAMP, 8.7, "8.70 A"),
    ],
)
def test_display_is_what_a_learner_sees(meter: Meter, function: Function, value: float, display: str) -> None:
    """The display shows the digits of the range in use, its prefix and unit; leads count in ohms (worked by hand)."""
    assert read(meter, function, value).display == display


def test_nulling_takes_the_leads_off_but_for_a_digit() -> None:
    """With the leads nulled a short reads within one digit and the statement of nought; without, it reads the leads."""
    assert read(BENCH, Function.OHMS, 0.0).value == pytest.approx(BENCH.lead_ohms)
    assert read(BENCH, Function.OHMS, 0.0, nulled=True).value == 0.0
    lowest = BENCH.ranges_of(Function.OHMS)[0]
    worst = read(BENCH, Function.OHMS, 0.0, nulled=True, wobble=1.0).value
    assert worst == pytest.approx((lowest.digits + 1) * lowest.resolution)


def test_meter_out_of_calibration_shows_up_on_a_known_resistor() -> None:
    """A known 100 Ω resistor lies outside the interval that the drifted meter's printed accuracy claims."""
    known = 100.0
    for gain in (-1.0, 0.0, 1.0):
        shown = read(DRIFTED, Function.OHMS, known, gain=gain, nulled=True)
        low, _ = limits(DRIFTED, Function.OHMS, shown.value, nulled=True)
        assert low > known


def test_a_value_two_ranges_can_show_gets_the_wider_interval() -> None:
    """A true 197.7 Ω may read 0.195 kΩ one range up, in steps of 1 Ω: 195 Ω must allow for it (by hand)."""
    reading = read(POCKET, Function.OHMS, 197.7, gain=1.0, wobble=-1.0)
    assert reading.display == "0.195 kΩ"
    _, fine_high = limits(POCKET, Function.OHMS, 195.0, resolution=0.1)
    _, high = limits(POCKET, Function.OHMS, 195.0)
    assert fine_high < 197.7 < high


@given(function_of_sound_meter, ohm_values, signs, signs, st.booleans())
@settings(max_examples=400, deadline=None)
def test_limits_contain_the_true_value(
    pair: tuple[Meter, Function], value: float, gain: float, wobble: float, nulled: bool
) -> None:
    """Whatever sound meter, gain and wobble, the interval of the display contains the true value."""
    meter, function = pair
    nulled = nulled and meter.can_null
    reading = read(meter, function, value, gain=gain, wobble=wobble, nulled=nulled)
    for resolution in (None, reading.resolution):
        low, high = limits(meter, function, reading.value, resolution=resolution, nulled=nulled)
        assert low <= value <= high


@given(function_of_sound_meter, ohm_values, signs, signs)
@settings(max_examples=300, deadline=None)
def test_display_reads_back_as_the_value(
    pair: tuple[Meter, Function], value: float, gain: float, wobble: float
) -> None:
    """A display read back gives the reading's value, and that value shown again gives the same display."""
    meter, function = pair
    reading = read(meter, function, value, gain=gain, wobble=wobble)
    assert display_to_value(reading.display, function) == reading.value
    assert reading.overload == math.isinf(reading.value)


@given(function_of_sound_meter, ohm_values, ohm_values, signs, signs)
@settings(max_examples=300, deadline=None)
def test_autoranging_is_monotone(
    pair: tuple[Meter, Function], one: float, other: float, gain: float, wobble: float
) -> None:
    """A larger true value never gets a finer range, and within one range never a smaller display."""
    meter, function = pair
    small, large = (read(meter, function, value, gain=gain, wobble=wobble) for value in sorted((one, other)))
    assert small.resolution <= large.resolution
    assert small.overload <= large.overload
    if small.resolution == large.resolution:
        assert small.value <= large.value


@given(function_of_sound_meter, st.lists(ohm_values, min_size=1, max_size=8), signs, signs)
@settings(max_examples=150, deadline=None)
def test_array_of_displays_agrees_with_single_readings(
    pair: tuple[Meter, Function], values: list[float], gain: float, wobble: float
) -> None:
    """Displays worked out for an array are those of the single readings."""
    meter, function = pair
    found = shown_values(meter, function, np.array(values), gain=gain, wobble=wobble)
    expected = [read(meter, function, value, gain=gain, wobble=wobble).value for value in values]
    assert found == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("text", ["47", "47 V", "O", "-3 Ω", "nan Ω", "47.3 Ω Ω", "4 7 Ω", ""])
def test_what_is_no_display_is_refused(text: str) -> None:
    """Text that no ohms display can show is refused in one sentence."""
    with pytest.raises(AnswerError, match="not a display of the ohms function"):
        display_to_value(text, Function.OHMS)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: read(POCKET, Function.INSULATION, 1e6), "no insulation function"),
        (lambda: read(POCKET, Function.OHMS, 10.0, nulled=True), "cannot null"),
        (lambda: read(TESTER, Function.INSULATION, 1e6, test_volts=1000.0), "choose 250 V, 500 V"),
        (lambda: read(BENCH, Function.OHMS, -1.0), "not a value at the probe tips"),
        (lambda: read(BENCH, Function.OHMS, math.nan), "not a value at the probe tips"),
        (lambda: read(BENCH, Function.OHMS, 1.0, gain=1.5), "between -1 and 1"),
        (lambda: limits(BENCH, Function.OHMS, 1e9), "cannot show"),
        (lambda: limits(BENCH, Function.OHMS, math.nan), "cannot show"),
        (lambda: limits(BENCH, Function.OHMS, -1.0), "cannot show"),
    ],
)
def test_impossible_requests_are_refused(call: object, words: str) -> None:
    """A function, null, test voltage or number the meter cannot have is refused with what to do."""
    assert callable(call)
    with pytest.raises(UsageError, match=words):
        call()
