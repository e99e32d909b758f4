"""Whether anything that is thought of explains the readings at all, and if not, which of them does not fit.

A posterior shares out a whole among the hypotheses there are, however badly all of them do: a reading that none
explains counts as an outlier under each, and what was thought before comes back. So the readings are held once more
against the hypotheses that are left, outliers kept. Under each the readings are nearly normal about what it predicts,
with the spread of making, alloy, severity and instrument; the sum of squares of their residuals, whitened, is
chi-square of as many degrees of freedom as there are readings, for no unknown is without a spread of its own.

Readings of insulation have no residuals: paths lie in parallel, over decades. They come in by how probable it is that
they are as extreme as that (:func:`~probebook.diagnosis.inference.insulation_tail`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.evidence import Measured, Observation
from probebook.diagnosis.inference import Posterior, device_of, insulation_tail
from probebook.diagnosis.probability.integration import Instrument, meter_for, shown_slope
from probebook.diagnosis.trial import Trial
from probebook.meters import Function, Meter, limits
from probebook.numerics.chi_square import chi_square_tail
from probebook.numerics.choosing import largest, smallest_of
from probebook.numerics.matrices import inverse, product
from probebook.numerics.rounding import rounded, rounded_number

__all__ = ["Fit", "Residuals", "chances_of", "contradictions", "fit_of", "residuals", "together"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Fit:
    """How well the best explanation there is explains the readings.

    Attributes
    ----------
    chance
        How probable readings as far off as these are under the hypothesis that does best, plain ones and insulation
        together; 0 where one is over range that it says is not, or the other way round.
    fits
        Whether that is chance enough, and no two readings contradict each other.
    worst
        Place in the evidence of the reading that fits least; -1 where all of them fit.
    against
        Pairs of places of readings of one thing that contradict each other, in order.
    """

    chance: float
    fits: bool
    worst: int
    against: tuple[tuple[int, int], ...]

    @property
    def aside(self) -> tuple[int, ...]:
        """Places of what would have to be set aside: readings that contradict each other, or else the worst one."""
        return tuple(sorted({i for pair in self.against for i in pair})) or ((self.worst,) if self.worst >= 0 else ())


@dataclass(frozen=True, slots=True, eq=False)
class Residuals:
    """Readings against some hypotheses.

    Attributes
    ----------
    off
        How far each reading is from what is predicted, shape ``(h, t)``; 0 where it is not counted.
    spread
        Covariance of that, shape ``(h, t, t)``.
    counted
        Whether a reading counts as a residual, shape ``(h, t)``.
    outright
        Whether it is over range on one side only, shape ``(h, t)``.
    """

    off: FloatArray
    spread: FloatArray
    counted: BoolArray
    outright: BoolArray


def fit_of(found: Posterior) -> Fit:
    """Hold the readings of a posterior against the hypotheses it leaves; no reading, nothing to fit."""
    against = contradictions(found.evidence, found.meters)
    plain, tests = (_readings(found.evidence, through_leads=through) for through in (True, False))
    if not plain and not tests:
        return Fit(1.0, not against, -1, against)
    rows = _weighed(found)
    left = _residuals(found, rows, plain)
    chances, tails = chances_of(left), [insulation_tail(found, row) for row in rows]
    whole = [together(pair, count=bool(plain) + bool(tests)) for pair in zip(chances, tails, strict=True)]
    wrong = left.outright.sum(axis=1).tolist()
    at = smallest_of(range(len(rows)), lambda k: wrong[k], lambda k: (-rounded_number(whole[k]), k))
    chance = 0.0 if wrong[at] else whole[at]
    if rounded_number(chance) >= found.model.assumed.fitting.least_chance:
        return Fit(chance, not against, -1, against)
    by_insulation = not wrong[at] and tails[at] < chances[at]
    worst = _worst_test(found, rows[at], tests) if by_insulation else plain[_worst(left, at)]
    return Fit(chance, False, worst, against)


def together(chances: tuple[float, float], *, count: int) -> float:
    """The p-value of ``count`` independent tests by the least of theirs (Šidák 1967, see :mod:`.insulation`)."""
    return 1.0 - (1.0 - min(chances)) ** count


def contradictions(evidence: Sequence[Observation], meters: tuple[Meter, ...]) -> tuple[tuple[int, int], ...]:
    """Places of readings of one thing in one state of which no true value can have given both."""
    alike: dict[Trial, list[int]] = {}
    for place, item in enumerate(evidence):
        if isinstance(item, Measured):
            alike.setdefault(_same(item.trial), []).append(place)
    pairs = (pair for places in alike.values() for pair in combinations(places, 2))
    return tuple(sorted((i, j) for i, j in pairs if _disagree(evidence[i], evidence[j], meters)))


def _same(trial: Trial) -> Trial:
    """The trial by what it asks of the appliance: whichever way round the probes are, ohms and continuity alike."""
    function = Function.OHMS if trial.function.through_leads else trial.function
    a, b = sorted(trial.probes)
    return replace(trial, function=function, probes=(a, b))


def _disagree(one: Observation, other: Observation, meters: tuple[Meter, ...]) -> bool:
    assert isinstance(one, Measured)
    assert isinstance(other, Measured)
    low, high = (
        limits(meter_for(meters, o.trial.function), o.trial.function, o.value, nulled=o.nulled) for o in (one, other)
    )
    return max(low[0], high[0]) > min(low[1], high[1])


def _readings(evidence: Sequence[Observation], *, through_leads: bool) -> list[int]:
    """Places of the readings taken through the leads' own ohms, or else of those of insulation."""
    readings = ((i, o) for i, o in enumerate(evidence) if isinstance(o, Measured))
    return [i for i, o in readings if o.trial.function.through_leads is through_leads]


