"""The gates a case has to pass before it is issued; a draw that fails one is put back with the reason."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance
from probebook.cases.assumed import Gates
from probebook.cases.condemning import dried_places, unlisted, unread
from probebook.cases.instance import Instance
from probebook.cases.investigation import across
from probebook.cases.trial_table import TrialTable, is_earth
from probebook.diagnosis import Complaint, Evidence, Measured, Proof, posterior
from probebook.diagnosis.fit import fit_of
from probebook.diagnosis.inference import LEAKS, Posterior
from probebook.diagnosis.model import ApplianceModel
from probebook.meters import Function, Meter, limits
from probebook.numerics.choosing import largest_of
from probebook.numerics.rounding import rounded, rounded_number

__all__ = [
    "PutBack",
    "check_condemned",
    "check_count",
    "check_fits",
    "check_guard_bands",
    "check_insulation",
    "check_level",
    "check_proved",
    "check_ranges",
    "check_steady",
    "gives_away",
]


class PutBack(Exception):  # noqa: N818 - nobody's mistake: a draw that is put back
    """A draw makes no fair case; the message says why."""


def _gates(appliance: Appliance) -> Gates:
    return appliance.assumptions.get(Gates)


def gives_away(appliance: Appliance, level: int, truth: Sequence[str], row: int, heard: NDArray[np.float64]) -> bool:
    """Whether a complaint, after which ``heard`` is thought, gives too much away to make a case of a level."""
    gates = _gates(appliance)
    if rounded_number(float(heard.max())) > gates.complaint_alone:
        return True
    return level == 4 and len(truth) < 2 and _is_usual(gates, row, heard)


def _is_usual(gates: Gates, row: int, heard: NDArray[np.float64]) -> bool:
    """Whether the cause is among those that are thought of first with such a complaint."""
    return rounded_number(float(heard[row] / heard.max())) >= gates.usual_cause


def check_proved(found: Posterior, row: int) -> None:
    """The evidence establishes the truth, with something to spare."""
    probabilities = rounded(found.probabilities)
    gates, rivals = _gates(found.appliance), np.delete(probabilities, row)
    if probabilities[row] < gates.sure or rivals.max(initial=0.0) > gates.rival:
        raise PutBack("the evidence does not settle it")


def check_insulation(found: Posterior, row: int) -> None:
    """Good insulation readings only clear what leaks: without them, nothing else becomes likely again."""
    kept = [o for o in found.evidence if not found.is_good_insulation(o)]
    if len(kept) == len(found.evidence):
        return
    without = posterior(found.model, kept, found.meters, draws=1)
    share = np.where([found.leaks(i) for i in range(len(found.hypotheses))], 0.0, without.probabilities)
    share[row] = without.probabilities[row]
    if rounded_number(share[row] / share.sum()) < _gates(found.appliance).sure:
        raise PutBack("good insulation readings tell what only ohms should")


def check_condemned(view: TrialTable, truth: Sequence[str], evidence: Evidence) -> None:
    """Each faulty part is read itself, and no other single failure of the circuit fits all that was read and seen.

    What leaks or is damp is read before it was dried out and after.
    """
    if unread(view.appliance, truth, evidence):
        raise PutBack("a part is condemned without a reading of it")
    if -1 in dried_places(view.appliance, truth, evidence).values():
        raise PutBack("damp or a leak is named before it was dried out")
    if left := unlisted(view.appliance, truth, evidence, view.meters):
        raise PutBack(f"a failure that is not listed fits as well: {left[0][0].branch or left[0][0].mode}")


def check_steady(found: Posterior, row: int, made: Instance, rng: random.Random) -> None:
    """The key stays when the instruments err as far as they may: all one way, all the other, and each its own way."""
    places = [i for i, o in enumerate(found.evidence) if isinstance(o, Measured)]
    trials = [o.trial for o in found.evidence if isinstance(o, Measured)]
    ohms = made.ohms(trials)
    functions, gates = list(dict.fromkeys(t.function for t in trials)), _gates(found.appliance)
    for sign in (1.0, -1.0, *[0.0] * gates.corners):
        gains = {f: sign or rng.choice((-1.0, 1.0)) for f in functions}
        evidence = list(found.evidence)
        for i, trial, value in zip(places, trials, ohms, strict=True):
            errors = gains[trial.function], sign or rng.choice((-1.0, 1.0))
            evidence[i] = made.shown(trial, value, errors=errors)
        again = posterior(found.model, evidence, found.meters, draws=1)
        if rounded_number(again.probabilities[row]) < gates.steady:
            raise PutBack("the key would not stay if the meter erred otherwise")


def check_fits(found: Posterior) -> None:
    """Something explains the readings: no case is to turn on a freak of making or of the meter."""
    if not fit_of(found).fits:
        raise PutBack("the readings fit nothing")


def check_ranges(appliance: Appliance, evidence: Evidence, meters: Sequence[Meter]) -> None:
    """No display lies where the instrument changes range: it could be read in either, with another accuracy."""
    room = _gates(appliance).range_change
    for item in evidence:
        if not isinstance(item, Measured):
            continue
        ranges = next(m for m in meters if item.trial.function in m.functions).ranges_of(item.trial.function)
        for lower, upper in itertools.pairwise(ranges):
            if abs(item.value - lower.full_scale) <= room * upper.accuracy(lower.full_scale):
                raise PutBack("a reading lies where the meter changes range")


def check_guard_bands(model: ApplianceModel, evidence: Evidence, meters: Sequence[Meter]) -> None:
    """No earth or insulation reading reaches across the limit it is judged by."""
    for item in evidence:
        if not isinstance(item, Measured):
            continue
        if item.trial.function is Function.INSULATION:
            bound = model.least_insulation_ohms
        elif is_earth(model.appliance, item.trial):
            bound = model.most_earth_ohms
        else:
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
    view: TrialTable,
    row: int,
    heard: NDArray[np.float64],
) -> None:
    """The case asks of a learner what its level says; ``heard`` is what is thought after the complaint.

    What leaks is read once more after drying out, so that one reading fewer may decide.
    """
    used = [evidence[i] for i in proof.observations]
    least = _least(view.appliance, truth)
    count = sum(not isinstance(o, Complaint) for o in used)
    if not proof.established:
        raise PutBack("the proof falls short")
    if level == 1 and count != 1:
        raise PutBack("more than one reading is needed")
    if level == 2 and not least <= count <= 3:
        raise PutBack("not two or three readings decide")
    if level >= 3 and count < least:
        raise PutBack("one reading decides")
    if level == 3 and not (_parallel(evidence, view) or _positions(evidence) >= 2):
        raise PutBack("no parallel path misleads and only one position matters")
    if level == 4 and len(truth) < 2 and _is_usual(_gates(view.appliance), row, heard):
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
    while places and not _settled(found, score, row):
        best = largest_of(places, partial(_share_with, found, score, row))
        score = score + found.by_observation[:, best]
        places.remove(best)
        count += 1
    few = level > 1 and count < _least(found.appliance, found.hypotheses[row].faults)
    if few or (level == 1 and count > 1) or (level == 2 and count > 4):
        raise PutBack("one reading decides" if few else "too many readings are needed")


def _least(appliance: Appliance, truth: Iterable[str]) -> int:
    """Readings that have to decide above level 1, but for those after drying out."""
    return 1 if any(appliance.fault(f).kind in LEAKS for f in truth) else 2


def _share_with(found: Posterior, score: NDArray[np.float64], row: int, place: int) -> float:
    together = score + found.by_observation[:, place]
    return float(1.0 / np.exp(together - together[row]).sum())


def _settled(found: Posterior, score: NDArray[np.float64], row: int) -> bool:
    weights = np.exp(score - score.max())
    weights = rounded(weights / weights.sum())
    settling, rivals = found.model.assumed.settling, np.delete(weights, row)
    return bool(weights[row] >= settling.determined and rivals.max(initial=0.0) <= settling.runner_up)


def _parallel(evidence: Evidence, view: TrialTable) -> bool:
    """Whether a reading across a load, all wires on, shows well away from the load itself."""
    apart = _gates(view.appliance).misleads
    for item in evidence:
        if isinstance(item, Measured) and not item.trial.lifted and item.trial.function is Function.OHMS:
            load = across(view, item.trial)
            if load and np.isfinite(item.value):
                own = view.appliance.branches[view.appliance.branch(load)].cold_ohms
                if abs(np.log(max(item.value, 0.01) / own)) > apart:
                    return True
    return False


def _positions(evidence: Evidence) -> int:
    """In how many settings of the controls something was read."""
    return len({(o.trial.position, o.trial.calling) for o in evidence if isinstance(o, Measured)})
