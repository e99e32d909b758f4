"""What a trial is worth: the information expected of it, in bits a minute.

Expected information is the mutual information between the hypothesis and the outcome, under the present posterior. For
a reading the outcome is the class the display falls in: classes are cut in the widest gaps between what the hypotheses
predict, counted in standard deviations, and what is known of the unknowns from earlier readings narrows each
prediction, so that measuring the same thing twice is worth next to nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.effort import ARRIVED, Objection, Person, Setup, after, minutes, objection
from probebook.diagnosis.evidence import Measured, shown_classes, sight_table, trial_of
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.observing import between_cuts, display_noise, scale_for
from probebook.diagnosis.probability.integration import meter_for
from probebook.diagnosis.proving import Proved, proved
from probebook.diagnosis.trial import Trial, TrialKind
from probebook.meters import Function, Meter
from probebook.numerics.choosing import in_order
from probebook.numerics.matrices import product
from probebook.numerics.rounding import rounded, rounded_number

FloatArray = NDArray[np.float64]

#: Hypotheses are left out of the reckoning once the rest hold this much together, and beyond this many.
ENOUGH, MOST = 0.99995, 64
#: A place, in ln, far above any range for what reads over range.
BEYOND = 40.0
#: Information is a small difference of large numbers: no finer than this.
LEAST_BITS = 1e-9


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
        Why it may not be done now; None when it may.
    """

    trial: Trial
    bits: float
    minutes: float
    first: tuple[Trial, ...] = ()
    objection: Objection | None = None

    @property
    def rate(self) -> float:
        """Bits a minute, rounded as scores are."""
        return rounded_number(self.bits / self.minutes)


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
    candidates = [t for t in (found.model.trials if trials is None else trials) if t not in done]
    candidates = [t for t in candidates if _can_read(found.meters, t)]
    state, missing = proved(found.model, found.evidence, found.meters)
    bits = expected_bits(found, candidates)
    rows: list[Worth] = []
    for trial, gain in zip(candidates, bits.tolist(), strict=True):
        ready = state is Proved.GOOD or (planning and state is Proved.NOT_YET)
        against = objection(found.model, trial, setup, person=person, proved=ready)
        if against and not blocked:
            continue
        first = missing if trial.kind in (TrialKind.RUN, TrialKind.RECORD) else ()
        rows.append(Worth(trial, gain, _minutes(found, (*first, trial), setup), first, against))
    return tuple(sorted(rows, key=lambda w: (bool(w.objection), -w.rate, w.trial.key)))


def _can_read(meters: tuple[Meter, ...], trial: Trial) -> bool:
    return trial.kind is not TrialKind.METER or any(trial.function in m.functions for m in meters)


def _minutes(found: Posterior, steps: Sequence[Trial], setup: Setup) -> float:
    took = 0.0
    for step in steps:
        took += minutes(found.model, step, setup)
        setup = after(found.model, step, setup)
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
    order = in_order(-found.probabilities)
    mass = rounded(np.cumsum(found.probabilities[order]))
    count = min(int(np.searchsorted(mass, ENOUGH)) + 1, MOST, len(order))
    rows = order[:count]
    return rows, found.probabilities[rows] / found.probabilities[rows].sum()


def information(weights: FloatArray, table: FloatArray) -> FloatArray:
    """Mutual information in bits of hypothesis and outcome, shape ``(t,)``, rounded as scores are.

    Parameters
    ----------
    weights
        Probabilities of the hypotheses, shape ``(k,)``, summing to 1.
    table
        Probability of each outcome under each hypothesis, shape ``(k, t, outcomes)``, summing to 1 over outcomes.
    """
    mixed = product(weights, table.reshape(len(weights), -1)).reshape(table.shape[1:])
    after_it = product(weights, entropy(table))
    return np.asarray(np.maximum(rounded(entropy(mixed) - after_it, least=LEAST_BITS), 0.0))


def entropy(probabilities: FloatArray) -> FloatArray:
    """Entropy in bits along the last axis; what cannot happen adds nothing."""
    safe = np.where(probabilities > 0.0, probabilities, 1.0)
    return np.asarray(-(safe * np.log2(safe)).sum(axis=-1))


