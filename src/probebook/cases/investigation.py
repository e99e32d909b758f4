"""What a sound investigation reads: always something worth its minutes, until one explanation is left.

The course varies with the seed among trials that are nearly as good, so that two cases of one fault are not told by the
same row of readings.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from probebook.appliances.naming import load_between
from probebook.cases.assumed import Gates, Investigating
from probebook.cases.trial_table import TrialTable, is_earth
from probebook.diagnosis.effort import ARRIVED, Setup, after, minutes
from probebook.diagnosis.evidence import Measured, Observation, Ran
from probebook.diagnosis.places import wires_at
from probebook.diagnosis.symptom_table import Symptoms
from probebook.diagnosis.trial import Trial, TrialKind
from probebook.meters import Function
from probebook.numerics.choosing import largest
from probebook.numerics.matrices import product
from probebook.numerics.rounding import rounded

__all__ = [
    "Investigation",
    "across",
    "decisive",
    "freed",
    "investigate",
    "leaves",
    "misleading",
    "nearly_decisive",
    "suspect_second",
    "together",
    "unremarkable",
]

FloatArray = NDArray[np.float64]


@dataclass(slots=True)
class Investigation:
    """An investigation under way: what was done, what it took, what is thought; ``barred`` trials are left out."""

    view: TrialTable
    take: Callable[[Trial], Measured]
    shows: Symptoms
    weights: FloatArray
    setup: Setup = ARRIVED
    spent: float = 0.0
    barred: frozenset[int] = frozenset()
    steps: list[tuple[int, Observation]] = field(default_factory=list)

    @property
    def done(self) -> set[int]:
        """Columns of the trials done."""
        return {column for column, _ in self.steps}

    @property
    def settled(self) -> bool:
        """Whether one explanation is left."""
        second, first = np.sort(rounded(self.weights))[-2:]
        assumed = _assumed(self.view)
        return bool(first >= assumed.left and second <= assumed.other)

    def do(self, column: int) -> None:
        """Do a trial and learn from it."""
        trial = self.view.trials[column]
        self.spent += minutes(self.view.model, trial, self.setup)
        self.setup = after(self.view.model, trial, self.setup)
        if trial.kind is TrialKind.RUN:
            seen = tuple(s for s in self.shows if s.position == trial.position)
            likelihood = self.view.symptoms.ran(seen)
            self.steps.append((column, Ran(trial.position, seen)))
        else:
            reading = self.take(trial)
            likelihood = self.view.reading_likelihood(column, reading.value)
            self.steps.append((column, reading))
        score = self.weights * np.exp(likelihood - likelihood.max())
        self.weights = score / score.sum()


def _assumed(view: TrialTable) -> Investigating:
    return view.appliance.assumptions.get(Investigating)


def investigate(job: Investigation, rng: random.Random | None, most: int) -> bool:
    """Go on until one explanation is left; False when ``most`` trials are not enough or nothing more can be told.

    Without a random stream the best trial is always taken.
    """
    while not job.settled:
        if len(job.steps) >= most:
            return False
        bits = _bits(job)
        worthless = _assumed(job.view).worthless
        if bits.max() < worthless:
            if not _prove_safe(job):
                return False
            if not _good_so_far(job):
                continue
            bits = _bits(job)
            if bits.max() < worthless:
                return False
        job.do(_choose(job, bits, rng))
    return True


def _bits(job: Investigation) -> FloatArray:
    """Expected information of each trial, nought where it may not be done."""
    bits = job.view.information(job.weights)
    bits[~_allowed(job)] = 0.0
    return bits


def _prove_safe(job: Investigation) -> bool:
    """Take the safety readings still wanting, so that the supply may go back; False when there are none to take."""
    missing = [c for c in job.view.safety if c not in job.done]
    if not missing or not _good_so_far(job):
        return False
    for column in missing:
        job.do(column)
    return True


def _choose(job: Investigation, bits: FloatArray, rng: random.Random | None) -> int:
    """The trial worth most a minute, or one drawn from those that are nearly as good."""
    view, assumed = job.view, _assumed(job.view)
    cost = np.array(
        [
            minutes(view.model, t, job.setup) if b >= assumed.worthless else np.inf
            for t, b in zip(view.trials, bits.tolist(), strict=True)
        ]
    )
    rate = rounded(bits / cost)
    if rng is None:
        return largest(rate)
    good = np.flatnonzero(rate >= assumed.nearly * rate.max())
    return int(rng.choices(good.tolist(), (rate[good] ** 2).tolist())[0])


def suspect_second(job: Investigation) -> bool:
    """Having found one fault, suspect a second as likely as not; False when what was found is not one fault alone.

    The chances of the pairs that contain it, as the evidence so far leaves them, are raised together to one half.
    """
    best = largest(job.weights)
    faults = list(job.view.rows)
    if len(faults[best]) != 1:
        return False
    pairs = np.array([len(f) == 2 and f > faults[best] for f in faults])
    behind = math.fsum(job.weights[pairs].tolist())
    if behind <= 0.0:
        return False
    weights = np.where(pairs, 0.5 * job.weights / behind, 0.0)
    weights[best] = 0.5
    job.weights = weights
    return True


def _allowed(job: Investigation) -> NDArray[np.bool_]:
    view, done = job.view, job.done
    proved = _good_so_far(job) and all(c in done for c in view.safety)
    wet = {
        (t.position, t.probes, t.lifted)
        for c, o in job.steps
        if isinstance(o, Measured) and (t := view.trials[c]).function is Function.INSULATION
        if o.value < view.model.least_insulation_ohms
    }
    return np.array(
        [
            i not in done
            and i not in job.barred
            and (t.kind is not TrialKind.RUN or proved)
            and (not t.dried or (t.position, t.probes, t.lifted) in wet)
            for i, t in enumerate(view.trials)
        ]
    )


def _good_so_far(job: Investigation) -> bool:
    """Whether every earth and insulation reading so far allows the supply to go back."""
    model = job.view.model
    for _, o in job.steps:
        if not isinstance(o, Measured):
            continue
        if o.trial.function is Function.INSULATION and not o.trial.dried and o.value < model.least_insulation_ohms:
            return False
        if is_earth(model.appliance, o.trial) and o.value > model.most_earth_ohms:
            return False
    return True


def decisive(view: TrialTable, weights: FloatArray, row: int) -> list[int]:
    """Readings of which one alone leaves no explanation but that in ``row``."""
    likeness = _likeness(view, row)
    share = rounded(weights[row] / product(weights, likeness))
    return [
        int(c) for c in np.flatnonzero(share >= _assumed(view).left) if _leaves(view, weights * likeness[:, c], row)
    ]


def nearly_decisive(view: TrialTable, weights: FloatArray, row: int) -> list[int]:
    """Readings of which one alone may already settle it: all of :func:`decisive` and those on the verge."""
    assumed = _assumed(view)
    likeness = _likeness(view, row, assumed.otherwise_verge)
    return [int(c) for c in np.flatnonzero(rounded(weights[row] / product(weights, likeness)) >= assumed.verge)]


def together(view: TrialTable, weights: FloatArray, row: int, barred: Iterable[int] = ()) -> list[tuple[int, int]]:
    """Pairs of readings, neither of them barred, that together leave no explanation but that in ``row``."""
    bits = view.information(weights)[: view.readings]
    bits[[c for c in barred if c < view.readings]] = 0.0
    assumed = _assumed(view)
    telling = np.flatnonzero(bits >= assumed.worthless)
    alive = np.flatnonzero(rounded(weights) > 1e-7)
    likeness = _likeness(view, row)[np.ix_(alive, telling)]
    both = product(likeness.T, weights[alive, None] * likeness)
    share = rounded(weights[row] / np.maximum(both, 1e-300))
    first, second = np.nonzero(np.triu(share >= assumed.left, 1))
    return list(zip(telling[first].tolist(), telling[second].tolist(), strict=True))


def leaves(view: TrialTable, weights: FloatArray, row: int, columns: Iterable[int]) -> bool:
    """Whether readings, each as it is expected, leave no explanation but that in ``row``."""
    likeness = _likeness(view, row)
    for column in columns:
        weights = weights * likeness[:, column]
    return _leaves(view, weights, row)


def _leaves(view: TrialTable, weights: FloatArray, row: int) -> bool:
    share, assumed = rounded(weights / weights.sum()), _assumed(view)
    return bool(share[row] >= assumed.left and np.delete(share, row).max(initial=0.0) <= assumed.other)


def _likeness(view: TrialTable, row: int, otherwise: float | None = None) -> FloatArray:
    """1 where a hypothesis shows in a reading what that in ``row`` shows, ``otherwise`` elsewhere; ``(h, readings)``.

    Readings after drying out are good for nothing here: they come second to one before it.
    """
    same = view.classes[:, : view.readings] == view.classes[row, : view.readings]
    likeness = np.where(same, 1.0, _assumed(view).otherwise if otherwise is None else otherwise)
    likeness[:, [i for i, t in enumerate(view.trials[: view.readings]) if t.dried]] = 1.0
    return likeness


def freed(view: TrialTable, trial: Trial) -> str:
    """The load across which a trial reads with a wire of its own off; empty where it does not."""
    load = across(view, trial)
    if not load:
        return ""
    ends = wires_at(view.appliance, trial.probes[0]) + wires_at(view.appliance, trial.probes[1])
    return load if trial.lifted & set(ends) else ""


def across(view: TrialTable, trial: Trial) -> str:
    """Name of the load between whose terminals the probes are; empty where there is none."""
    return load_between(view.appliance, *trial.probes)


def misleading(view: TrialTable, row: int, about: Iterable[str] = ()) -> list[int]:
    """Readings across a load, all wires on, that something in parallel brings well away from the load itself."""
    wanted, apart = set(about), view.appliance.assumptions.get(Gates).misleads
    found: list[int] = []
    for column in range(view.readings):
        trial = view.trials[column]
        load = across(view, trial) if not trial.lifted and trial.function is Function.OHMS else ""
        if not load or (wanted and load not in wanted):
            continue
        own = np.log(view.appliance.branches[view.appliance.branch(load)].cold_ohms)
        shown = view.ln_shown[row, column]
        if np.isfinite(shown) and abs(shown - own) > apart:
            found.append(column)
    return found


def unremarkable(view: TrialTable, row: int) -> list[int]:
    """Readings that show what a sound appliance would show, of sorts that a repairer takes as a matter of course."""
    healthy, alike = view.rows[frozenset()], _assumed(view).alike
    found: list[int] = []
    for column in range(view.readings):
        trial = view.trials[column]
        if trial.dried or trial.function is not Function.OHMS or not trial.calling:
            continue
        if view.classes[row, column] != view.classes[healthy, column]:
            continue
        here, sound = view.ln_shown[row, column], view.ln_shown[healthy, column]
        if not (np.isfinite(here) and np.isfinite(sound) and abs(here - sound) < alike):
            continue
        incoming = set(trial.probes) in [set(pair) for pair in view.appliance.live_pairs]
        if freed(view, trial) or incoming:
            found.append(column)
    return found
