"""The ways of going wrong on the bench: each slip with acts that show it, and what they earn."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from probebook.appliances import BranchKind, FaultKind, PartKind
from probebook.bench.acts import Verb, probe
from probebook.bench.conductors import dead_pairs
from probebook.bench.grading import Grade, grade
from probebook.bench.log import replay
from probebook.bench.simulator import Bench
from probebook.diagnosis import Complaint, Trial, posterior, reading
from probebook.diagnosis.candidates import settled
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.places import rest, wires_at
from probebook.meters import Function
from probebook.questions.bench.solution import prove_dead, solution

__all__ = ["Mistake", "mistakes"]


@dataclass(frozen=True, slots=True)
class Mistake:
    """A slip on the bench: its id, acts that show it, and what they earn."""

    slip: str
    acts: tuple[str, ...]
    grade: Grade


def mistakes(bench: Bench, trials: Sequence[Trial], truth: Iterable[str]) -> list[Mistake]:
    """Every slip that can be shown on this bench, once each, with acts that show it."""
    found: dict[str, Mistake] = {}
    for slip, acts in (*_dangerous(bench), *_unsound(bench, trials, frozenset(truth))):
        if slip in found:
            continue
        log = replay(bench, acts)
        earned = grade(bench, log)
        if log.state.over and earned.slip == slip:
            found[slip] = Mistake(slip, tuple(str(act) for act in acts), earned)
    return list(found.values())


def _dangerous(bench: Bench) -> Iterator[tuple[str, list[str]]]:
    """Acts that end the job, each by the way of going wrong it is named after."""
    appliance = bench.appliance
    cover = f"{Verb.COVER_OFF} {appliance.covers[0][0]}"
    dead = list(prove_dead(dead_pairs(appliance)))
    tests = dead[3:-1]
    ends = [probe(*(appliance.terminals[e] for e in b.ends)) for b in appliance.branches if b.watts > 0]
    yield "live-ohms", [f"{Verb.METER} {Function.OHMS.value}", ends[0]]
    yield "not-proved-dead", [Verb.ISOLATE, Verb.LOCK, cover]
    yield "not-locked", [act for act in dead if act != Verb.LOCK] + [cover]
    yield "not-proved-first", [*dead[:2], *tests, Verb.PROVE, cover]
    yield "no-reference", [*dead[:4], Verb.PROVE, cover]
    yield "prove-once", [*dead[:-1], cover]
    yield "energised-open", [*dead, cover, Verb.ENERGISE]
    yield "untested-return", [*dead, Verb.ENERGISE]
    for part in appliance.parts:
        if part.kind is PartKind.CUT_OUT:
            yield "bypass", [*dead, f"{Verb.COVER_OFF} {part.cover}", f"{Verb.BYPASS} {part.mark}"]
    for wire in appliance.wires:
        if wire.is_earth:
            off = bench.cover_over(wire.end) or bench.cover_over(wire.start)
            yield (
                "earth-forgotten",
                [
                    *dead,
                    f"{Verb.COVER_OFF} {off}",
                    f"{Verb.LIFT} {wire.mark}",
                    f"{Verb.COVER_ON} {off}",
                    Verb.ENERGISE,
                ],
            )


def _unsound(bench: Bench, trials: Sequence[Trial], truth: frozenset[str]) -> Iterator[tuple[str, list[str]]]:
    """Acts that are safe and come to a wrong, an unsupported or a wasteful end."""
    for count in range(len(trials) - 1, -1, -1):
        yield "one-reading-enough", solution(bench, trials[:count], truth)
    heard = posterior(bench.appliance, [Complaint(bench.spec.reported)], bench.meters, draws=1)
    for faults in _likeliest(heard, truth, 3):
        yield "usual-suspect", solution(bench, [], faults)
    yield from (("beeper-silence", solution(bench, [t], (f,))) for t, f in _listened(bench, truth))
    yield from (("parallel-path", solution(bench, [t], f)) for t, f in _in_parallel(bench, truth))
    whole = solution(bench, trials, truth)
    last = max((i for i, act in enumerate(whole) if act.startswith(f"{Verb.PROBE} ")), default=-1)
    if last >= 0:
        again = math.ceil(bench.grading.fair * bench.spec.par_trials) + bench.grading.spare_trials + 1
        yield "rules-out-nothing", [*whole[: last + 1], *[whole[last]] * again, *whole[last + 1 :]]
    if truth:
        yield "left-energised", solution(bench, trials, truth, left_on=True)


def _likeliest(found: Posterior, truth: frozenset[str], count: int) -> list[frozenset[str]]:
    named = settled(found.appliance, truth)
    return [h.faults for h, _ in found.ranked()[:count] if h.faults != named and h.faults]


def _listened(bench: Bench, truth: frozenset[str]) -> Iterator[tuple[Trial, str]]:
    """Sound elements listened to with one wire off, each with the fault that silence suggests."""
    appliance = bench.appliance
    opened = {f.target: f.id for f in appliance.faults if f.kind is FaultKind.OPEN and f.id not in truth}
    for branch in appliance.branches:
        if branch.kind is BranchKind.ELEMENT and branch.name in opened:
            a, b = (appliance.terminals[e] for e in branch.ends)
            for wire in wires_at(appliance, b) + wires_at(appliance, a):
                trial = reading(rest(appliance), a, b, Function.CONTINUITY, lifted=(wire,))
                yield trial, opened[branch.name]


def _in_parallel(bench: Bench, truth: frozenset[str]) -> Iterator[tuple[Trial, frozenset[str]]]:
    """Elements read with their wires on, each with what such a reading suggests."""
    appliance = bench.appliance
    heard = Complaint(bench.spec.reported)
    for branch in appliance.branches:
        if branch.kind is not BranchKind.ELEMENT:
            continue
        a, b = (appliance.terminals[e] for e in branch.ends)
        trial = reading(rest(appliance), a, b)
        item = bench.shown_by(trial, nulled=True)
        if not np.isfinite(item.value):
            continue
        found = posterior(appliance, [heard, item], bench.meters, draws=1)
        yield from ((trial, faults) for faults in _likeliest(found, truth, 4))
        about = [f.id for f in appliance.faults if f.target == branch.name and f.id not in truth]
        yield from ((trial, frozenset((f,))) for f in about)