def outcome_table(found: Posterior, trial: Trial, rows: NDArray[np.intp]) -> FloatArray:
    """Probability of each outcome of a look, run or record under each hypothesis in ``rows``, ``(k, outcomes)``."""
    if trial.kind is TrialKind.LOOK:
        return np.asarray(sight_table(found.model, trial.at)[1][rows])
    kinds, place = np.unique(shown_classes(found.model, trial)[rows], return_inverse=True)
    misjudged = found.model.assumed.chances.run_misjudged
    table = np.full((len(rows), len(kinds)), misjudged / len(kinds))
    table[np.arange(len(rows)), place] += 1.0 - misjudged
    return table


def reading_table(found: Posterior, trials: Sequence[Trial], rows: NDArray[np.intp]) -> FloatArray:
    """Probability of each class of display under each hypothesis in ``rows``, shape ``(k, t, classes)``.

    Insulation that is good by far is one class: nobody is to find an open part by it.
    """
    middle, deviation, top = predictions(found, trials, rows)
    reckonings = found.model.assumed.reckonings
    good = math.log(reckonings.good_insulation)
    at = [i for i, t in enumerate(trials) if t.function is Function.INSULATION]
    beyond = np.maximum(middle[:, at] - good, 0.0) / reckonings.coarse.apart
    deviation[:, at] = np.maximum(deviation[:, at] - beyond, deviation[:, at].min(axis=0))
    middle[:, at] = np.minimum(middle[:, at], good)
    return between_cuts(middle, deviation, top, reckonings.fine)


def predictions(
    found: Posterior, trials: Sequence[Trial], rows: NDArray[np.intp]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Middle and deviation of ln of the display under each hypothesis ``(k, t)``, and ln of the top of the range."""
    known = found.model.response(trials)
    reckoning = found.model.assumed.reckonings.fine
    belief = found.belief
    mean, factor = belief.mean[rows], belief.factor[rows]
    slope, ln_ohms = known.slope[rows], known.ln_ohms[rows]
    ohms = np.exp(ln_ohms + product(slope, mean[:, :-2, None])[..., 0])
    middle, deviation, top = np.empty(ohms.shape), np.empty(ohms.shape), np.empty(len(trials))
    for function in dict.fromkeys(t.function for t in trials):
        at = [i for i, t in enumerate(trials) if t.function is function]
        gain_at = -2 if function.through_leads else -1
        scale = scale_for(meter_for(found.meters, function), function, reckoning)
        shown = ohms[:, at] + scale.leads
        gain, noise, least = display_noise(scale, function, shown, reckoning)
        with np.errstate(invalid="ignore"):
            share = np.where(np.isfinite(shown), ohms[:, at] / shown, 0.0)
        full = np.concatenate([slope[:, at] * share[..., None], np.zeros((*shown.shape, 2))], axis=-1)
        full[..., gain_at] = gain
        spread = (product(full, factor) ** 2).sum(axis=-1)
        top[at] = np.log(scale.top)
        ln = np.log(np.maximum(shown, least)) + gain * mean[:, gain_at, None]
        middle[:, at] = np.minimum(ln, np.log(scale.top) + BEYOND)
        deviation[:, at] = np.sqrt(spread + noise)
    _repeat(found, trials, rows, middle, deviation)
    return middle, deviation, top


def _repeat(
    found: Posterior, trials: Sequence[Trial], rows: NDArray[np.intp], middle: FloatArray, deviation: FloatArray
) -> None:
    """Put in what insulation tests will show that find, under a hypothesis, the same paths as one already done.

    What is linear in the logarithm misses that where the paths lie far from what was to be expected.
    """
    done = [o for o in found.evidence if isinstance(o, Measured) and o.trial.function is Function.INSULATION]
    asked = [i for i, t in enumerate(trials) if t.function is Function.INSULATION] if done else []
    responses, reckoning = found.model.responses, found.model.assumed.reckonings.fine
    for item in done:
        scale = scale_for(meter_for(found.meters, Function.INSULATION), Function.INSULATION, reckoning)
        shown = np.array([item.value])
        _, noise, least = display_noise(scale, Function.INSULATION, shown, reckoning)
        at = np.log(np.maximum(shown, least))[0] if np.isfinite(item.value) else np.log(scale.top) + BEYOND
        before = responses.leaks(item.trial)
        for i in asked:
            same = before.same(responses.leaks(trials[i]))[rows]
            middle[same, i], deviation[same, i] = at, np.sqrt(2.0 * noise[0])
