"""The course of a case: the readings that decide, as many as its level asks for, and what else stands in the record."""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np

from probebook.appliances import Fault, FaultKind
from probebook.cases.assumed import Investigating, further_limit, trial_limit
from probebook.cases.condemning import condemned, own_columns
from probebook.cases.gates import PutBack
from probebook.cases.instance import Instance
from probebook.cases.investigation import (
    Investigation,
    decisive,
    investigate,
    misleading,
    nearly_decisive,
    suspect_second,
    together,
    unremarkable,
)
from probebook.cases.trial_table import TrialTable
from probebook.diagnosis import Evidence, Observation, Trial
from probebook.diagnosis.effort import after, minutes
from probebook.diagnosis.inference import LEAKS
from probebook.meters import Function
from probebook.numerics.choosing import largest
from probebook.numerics.rounding import rounded, rounded_number

__all__ = ["condemn", "look_into", "par", "recorded"]


def look_into(job: Investigation, row: int, level: int, rng: random.Random) -> None:
    """Take the readings that decide, as many as the level asks for."""
    view, assumed = job.view, job.view.appliance.assumptions.get(Investigating)
    faults = [view.appliance.fault(f) for f in list(view.rows)[row]]
    leaks = any(fault.kind in LEAKS for fault in faults)
    job.barred = _in_hand(view, faults)
    if level == 1 or (level == 2 and leaks):
        if level == 2:  # all of it first, then the part by itself; the same once more follows, dried
            tests = [c for c in view.safety if view.trials[c].function is Function.INSULATION]
            if not tests:
                raise PutBack("there is no insulation test of all of it")
            job.do(rng.choice(tests))
        _take_own(job, row, faults, rng)
        return
    job.barred |= frozenset(nearly_decisive(view, job.weights, row))
    if level >= 3:
        about = [c for c in misleading(view, row) if c not in job.barred]
        if about:
            job.do(rng.choice(about))
    if level == 2 or (level == 3 and rng.random() < assumed.few_at_three):
        _take_few(job, row, level, rng)
    if not _go_on(job, rng, row, level):
        raise PutBack("the investigation comes to no conclusion")


def _take_own(job: Investigation, row: int, faults: Sequence[Fault], rng: random.Random) -> None:
    """Take the one reading of the part by itself that decides."""
    own = frozenset[int]().union(*(own_columns(job.view, f) for f in faults))
    choices = [c for c in decisive(job.view, job.weights, row) if c in own - job.barred]
    if not choices:
        raise PutBack("no single reading decides")
    job.do(rng.choice(choices))


def _in_hand(view: TrialTable, faults: Sequence[Fault]) -> frozenset[int]:
    """Trials with a wire off that is broken: whoever takes it off has the break in the hand and need not go on."""
    broken = {c.branch for fault in faults if fault.kind is FaultKind.BROKEN_WIRE for c in fault.changes}
    return frozenset(i for i, trial in enumerate(view.trials) if trial.lifted & broken)


def condemn(view: TrialTable, made: Instance, level: int, evidence: Evidence) -> tuple[Observation, ...]:
    """What has to be read beside the evidence until the key alone is left of all failures, its own parts last."""
    most = further_limit(view.appliance, level)
    further = condemned(view, sorted(made.faults), evidence, made.takes, most)
    if further is None:
        raise PutBack("a failure that is not listed fits as well")
    return further


def _go_on(job: Investigation, rng: random.Random | None, row: int, level: int) -> bool:
    """Investigate to the end; where two faults are present, on past the first. False when that is too long."""
    most = trial_limit(job.view.appliance, level)
    if not investigate(job, rng, most):
        return False
    if len(list(job.view.rows)[row]) > 1 and largest(job.weights) != row:
        return suspect_second(job) and investigate(job, rng, most)
    return True


def par(job: Investigation, row: int, level: int, further: Sequence[Trial]) -> tuple[int, float]:
    """Trials and minutes of an investigation that always does what is worth most a minute, then what is ``further``."""
    if not _go_on(job, None, row, level) or largest(job.weights) != row:
        raise PutBack("a good investigation takes longer than the level allows")
    done = {job.view.trials[c] for c in job.done}
    count, spent, setup = len(job.steps), job.spent, job.setup
    for trial in further:
        if trial not in done:
            count, spent = count + 1, spent + minutes(job.view.model, trial, setup)
            setup = after(job.view.model, trial, setup)
    return count, spent


def _take_few(job: Investigation, row: int, level: int, rng: random.Random) -> None:
    """Take two readings that together decide, or one that tells something and then two, where there are such."""
    view, assumed = job.view, job.view.appliance.assumptions.get(Investigating)
    dried = [i for i, t in enumerate(view.trials[: view.readings]) if t.dried]  # nobody dries out what was not low
    if level == 2 and rng.random() < assumed.one_before:
        bits = view.information(job.weights)[: view.readings]
        bits[[*job.barred, *dried]] = 0.0
        telling = np.flatnonzero(bits > rounded(assumed.telling * bits.max()))
        if len(telling):
            job.do(int(rng.choice(telling.tolist())))
    for attempt in range(2):
        pairs = together(view, job.weights, row, {*job.barred, *job.done, *dried})
        if pairs and not job.settled:
            for column in _in_order(job, rng.choice(pairs), rng):
                job.do(column)
            return
        bits = view.information(job.weights)[: view.readings]
        bits[[*job.barred, *job.done, *dried]] = 0.0
        if level == 2 and (attempt or len(job.done) or bits.max() <= 0.0):
            raise PutBack("no two or three readings decide")
        if bits.max() <= 0.0:
            return
        job.do(largest(bits))


def _in_order(job: Investigation, pair: tuple[int, int], rng: random.Random) -> tuple[int, ...]:
    """The one that takes less first."""
    first, second = (rounded_number(minutes(job.view.model, job.view.trials[c], job.setup)) for c in pair)
    return pair if first < second or (first == second and rng.random() < 0.5) else pair[::-1]


def recorded(job: Investigation, row: int, level: int, rng: random.Random) -> tuple[Observation, ...]:
    """What stands in the record: the investigation, safety readings, and some that show nothing amiss."""
    view, assumed = job.view, job.view.appliance.assumptions.get(Investigating)
    done = job.done
    most = rng.randint(1, int(assumed.extra[level - 1]))
    free = {frozenset(view.trials[c].probes) for c in done if view.trials[c].lifted}
    plain = [c for c in unremarkable(view, row) if c not in done | job.barred]
    extra: list[int] = []
    for column in rng.sample(plain, len(plain)):
        about = frozenset(view.trials[column].probes)
        if len(extra) < most and not (view.trials[column].lifted and about in free):
            extra.append(column)
            if view.trials[column].lifted:
                free.add(about)
    wanted = rng.random() < assumed.safety_recorded or not extra
    safety = [c for c in view.safety if c not in done | job.barred] if wanted else []
    body = [o for _, o in job.steps]
    for column in extra:
        body.insert(rng.randrange(len(body)) if len(body) > 1 else 0, job.take(view.trials[column]))
    return (*(job.take(view.trials[c]) for c in safety), *body)
