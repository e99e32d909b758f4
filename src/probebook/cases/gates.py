"""The gates a case has to pass before it is issued; a draw that fails one is put back with the reason."""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from typing import TypeGuard

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, FaultKind
from probebook.cases.inquiry import across
from probebook.cases.made import Made
from probebook.cases.outlook import GOOD_INSULATION, Outlook, is_earth
from probebook.diagnosis import Complaint, Evidence, Measured, Observation, Proof, posterior
from probebook.diagnosis.posterior import DETERMINED, RUNNER_UP, Posterior
from probebook.diagnosis.proving import LEAST_INSULATION_OHMS, MOST_EARTH_OHMS
from probebook.meters import Function, Meter, limits

__all__ = [
    "ALONE",
    "PutBack",
    "check_count",
    "check_guard_bands",
    "check_insulation",
    "check_level",
    "check_proved",
    "check_ranges",
    "check_steady",
]

#: The most that the complaint alone may give to any one explanation.
ALONE = 0.6
#: What the evidence must give to the truth, and the most to a rival: a little beyond what counts as determined.
SURE, RIVAL = 0.955, 0.018
#: What the truth must keep when the instruments err as far as they may, and how many mixed cases of that are tried.
STEADY, CORNERS = 0.9, 2


class PutBack(Exception):  # noqa: N818 - nobody's mistake: a draw that is put back
    """A draw makes no fair case; the message says why."""


def check_proved(found: Posterior, row: int) -> None:
    """The evidence establishes the truth, with something to spare."""
    rivals = np.delete(found.probabilities, row)
    if found.probabilities[row] < SURE or rivals.max(initial=0.0) > RIVAL:
        raise PutBack("the evidence does not settle it")


def check_insulation(found: Posterior, row: int) -> None:
    """Good insulation readings only clear what leaks: without them, nothing else becomes likely again."""
    kept = [o for o in found.evidence if not (_is_insulation(o) and o.value >= GOOD_INSULATION)]
    if len(kept) == len(found.evidence):
        return
    without = posterior(found.appliance, kept, found.meters, draws=1)
    leaking = {f.id for f in found.appliance.faults if f.kind in (FaultKind.LEAK, FaultKind.DAMP)}
    share = np.where([bool(h.faults & leaking) for h in found.hypotheses], 0.0, without.probabilities)
    share[row] = without.probabilities[row]
    if share[row] < SURE * share.sum():
        raise PutBack("good insulation readings tell what only ohms should")


def _is_insulation(item: Observation) -> TypeGuard[Measured]:
    return isinstance(item, Measured) and item.trial.function is Function.INSULATION


def check_steady(found: Posterior, row: int, made: Made, rng: random.Random) -> None:
    """The key stays when the instruments err as far as they may: all one way, all the other, and each its own way."""
    places = [i for i, o in enumerate(found.evidence) if isinstance(o, Measured)]
    trials = [o.trial for o in found.evidence if isinstance(o, Measured)]
    ohms = made.ohms(trials)
    functions = list(dict.fromkeys(t.function for t in trials))
    for sign in (1.0, -1.0, *[0.0] * CORNERS):
        gains = {f: sign or rng.choice((-1.0, 1.0)) for f in functions}
        evidence = list(found.evidence)
        for i, trial, value in zip(places, trials, ohms, strict=True):
            errors = gains[trial.function], sign or rng.choice((-1.0, 1.0))
            evidence[i] = made.shown(trial, value, errors=errors)
        again = posterior(found.appliance, evidence, found.meters, draws=1)
        if again.probabilities[row] < STEADY:
            raise PutBack("the key would not stay if the meter erred otherwise")


def check_ranges(evidence: Evidence, meters: Sequence[Meter]) -> None:
    """No display lies where the instrument changes range: it could be read in either, with another accuracy."""
    for item in evidence:
        if not isinstance(item, Measured):
            continue
        ranges = next(m for m in meters if item.trial.function in m.functions).ranges_of(item.trial.function)
        for lower, upper in itertools.pairwise(ranges):
            if abs(item.value - lower.full_scale) <= 2.0 * upper.accuracy(lower.full_scale):
                raise PutBack("a reading lies where the meter changes range")


