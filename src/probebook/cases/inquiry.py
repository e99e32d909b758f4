"""What a sound investigation reads: always something worth its minutes, until one explanation is left.

The course varies with the seed among trials that are nearly as good, so that two cases of one fault are not told by the
same row of readings.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from probebook.cases.outlook import Outlook, is_earth, load_between
from probebook.diagnosis.effort import ARRIVED, Setup, after, minutes
from probebook.diagnosis.evidence import Measured, Observation, Ran
from probebook.diagnosis.proving import LEAST_INSULATION_OHMS, MOST_EARTH_OHMS
from probebook.diagnosis.symptoms import Symptoms
from probebook.diagnosis.trials import Trial, TrialKind, wires_at
from probebook.meters import Function

__all__ = [
    "Inquiry",
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

#: One explanation is left at this weight, with no other above that one; the core has the last word.
LEFT, OTHER = 0.962, 0.012
#: From this weight on a single reading may settle it by the core's reckoning.
VERGE = 0.93
#: Trials at least this good beside the best are drawn from; one that tells less than this many bits is not done.
NEARLY, WORTHLESS = 0.55, 0.02


@dataclass(slots=True)
class Inquiry:
    """An investigation under way: what was done, what it took, what is thought; ``barred`` trials are left out."""

    view: Outlook
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
        second, first = np.sort(self.weights)[-2:]
        return bool(first >= LEFT and second <= OTHER)

    def do(self, column: int) -> None:
        """Do a trial and learn from it."""
        trial = self.view.trials[column]
        self.spent += minutes(self.view.appliance, trial, self.setup)
        self.setup = after(self.view.appliance, trial, self.setup)
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


def investigate(inquiry: Inquiry, rng: random.Random | None, most: int) -> bool:
    """Go on until one explanation is left; False when ``most`` trials are not enough or nothing more can be told.

    Without a random stream the best trial is always taken.
    """
    view = inquiry.view
    while not inquiry.settled:
        if len(inquiry.steps) >= most:
            return False
        bits = view.information(inquiry.weights)
        allowed = _allowed(inquiry)
        bits[~allowed] = 0.0
        if bits.max() < WORTHLESS:
            missing = [c for c in view.safety if c not in inquiry.done]
            if not missing or not _good_so_far(inquiry):
                return False
            for column in missing:
                inquiry.do(column)
            if not _good_so_far(inquiry):
                continue
            bits = view.information(inquiry.weights)
            bits[~_allowed(inquiry)] = 0.0
            if bits.max() < WORTHLESS:
                return False
        cost = np.array(
            [
                minutes(view.appliance, t, inquiry.setup) if b >= WORTHLESS else np.inf
                for t, b in zip(view.trials, bits.tolist(), strict=True)
            ]
        )
        rate = bits / cost
        if rng is None:
            inquiry.do(int(np.argmax(rate)))
            continue
        good = np.flatnonzero(rate >= NEARLY * rate.max())
        inquiry.do(rng.choices(good.tolist(), (rate[good] ** 2).tolist())[0])
    return True


def suspect_second(inquiry: Inquiry) -> bool:
    """Having found one fault, suspect a second as likely as not; False when what was found is not one fault alone.

    The chances of the pairs that contain it, as the evidence so far leaves them, are raised together to one half.
    """
    best = int(np.argmax(inquiry.weights))
    faults = list(inquiry.view.rows)
    if len(faults[best]) != 1:
        return False
    pairs = np.array([len(f) == 2 and f > faults[best] for f in faults])
    behind = float(inquiry.weights[pairs].sum())
    if behind <= 0.0:
        return False
    weights = np.where(pairs, 0.5 * inquiry.weights / behind, 0.0)
    weights[best] = 0.5
    inquiry.weights = weights
    return True


def _allowed(inquiry: Inquiry) -> NDArray[np.bool_]:
    view, done = inquiry.view, inquiry.done
    proved = _good_so_far(inquiry) and all(c in done for c in view.safety)
    wet = {
        (t.position, t.probes, t.lifted)
        for c, o in inquiry.steps
        if isinstance(o, Measured) and (t := view.trials[c]).function is Function.INSULATION
        if o.value < LEAST_INSULATION_OHMS
    }
    return np.array(
        [
            i not in done
            and i not in inquiry.barred
            and (t.kind is not TrialKind.RUN or proved)
            and (not t.dried or (t.position, t.probes, t.lifted) in wet)
            for i, t in enumerate(view.trials)
        ]
    )


def _good_so_far(inquiry: Inquiry) -> bool:
    """Whether every earth and insulation reading so far allows the supply to go back."""
    for _, o in inquiry.steps:
        if not isinstance(o, Measured):
            continue
        if o.trial.function is Function.INSULATION and not o.trial.dried and o.value < LEAST_INSULATION_OHMS:
            return False
        if is_earth(inquiry.view.appliance, o.trial) and o.value > MOST_EARTH_OHMS:
            return False
    return True


def decisive(view: Outlook, weights: FloatArray, row: int) -> list[int]:
    """Readings of which one alone leaves no explanation but that in ``row``."""
    likeness = _likeness(view, row)
    share = weights[row] / (weights @ likeness)
    return [int(c) for c in np.flatnonzero(share >= LEFT) if _leaves(weights * likeness[:, c], row)]


def nearly_decisive(view: Outlook, weights: FloatArray, row: int) -> list[int]:
    """Readings of which one alone may already settle it: all of :func:`decisive` and those on the verge."""
    likeness = _likeness(view, row, otherwise=1e-5)
    return [int(c) for c in np.flatnonzero(weights[row] / (weights @ likeness) >= VERGE)]


def together(view: Outlook, weights: FloatArray, row: int, barred: Iterable[int] = ()) -> list[tuple[int, int]]:
    """Pairs of readings, neither of them barred, that together leave no explanation but that in ``row``."""
    bits = view.information(weights)[: view.readings]
    bits[[c for c in barred if c < view.readings]] = 0.0
    telling = np.flatnonzero(bits >= WORTHLESS)
    alive = np.flatnonzero(weights > 1e-7)
    likeness = _likeness(view, row)[np.ix_(alive, telling)]
    share = weights[row] / np.maximum(likeness.T @ (weights[alive, None] * likeness), 1e-300)
    first, second = np.nonzero(np.triu(share >= LEFT, 1))
    return list(zip(telling[first].tolist(), telling[second].tolist(), strict=True))


def leaves(view: Outlook, weights: FloatArray, row: int, columns: Iterable[int]) -> bool:
    """Whether readings, each as it is expected, leave no explanation but that in ``row``."""
    likeness = _likeness(view, row)
    for column in columns:
        weights = weights * likeness[:, column]
    return _leaves(weights, row)


def _leaves(weights: FloatArray, row: int) -> bool:
    share = weights / weights.sum()
    return bool(share[row] >= LEFT and np.delete(share, row).max(initial=0.0) <= OTHER)


def _likeness(view: Outlook, row: int, *, otherwise: float = 1e-3) -> FloatArray:
    """1 where a hypothesis shows in a reading what that in ``row`` shows, ``otherwise`` elsewhere; ``(h, readings)``.

    Readings after drying out are good for nothing here: they come second to one before it.
    """
    same = view.classes[:, : view.readings] == view.classes[row, : view.readings]
    likeness = np.where(same, 1.0, otherwise)
    likeness[:, [i for i, t in enumerate(view.trials[: view.readings]) if t.dried]] = 1.0
    return likeness


def freed(view: Outlook, trial: Trial) -> str:
    """The load across which a trial reads with a wire of its own off; empty where it does not."""
    load = across(view, trial)
    if not load:
        return ""
    ends = wires_at(view.appliance, trial.probes[0]) + wires_at(view.appliance, trial.probes[1])
    return load if trial.lifted & set(ends) else ""


def across(view: Outlook, trial: Trial) -> str:
    """Name of the load between whose terminals the probes are; empty where there is none."""
    return load_between(view.appliance, *trial.probes)


def misleading(view: Outlook, row: int, about: Iterable[str] = ()) -> list[int]:
    """Readings across a load, all wires on, that something in parallel brings well away from the load itself."""
    wanted = set(about)
    found: list[int] = []
    for column in range(view.readings):
        trial = view.trials[column]
        load = across(view, trial) if not trial.lifted and trial.function is Function.OHMS else ""
        if not load or (wanted and load not in wanted):
            continue
        own = np.log(view.appliance.branches[view.appliance.branch(load)].cold_ohms)
        shown = view.ln_shown[row, column]
        if np.isfinite(shown) and abs(shown - own) > 0.15:
            found.append(column)
    return found


def unremarkable(view: Outlook, row: int) -> list[int]:
    """Readings that show what a sound appliance would show, of sorts that a repairer takes as a matter of course."""
    healthy = view.rows[frozenset()]
    found: list[int] = []
    for column in range(view.readings):
        trial = view.trials[column]
        if trial.dried or trial.function is not Function.OHMS or not trial.calling:
            continue
        if view.classes[row, column] != view.classes[healthy, column]:
            continue
        here, sound = view.ln_shown[row, column], view.ln_shown[healthy, column]
        if not (np.isfinite(here) and np.isfinite(sound) and abs(here - sound) < 0.08):
            continue
        incoming = set(trial.probes) == {view.appliance.line, view.appliance.neutral}
        if freed(view, trial) or incoming:
            found.append(column)
    return found
