"""How probable a display is for a true value: arrays in, arrays out, no loop over values.

What the accuracy statement leaves open is taken as a Gaussian whose standard deviation is the statement's
half-width over √3 (JCGM 100 (GUM), 4.3.7), joined with the rounding to the last digit. A small share of outliers,
spread evenly over the decades the function can show, keeps every display possible: a slipped probe must not rule a
hypothesis out for good. Readings on one instrument are taken as independent although they share its gain.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from probebook.errors import UsageError
from probebook.meters.assumed import Astray
from probebook.meters.model import Function, Meter, Range

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["log_likelihood", "shown_values"]

ENDLESS = 1e30  # stands for an open circuit, so that no infinity meets another
STEEPEST = 500.0  # keeps exp() within floating point


def log_likelihood(
    meter: Meter,
    function: Function,
    displays: ArrayLike,
    true_values: ArrayLike,
    *,
    nulled: bool = False,
) -> Floats:
    """Return log p(display | true value at the probe tips).

    Parameters
    ----------
    displays
        Displayed values in SI, shape (t,); ``inf`` for over-range.
    true_values
        Values at the probe tips in SI, shape (..., t); 0 and ``inf`` are ordinary values.

    Returns
    -------
    numpy.ndarray
        Natural logarithms of probabilities, shape (..., t); always finite.

    Raises
    ------
    UsageError
        The meter has no such function, cannot null, or cannot show a display given.
    """
    import numpy as np

    function = Function(function)
    ranges = meter.ranges_of(function)
    leads = meter.leads_in(function, nulled=nulled)
    residual = meter.null_residual(function, nulled=nulled)
    shown = np.asarray(displays, dtype=np.float64)
    within, over, table = _sorted_columns(meter, function, shown, ranges)
    fraction, spread, step, top = table

    at_terminals = np.minimum(np.asarray(true_values, dtype=np.float64) + leads, ENDLESS)
    at_terminals = np.broadcast_to(at_terminals, np.broadcast_shapes(at_terminals.shape, shown.shape))
    deviation = _standard_deviation(at_terminals, fraction, spread + residual, step)
    numbers = np.where(within, shown, 0.0)
    z = (numbers - at_terminals) / deviation
    probability: Floats = np.exp(-0.5 * z * z) * (step / math.sqrt(2 * math.pi)) / deviation
    if over.any():
        x = at_terminals[..., over]
        edge = top[over] + step[over] / 2
        probability[..., over] = normal_cdf((x - edge) / deviation[..., over])
    nought = shown == 0
    if nought.any():
        x = at_terminals[..., nought]
        probability[..., nought] = normal_cdf((step[nought] / 2 - x) / deviation[..., nought])
    astray = meter.astray
    return np.log((1 - astray.share) * probability + astray.share * _outlier(shown, step, ranges, astray))


def _sorted_columns(
    meter: Meter, function: Function, shown: Floats, ranges: tuple[Range, ...]
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], Floats]:
    """Return which displays are numbers, which over-range, and the statement of the range each was shown in."""
    import numpy as np

    over = np.isposinf(shown)
    if shown.ndim != 1 or not np.all(over | (shown >= 0)):
        raise UsageError(
            f"displays of the {function.value} function of the {meter.title} are wrong",
            where=meter.id,
            remedy="give one row of displayed values, each 0 or more, infinity for over-range",
        )
    tops = np.array([each.full_scale for each in ranges])
    index = np.searchsorted(tops * (1 + 1e-9), shown)
    index[over] = len(ranges) - 1
    if np.any(index >= len(ranges)):
        raise UsageError(
            f"the {meter.title} cannot show {shown[index >= len(ranges)][0]:g} {function.unit}",
            where=meter.id,
            remedy=f"give values up to {tops[-1]:g} {function.unit}, or infinity for over-range",
        )
    table = np.array(
        [(each.fraction_of_reading, each.digits * each.resolution, each.resolution, each.full_scale) for each in ranges]
    ).T[:, index]
    return ~over, over, table


def _standard_deviation(at_terminals: Floats, fraction: Floats, spread: Floats, step: Floats) -> Floats:
    import numpy as np

    half_width = fraction * at_terminals + spread
    return np.sqrt((half_width * half_width) / 3.0 + step * step / 12.0)


def _outlier(shown: Floats, step: Floats, ranges: tuple[Range, ...], astray: Astray) -> Floats:
    """Return the probability of each display when the reading says nothing about the true value."""
    import numpy as np

    span = math.log(ranges[-1].full_scale / ranges[0].resolution)
    share = (1 - astray.over_range - astray.zero) / span
    number = np.where((shown > 0) & np.isfinite(shown), shown, 1.0)
    density = share * np.minimum(1.0, step / number)
    number_or_zero = np.where(shown == 0, astray.zero, density)
    return np.where(np.isposinf(shown), astray.over_range, number_or_zero).astype(np.float64)


def normal_cdf(z: Floats) -> Floats:
    """Return the standard normal distribution function to within 0.00015, by the logistic approximation.

    Bowling, Khasawneh, Kaewkuekool and Cho (2009), Journal of Industrial Engineering and Management 2(1) 114-127.
    """
    import numpy as np

    argument = np.clip(z * (1.5976 + 0.07056 * z * z), -STEEPEST, STEEPEST)
    result: Floats = 1.0 / (1.0 + np.exp(-argument))
    return result


def shown_values(
    meter: Meter,
    function: Function,
    true_values: ArrayLike,
    *,
    gain: ArrayLike = 0.0,
    wobble: ArrayLike = 0.0,
    nulled: bool = False,
) -> Floats:
    """Return what :func:`~probebook.meters.read` would show, as SI values, for an array of true values.

    Parameters
    ----------
    true_values
        Values at the probe tips in SI, any shape; 0 and ``inf`` are ordinary values.
    gain, wobble
        As for :func:`~probebook.meters.read`; arrays that broadcast against ``true_values``.

    Returns
    -------
    numpy.ndarray
        Displayed values in SI of the broadcast shape; ``inf`` for over-range.
    """
    import numpy as np

    function = Function(function)
    leads = meter.leads_in(function, nulled=nulled)
    residual = meter.null_residual(function, nulled=nulled)
    x = np.asarray(true_values, dtype=np.float64) + leads
    g, w = np.asarray(gain, dtype=np.float64), np.asarray(wobble, dtype=np.float64)
    shape = np.broadcast_shapes(x.shape, g.shape, w.shape)
    result: Any = np.full(shape, np.inf)
    for each in reversed(meter.ranges_of(function)):
        spread = each.digits * each.resolution + residual
        measured = (x + w * spread) / (1.0 - g * each.fraction_of_reading) * (1.0 + meter.gain_error)
        count = np.floor(np.maximum(measured, 0.0) / each.resolution + 0.5)
        fits = count * each.resolution <= each.full_scale * (1 + 1e-9)
        result = np.where(fits, count * each.resolution, result)
    values: Floats = result
    return values