def check_guard_bands(appliance: Appliance, evidence: Evidence, meters: Sequence[Meter]) -> None:
    """No earth or insulation reading reaches across the limit it is judged by."""
    for item in evidence:
        if not isinstance(item, Measured):
            continue
        bound = (
            LEAST_INSULATION_OHMS
            if item.trial.function is Function.INSULATION
            else MOST_EARTH_OHMS
            if is_earth(appliance, item.trial)
            else None
        )
        if bound is None:
            continue
        meter = next(m for m in meters if item.trial.function in m.functions)
        low, high = limits(meter, item.trial.function, item.value, nulled=item.nulled)
        if low < bound < high:
            raise PutBack("a reading lies within the guard band of its limit")


def check_level(
    level: int,
    truth: Sequence[str],
    proof: Proof,
    evidence: Evidence,
    view: Outlook,
    row: int,
    heard: NDArray[np.float64],
) -> None:
    """The case asks of a learner what its level says."""
    used = [evidence[i] for i in proof.observations]
    count = sum(not isinstance(o, Complaint) for o in used)
    if not proof.established:
        raise PutBack("the proof falls short")
    if level == 1 and count != 1:
        raise PutBack("more than one reading is needed")
    if level == 2 and not 2 <= count <= 3:
        raise PutBack("not two or three readings decide")
    if level >= 3 and count < 2:
        raise PutBack("one reading decides")
    if level == 3 and not (_parallel(evidence, view) or _positions(evidence) >= 2):
        raise PutBack("no parallel path misleads and only one position matters")
    if level == 4 and len(truth) < 2 and heard[row] >= 0.5 * heard.max():
        raise PutBack("the usual cause is the cause")


def check_count(level: int, found: Posterior, row: int) -> None:
    """The number of observations that decide is likely to be that of the level: a quick look before the proof.

    Observations are taken as independent, which the proof does not.
    """
    prior = np.log([h.prior for h in found.hypotheses])
    places = [i for i, o in enumerate(found.evidence) if not isinstance(o, Complaint)]
    heard = [i for i, o in enumerate(found.evidence) if isinstance(o, Complaint)]
    score = prior + found.by_observation[:, heard].sum(axis=1)
    count = 0
    while places and not _settled(score, row):
        best = max(places, key=lambda i: (_share(score + found.by_observation[:, i], row), -i))
        score = score + found.by_observation[:, best]
        places.remove(best)
        count += 1
    if (level == 1 and count > 1) or (level == 2 and count > 4) or (level > 1 and count < 2):
        raise PutBack("one reading decides" if count < 2 else "too many readings are needed")


def _share(score: NDArray[np.float64], row: int) -> float:
    return float(1.0 / np.exp(score - score[row]).sum())


def _settled(score: NDArray[np.float64], row: int) -> bool:
    weights = np.exp(score - score.max())
    weights /= weights.sum()
    return bool(weights[row] >= DETERMINED and np.delete(weights, row).max(initial=0.0) <= RUNNER_UP)


def _parallel(evidence: Evidence, view: Outlook) -> bool:
    """Whether a reading across a load, all wires on, shows well away from the load itself."""
    for item in evidence:
        if isinstance(item, Measured) and not item.trial.lifted and item.trial.function is Function.OHMS:
            load = across(view, item.trial)
            if load and np.isfinite(item.value):
                own = view.appliance.branches[view.appliance.branch(load)].cold_ohms
                if abs(np.log(max(item.value, 0.01) / own)) > 0.15:
                    return True
    return False


def _positions(evidence: Evidence) -> int:
    """In how many settings of the controls something was read."""
    return len({(o.trial.position, o.trial.calling) for o in evidence if isinstance(o, Measured)})
