"""What a display tells of the hypotheses, reckoned quickly for many trials at once.

Under a hypothesis ln of what is shown is taken as normal: a middle, and a deviation from the spread of what is unknown
and from the instrument's own noise. One reckoning serves two ends with parameters of their own (:class:`Reckoning`):
finely, to value trials under a posterior (:mod:`probebook.diagnosis.value`), and coarsely, to choose among hundreds of
trials while a case is made. What readings prove is worked out by :mod:`probebook.diagnosis.inference` alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from probebook.meters import Function, Meter
from probebook.meters.likelihood import normal_cdf
from probebook.meters.scale import Scale
from probebook.numerics.choosing import in_order
from probebook.numerics.rounding import rounded

__all__ = ["Reckoning", "apart_classes", "between_cuts", "display_noise", "reading_log_likelihood", "scale_for"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Number of cuts between classes of readings.
CUTS = 12
#: Places in ln, and gaps between them, are compared no finer than this.
LEAST = 1e-9


@dataclass(frozen=True, slots=True)
class Reckoning:
    """With what care displays are reckoned.

    Attributes
    ----------
    outliers
        Share of readings that say nothing, whatever is true.
    coarse
        Whether a whole count more is allowed for, on the safe side.
    nulled
        Whether leads are nulled where they can be.
    least
        Value below which a display says 'connected' and nothing finer, SI, by function; down to the noise where none.
    good_insulation
        Insulation from here up counts as good and tells nothing more, ohms.
    apart
        Two hypotheses are told apart by a trial when they lie this many joint standard deviations apart.
    """

    outliers: float
    coarse: bool = False
    nulled: bool = False
    least: Mapping[str, float] = field(default_factory=dict)
    good_insulation: float = math.inf
    apart: float = 4.0


def scale_for(meter: Meter, function: Function, reckoning: Reckoning) -> Scale:
    """The ranges of an instrument, its leads nulled where they are to be and can be."""
    return Scale.of(meter, function, nulled=reckoning.nulled and meter.can_null and function.through_leads)


def display_noise(
    scale: Scale, function: Function, shown: FloatArray, reckoning: Reckoning
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """What the instrument adds to what is shown: relative gain, relative variance of the noise, the least it can tell.

    All of the shape of ``shown`` (SI, leads included); the least is in SI. What nulling leaves behind is not reckoned.
    """
    place = scale.range_of(shown)
    digits, resolution = scale.digits[place], scale.resolution[place]
    noise = resolution * np.sqrt(digits**2 / 3 + 1 / 12)
    least = np.full(shown.shape, reckoning.least[function]) if function in reckoning.least else noise
    seen = np.clip(shown, least, scale.top)
    variance = ((digits + 1.0) * resolution / seen) ** 2 / 3.0 if reckoning.coarse else (noise / seen) ** 2
    return scale.gain[place], variance, least


def reading_log_likelihood(
    ln_shown: FloatArray, deviation: FloatArray, function: Function, value: float, reckoning: Reckoning
) -> FloatArray:
    """Ln p(displayed value | hypothesis) of a reading by itself, up to a constant; shape ``(h,)``."""
    if function is Function.INSULATION:
        value = min(value, reckoning.good_insulation)
    if math.isinf(value):
        return np.where(np.isinf(ln_shown), 0.0, math.log(reckoning.outliers))
    at = math.log(max(value, reckoning.least[function]))
    z = (at - np.where(np.isinf(ln_shown), 1e9, ln_shown)) / deviation
    density = np.exp(-0.5 * np.minimum(z * z, 1400.0)) / deviation * 0.02
    return np.asarray(np.log(np.minimum(density, 1.0) + reckoning.outliers * 0.02))


def apart_classes(ln_shown: FloatArray, deviation: FloatArray, reckoning: Reckoning) -> IntArray:
    """A class number for each hypothesis, shape ``(h,)``: cut wherever neighbours lie clearly apart."""
    order = in_order(ln_shown, least=LEAST)
    with np.errstate(invalid="ignore"):
        gap = np.diff(ln_shown[order])
    joint = np.hypot(deviation[order][1:], deviation[order][:-1])
    cut = np.where(np.isnan(gap), False, rounded(gap / joint) > reckoning.apart)
    number = np.concatenate([[0], np.cumsum(cut)])
    found = np.empty(len(ln_shown), dtype=np.intp)
    found[order] = number
    return found


def between_cuts(middle: FloatArray, deviation: FloatArray, top: FloatArray, reckoning: Reckoning) -> FloatArray:
    """Probability of each class of display under each hypothesis, shape ``(k, t, classes)``.

    ``middle`` and ``deviation`` are ``(k, t)``, ``top`` ln of the top of the range ``(t,)``. Classes are cut in the
    widest gaps, counted in standard deviations, and at the top of the range.
    """
    order = in_order(middle, least=LEAST)
    sorted_middle, sorted_deviation = (np.take_along_axis(x, order, axis=0) for x in (middle, deviation))
    step = np.diff(sorted_middle, axis=0)
    gap = step / (sorted_deviation[1:] + sorted_deviation[:-1])
    # Cut where the neighbours are equally many deviations away.
    at = sorted_middle[:-1] + step * sorted_deviation[:-1] / (sorted_deviation[1:] + sorted_deviation[:-1])
    if len(gap) > CUTS:
        widest = in_order(-gap, least=LEAST)[:CUTS]
        at = np.take_along_axis(at, widest, axis=0)
    cuts = np.sort(np.concatenate([np.minimum(at, top), top[None, :]], axis=0), axis=0)
    below = normal_cdf((cuts.T[None, :, :] - middle[:, :, None]) / deviation[:, :, None])
    ends = np.ones((*below.shape[:2], 1))
    table = np.diff(np.concatenate([np.zeros_like(ends), below, ends], axis=-1), axis=-1)
    return np.asarray((1.0 - reckoning.outliers) * table + reckoning.outliers / table.shape[-1])