def _weighed(found: Posterior) -> list[int]:
    """Rows of the hypotheses that are held against the readings: the likeliest few."""
    assumed = found.model.assumed.fitting
    scores = rounded(found.probabilities)
    rows = np.argsort(-scores, kind="stable")[: assumed.most].tolist()
    return [row for row in rows if scores[row] >= assumed.weighed] or rows[:1]


def _residuals(found: Posterior, rows: list[int], places: list[int]) -> Residuals:
    taken = [o for i in places if isinstance(o := found.evidence[i], Measured)]
    known = found.model.response([m.trial for m in taken])
    return residuals(found, known.ln_ohms[rows], known.slope[rows], taken)


def residuals(found: Posterior, ln_ohms: FloatArray, slope: FloatArray, taken: Sequence[Measured]) -> Residuals:
    """Readings against what some hypotheses predict: ln of ohms ``(h, t)`` and its slopes ``(h, t, u)``."""
    device = device_of(taken, found.meters)
    ohms = np.exp(ln_ohms)
    full = shown_slope(slope, ohms, device)
    counted, outright = _sorted(found, ohms + device.leads, full, device)
    predicted = np.where(counted, ohms + device.leads, 1.0)
    shown = np.where(np.isfinite(device.shown), device.shown, 1.0)
    # Of few ohms the digits are the most of what is off, and they are off in ohms; of many the rest, and that in ln.
    few = predicted < found.model.assumed.fitting.few_ohms
    with np.errstate(divide="ignore"):
        ln_off = np.log(np.maximum(shown, device.noise)) - np.log(predicted)
    off = np.where(counted, np.where(few, shown - predicted, ln_off), 0.0)
    own = np.where(counted, np.where(few, device.noise, device.noise / np.maximum(shown, predicted)), 1.0)
    moved = np.where(counted[..., None], full * np.where(few, predicted, 1.0)[..., None], 0.0)
    spread = product(moved, np.swapaxes(moved, -1, -2)) + own[..., None] ** 2 * np.eye(own.shape[-1])
    return Residuals(off, spread, counted, outright)


def _sorted(
    found: Posterior, predicted: FloatArray, full: FloatArray, device: Instrument
) -> tuple[BoolArray, BoolArray]:
    """Which readings have a residual under each hypothesis, and which are over range on one side only."""
    assumed = found.model.assumed.fitting
    over = np.isinf(device.shown)
    deviation = assumed.far * np.sqrt((full**2).sum(axis=-1) + (device.noise / device.top) ** 2)
    with np.errstate(invalid="ignore"):
        short = np.log(device.top) - np.log(predicted) > deviation
        beyond = np.log(predicted) - np.log(np.maximum(device.shown, device.noise)) > deviation
    # Nobody reads insulation with an ohmmeter: whatever it shows of so much says that nothing joins the probes.
    through = predicted >= assumed.insulation
    nothing = through & (over | ~beyond | (device.shown >= assumed.insulation))
    outright = ~nothing & np.where(over, short, through)
    return np.asarray(~nothing & ~over & ~through), np.asarray(outright)


def chances_of(left: Residuals) -> list[float]:
    """How probable the readings that have residuals are under each hypothesis; 1 where there are none."""
    pulled = product(inverse(left.spread), left.off[..., None])[..., 0]
    whole = (left.off * pulled).sum(axis=-1)
    return [chi_square_tail(float(w), int(n)) for w, n in zip(whole, left.counted.sum(axis=1), strict=True)]


def _worst_test(found: Posterior, row: int, tests: list[int]) -> int:
    """Place of the insulation reading without which the others fit best."""
    kept = [[found.evidence[i] for i in tests if i != out] for out in tests]
    return tests[largest(np.array([insulation_tail(replace(found, evidence=tuple(k)), row) for k in kept]))]


def _worst(left: Residuals, at: int) -> int:
    """Place of the reading that fits least: over range on one side only, or furthest from what all others predict."""
    if left.outright[at].any():
        return int(np.flatnonzero(left.outright[at])[0])
    precision = inverse(left.spread[at : at + 1])[0]
    pull = product(precision, left.off[at][:, None])[:, 0]
    return largest(np.abs(pull) / np.sqrt(np.diagonal(precision)))
