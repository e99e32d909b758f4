"""What a trial is worth: the information expected of it, in bits a minute.

Expected information is the mutual information between the hypothesis and the outcome, under the present posterior. For
a reading the outcome is the class the display falls in: classes are cut in the widest gaps between what the hypotheses
predict, counted in standard deviations, and what is known of the unknowns from earlier readings narrows each
prediction, so that measuring the same thing twice is worth next to nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.effort import ARRIVED, Person, Setup, after, minutes, objection
from probebook.diagnosis.evidence import shown_classes, sight_table, trial_of
from probebook.diagnosis.integration import meter_for
from probebook.diagnosis.posterior import Posterior
from probebook.diagnosis.proving import Proved, proved
from probebook.diagnosis.response import response
from probebook.diagnosis.trials import Trial, TrialKind
from probebook.diagnosis.trials import trials as all_trials
from probebook.meters import Function, Meter
from probebook.meters.likelihood import normal_cdf

FloatArray = NDArray[np.float64]

#: Hypotheses are left out of the reckoning once the rest hold this much together, and beyond this many.
ENOUGH, MOST = 0.99995, 64
#: Number of cuts between classes of readings.
CUTS = 12
#: Share of outcomes that say nothing, whatever is true.
OUTLIERS = 1e-3
#: Chance that a functional run is judged wrongly as a whole (assumed).
MISJUDGED = 0.05
#: A place, in ln, far above any range for what reads over range.
BEYOND = 40.0


@dataclass(frozen=True, slots=True)
class Worth:
    """What one trial is worth now.

    Attributes
    ----------
    trial
        What is to be done.
    bits
        Expected information.
    minutes
        From how the job stands to the result, whatever must be done first included.
    first
        Readings that must come first and be good: earth and insulation before a functional run.
    objection
        Why it may not be done now; empty when it may.
    """

    trial: Trial
    bits: float
    minutes: float
    first: tuple[Trial, ...] = ()
    objection: str = ""

    @property
    def rate(self) -> float:
        """Bits a minute."""
        return self.bits / self.minutes


def values(
    found: Posterior,
    *,
    setup: Setup = ARRIVED,
    person: Person = Person.APPRENTICE,
    trials: Sequence[Trial] | None = None,
    planning: bool = False,
    blocked: bool = False,
) -> tuple[Worth, ...]:
    """What each trial is worth, best first; ties in a fixed order.

    Parameters
    ----------
    found
        The present posterior.
    setup, person
        How the job stands and who does it.
    trials
        What to choose from; all sensible trials that have not been done when None.
    planning
        Think ahead: allow an energised trial whose proving readings are still wanting, with those to be done first
        and their minutes counted.
    blocked
        Also list what may not be done now, with the objection, after the rest.
    """
    done = {trial_of(o) for o in found.evidence}
    candidates = [t for t in (all_trials(found.appliance) if trials is None else trials) if t not in done]
    candidates = [t for t in candidates if _can_read(found.meters, t)]
    state, missing = proved(found.appliance, found.evidence)
    bits = expected_bits(found, candidates)
    rows: list[Worth] = []
    for trial, gain in zip(candidates, bits.tolist(), strict=True):
        ready = state is Proved.GOOD or (planning and state is Proved.NOT_YET)
        against = objection(found.appliance, trial, setup, person=person, proved=ready)
        if against and not blocked:
            continue
        first = missing if trial.kind in (TrialKind.RUN, TrialKind.RECORD) else ()
        rows.append(Worth(trial, gain, _minutes(found, (*first, trial), setup), first, against))
    return tuple(sorted(rows, key=lambda w: (bool(w.objection), -round(w.rate, 9), w.trial.key)))


def _can_read(meters: tuple[Meter, ...], trial: Trial) -> bool:
    return trial.kind is not TrialKind.METER or any(trial.function in m.functions for m in meters)


def _minutes(found: Posterior, steps: Sequence[Trial], setup: Setup) -> float:
    took = 0.0
    for step in steps:
        took += minutes(found.appliance, step, setup)
        setup = after(found.appliance, step, setup)
    return took


def expected_bits(found: Posterior, trials: Sequence[Trial]) -> FloatArray:
    """Expected information of each trial in bits, shape ``(t,)``."""
    rows, weights = contenders(found)
    bits = np.zeros(len(trials))
    meter_places = [i for i, t in enumerate(trials) if t.kind is TrialKind.METER]
    if meter_places:
        table = reading_table(found, [trials[i] for i in meter_places], rows)
        bits[meter_places] = information(weights, table)
    for i, trial in enumerate(trials):
        if trial.kind is not TrialKind.METER:
            bits[i] = float(information(weights, outcome_table(found, trial, rows)[:, None, :])[0])
    return bits


def contenders(found: Posterior) -> tuple[NDArray[np.intp], FloatArray]:
    """The hypotheses worth reckoning with, most probable first, and their probabilities among themselves."""
    order = np.argsort(-found.probabilities, kind="stable")
    mass = np.cumsum(found.probabilities[order])
    count = min(int(np.searchsorted(mass, ENOUGH)) + 1, MOST, len(order))
    rows = order[:count]
    return rows, found.probabilities[rows] / found.probabilities[rows].sum()


def information(weights: FloatArray, table: FloatArray) -> FloatArray:
    """Mutual information in bits of hypothesis and outcome, shape ``(t,)``.

    Parameters
    ----------
    weights
        Probabilities of the hypotheses, shape ``(k,)``, summing to 1.
    table
        Probability of each outcome under each hypothesis, shape ``(k, t, outcomes)``, summing to 1 over outcomes.
    """
    mixed = np.einsum("k,kto->to", weights, table)
    after_it = np.einsum("k,kt->t", weights, entropy(table))
    return np.asarray(np.maximum(entropy(mixed) - after_it, 0.0))


def entropy(probabilities: FloatArray) -> FloatArray:
    """Entropy in bits along the last axis; what cannot happen adds nothing."""
    safe = np.where(probabilities > 0.0, probabilities, 1.0)
    return np.asarray(-(safe * np.log2(safe)).sum(axis=-1))


def outcome_table(found: Posterior, trial: Trial, rows: NDArray[np.intp]) -> FloatArray:
    """Probability of each outcome of a look, run or record under each hypothesis in ``rows``, ``(k, outcomes)``."""
    if trial.kind is TrialKind.LOOK:
        return np.asarray(sight_table(found.appliance, trial.at)[1][rows])
    kinds, place = np.unique(shown_classes(found.appliance, trial)[rows], return_inverse=True)
    table = np.full((len(rows), len(kinds)), MISJUDGED / len(kinds))
    table[np.arange(len(rows)), place] += 1.0 - MISJUDGED
    return table


def reading_table(found: Posterior, trials: Sequence[Trial], rows: NDArray[np.intp]) -> FloatArray:
    """Probability of each class of display under each hypothesis in ``rows``, shape ``(k, t, classes)``."""
    middle, deviation, top = predictions(found, trials, rows)
    order = np.argsort(middle, axis=0, kind="stable")
    sorted_middle, sorted_deviation = (np.take_along_axis(x, order, axis=0) for x in (middle, deviation))
    step = np.diff(sorted_middle, axis=0)
    gap = step / (sorted_deviation[1:] + sorted_deviation[:-1])
    # Cut where the neighbours are equally many deviations away.
    at = sorted_middle[:-1] + step * sorted_deviation[:-1] / (sorted_deviation[1:] + sorted_deviation[:-1])
    if len(gap) > CUTS:
        widest = np.argpartition(-gap, CUTS - 1, axis=0)[:CUTS]
        at = np.take_along_axis(at, widest, axis=0)
    cuts = np.sort(np.concatenate([np.minimum(at, top), top[None, :]], axis=0), axis=0)
    below = normal_cdf((cuts.T[None, :, :] - middle[:, :, None]) / deviation[:, :, None])
    ends = np.ones((*below.shape[:2], 1))
    table = np.diff(np.concatenate([np.zeros_like(ends), below, ends], axis=-1), axis=-1)
    return np.asarray((1.0 - OUTLIERS) * table + OUTLIERS / table.shape[-1])


def predictions(
    found: Posterior, trials: Sequence[Trial], rows: NDArray[np.intp]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Middle and deviation of ln of the display under each hypothesis ``(k, t)``, and ln of the top of the range."""
    known = response(found.appliance, trials)
    mean, factor = found.belief.mean[rows], found.belief.factor[rows]
    slope, ln_ohms = known.slope[rows], known.ln_ohms[rows]
    ohms = np.exp(ln_ohms + (slope @ mean[:, :-2, None])[..., 0])
    middle, deviation, top = np.empty(ohms.shape), np.empty(ohms.shape), np.empty(len(trials))
    for function in dict.fromkeys(t.function for t in trials):
        at = [i for i, t in enumerate(trials) if t.function is function]
        gain_at = -2 if function.through_leads else -1
        scale = _Scale.of(meter_for(found.meters, function), function)
        shown = ohms[:, at] + scale.leads
        noise, gain = scale.at(shown)
        with np.errstate(invalid="ignore"):
            share = np.where(np.isfinite(shown), ohms[:, at] / shown, 0.0)
        full = np.concatenate([slope[:, at] * share[..., None], np.zeros((*shown.shape, 2))], axis=-1)
        full[..., gain_at] = gain
        spread = ((full @ factor) ** 2).sum(axis=-1)
        top[at] = np.log(scale.top)
        ln = np.log(np.maximum(shown, noise)) + gain * mean[:, gain_at, None]
        middle[:, at] = np.minimum(ln, np.log(scale.top) + BEYOND)
        deviation[:, at] = np.sqrt(spread + (noise / np.clip(shown, noise, scale.top)) ** 2)
    return middle, deviation, top


@dataclass(frozen=True, slots=True, eq=False)
class _Scale:
    """The ranges of one function of one instrument as arrays."""

    leads: float
    top: float
    full_scales: FloatArray
    noise: FloatArray
    gain: FloatArray

    @classmethod
    def of(cls, meter: Meter, function: Function) -> _Scale:
        """Read them off the instrument."""
        ranges = meter.ranges_of(function)
        return cls(
            leads=meter.leads_in(function, nulled=False),
            top=ranges[-1].full_scale,
            full_scales=np.array([r.full_scale for r in ranges]),
            noise=np.array([r.resolution * np.sqrt(r.digits**2 / 3 + 1 / 12) for r in ranges]),
            gain=np.array([r.fraction_of_reading / np.sqrt(3) for r in ranges]),
        )

    def at(self, shown: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Deviation of what is shown (SI) and of the gain (relative), in the range that shows it."""
        index = np.minimum(np.searchsorted(self.full_scales, shown), len(self.full_scales) - 1)
        return self.noise[index], self.gain[index]
