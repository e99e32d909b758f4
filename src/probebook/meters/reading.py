"""Taking a reading, and what a reading says about the true value.

The model of error follows the printed statement. With ``m`` what the instrument reads before rounding and ``x``
what is at its terminals (probe tips plus leads)::

    x = m (1 - gain × fraction of reading) - wobble × (digits × resolution + null residual)

so ``|m - x|`` never exceeds the statement *of the reading*, and the interval of a display is the statement itself,
widened by half a digit for rounding. ``gain`` belongs to the instrument and ``wobble`` to the reading, both from
-1 to 1. A miscalibrated instrument multiplies ``m`` by ``1 + gain_error`` on top.
"""

from __future__ import annotations

import itertools
import math

from probebook.errors import UsageError
from probebook.meters.display import display_to_value, format_count, format_overload
from probebook.meters.model import Function, Meter, Range, Reading

__all__ = ["limits", "read"]

SAME = 1e-9  # relative slack where two decimals that were written alike are compared as floats


def read(
    meter: Meter,
    function: Function,
    true_value: float,
    *,
    gain: float = 0.0,
    wobble: float = 0.0,
    nulled: bool = False,
    test_volts: float | None = None,
) -> Reading:
    """Return what ``meter`` shows for ``true_value`` at its probe tips.

    The meter takes the lowest range that can show the value. Dead circuits only: asking for ohms on an energised
    circuit is a safety matter that is settled before any meter is read.

    Parameters
    ----------
    true_value
        Ohms, volts or amperes at the probe tips; 0 and ``inf`` are ordinary values.
    gain, wobble
        Where, from -1 to 1, this instrument and this reading lie within the accuracy statement: the part in
        proportion to the reading, and the part in digits.
    nulled
        Whether the leads were nulled beforehand (ohms and continuity).
    test_volts
        The test voltage chosen, insulation only; the highest the meter has without.

    Raises
    ------
    UsageError
        The meter has no such function, cannot null, has no such test voltage, or a number is out of its bounds.
    """
    function = Function(function)
    ranges = meter.ranges_of(function)
    if test_volts is None:
        test_volts = max(meter.insulation_volts, default=0.0)
    _check(meter, function, true_value, gain, wobble, test_volts)
    at_terminals = true_value + meter.leads_in(function, nulled=nulled)
    residual = meter.null_residual(function, nulled=nulled)
    for shown in ranges:
        measured = _measured(meter, shown, at_terminals, gain, wobble, residual)
        count = measured / shown.resolution + 0.5
        if math.isfinite(count) and _fits(int(count), shown):
            display = format_count(function, shown, int(count))
            value = display_to_value(display, function)
            beeps = _beeps(meter, function, measured)
            return Reading(function, display, value, function.unit, shown.resolution, False, beeps, nulled)
    top = ranges[-1]
    silent = _beeps(meter, function, math.inf)
    display = format_overload(function, top)
    return Reading(function, display, math.inf, function.unit, top.resolution, True, silent, nulled)


def _check(meter: Meter, function: Function, true_value: float, gain: float, wobble: float, test_volts: float) -> None:
    if math.isnan(true_value) or true_value < 0:
        raise UsageError(
            f"{true_value} is not a value at the probe tips", remedy="give 0, a positive number or infinity"
        )
    if not (-1 <= gain <= 1 and -1 <= wobble <= 1):
        raise UsageError(
            f"gain {gain} and wobble {wobble} do not lie within the accuracy statement",
            remedy="give both between -1 and 1",
        )
    if function is Function.INSULATION and test_volts not in meter.insulation_volts:
        offered = ", ".join(f"{volts:g} V" for volts in meter.insulation_volts)
        raise UsageError(
            f"the {meter.title} does not test insulation at {test_volts:g} V",
            where=meter.id,
            remedy=f"choose {offered}",
        )


def _measured(meter: Meter, shown: Range, at_terminals: float, gain: float, wobble: float, residual: float) -> float:
    spread = shown.digits * shown.resolution + residual
    reading = (at_terminals + wobble * spread) / (1.0 - gain * shown.fraction_of_reading)
    return max(0.0, reading * (1.0 + meter.gain_error))


def _fits(count: int, shown: Range) -> bool:
    return count * shown.resolution <= shown.full_scale * (1 + SAME)


def _beeps(meter: Meter, function: Function, measured: float) -> bool | None:
    if function is not Function.CONTINUITY or meter.beeper_ohms is None:
        return None
    return measured < meter.beeper_ohms


def limits(
    meter: Meter,
    function: Function,
    reading_value: float,
    *,
    resolution: float | None = None,
    nulled: bool = False,
) -> tuple[float, float]:
    """Return the interval of true values at the probe tips that can give a display.

    The accuracy statement, rounding to the last digit, the leads and what nulling leaves behind are in it. A
    miscalibration is not: the statement does not know of it.

    Parameters
    ----------
    reading_value
        The displayed value in SI, ``inf`` for over-range.
    resolution
        The step of the last digit shown (:attr:`Reading.resolution`). Without it a value that two neighbouring
        ranges can both show gets the interval that covers both.

    Returns
    -------
    tuple of float
        ``(low, high)`` in SI; ``high`` is ``inf`` for over-range.

    Raises
    ------
    UsageError
        The meter has no such function, cannot null, or cannot show such a value.
    """
    function = Function(function)
    ranges = meter.ranges_of(function)
    leads = meter.leads_in(function, nulled=nulled)
    residual = meter.null_residual(function, nulled=nulled)
    if math.isinf(reading_value) and reading_value > 0:
        return max(0.0, _least(ranges[-1], residual) - leads), math.inf
    candidates = _ranges_showing(ranges, reading_value, resolution, residual)
    if not candidates:
        raise UsageError(
            f"the {meter.title} cannot show {reading_value:g} {function.unit}",
            where=meter.id,
            remedy=f"give a value from 0 to {ranges[-1].full_scale:g} {function.unit}, or infinity",
        )
    intervals = [_interval(shown, reading_value, residual) for shown in candidates]
    low = min(interval[0] for interval in intervals)
    high = max(interval[1] for interval in intervals)
    return max(0.0, low - leads), max(0.0, high - leads)


def _interval(shown: Range, value: float, residual: float) -> tuple[float, float]:
    """Return the terminal values that the range ``shown`` can display as ``value``."""
    half = shown.resolution / 2
    spread = shown.digits * shown.resolution + residual
    slack = SAME * value
    low = (value - half) * (1 - shown.fraction_of_reading) - spread - slack
    high = (value + half) * (1 + shown.fraction_of_reading) + spread + slack
    return (low if value > 0 else 0.0), high


def _least(shown: Range, residual: float) -> float:
    """Return the least terminal value that can leave the range ``shown`` upwards."""
    beyond = shown.full_scale + shown.resolution / 2
    return beyond * (1 - shown.fraction_of_reading - SAME) - shown.digits * shown.resolution - residual


def _ranges_showing(ranges: tuple[Range, ...], value: float, resolution: float | None, residual: float) -> list[Range]:
    holding = [shown for shown in ranges if 0 <= value <= shown.full_scale * (1 + SAME)]
    if resolution is not None:
        exact = [shown for shown in holding if math.isclose(shown.resolution, resolution, rel_tol=1e-6)]
        return exact or holding[:1]
    found = holding[:1]
    for lower, upper in itertools.pairwise(ranges):
        steps = value / upper.resolution
        if upper in holding[1:] and abs(steps - round(steps)) < 1e-6:
            reach = _interval(upper, value, residual)[1]
            if reach >= _least(lower, residual):
                found.append(upper)
    return found
