"""Acts that do given trials on the bench in a safe order: the model solution, and the ways of going wrong."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from probebook.appliances import BranchKind, FaultKind, PartKind
from probebook.diagnosis import Complaint, Trial, TrialKind, posterior, reading
from probebook.diagnosis.hypotheses import settled
from probebook.diagnosis.posterior import Posterior
from probebook.diagnosis.trials import rest, wires_at
from probebook.meters import Function
from probebook.questions.bench_acts import DEAD_PAIRS, Verb, conclude, probe
from probebook.questions.bench_core import Bench, BenchState
from probebook.questions.bench_log import replay
from probebook.questions.bench_marking import FAIR, SPARE_TRIALS, Grade, grade

__all__ = ["PROVE_DEAD", "Mistake", "mistakes", "solution"]

#: Isolate, lock off, prove the tester, test every pair, prove the tester again.
PROVE_DEAD = (
    Verb.ISOLATE.value,
    Verb.LOCK.value,
    Verb.PROVE.value,
    *(f"{Verb.TEST} {pair}" for pair in DEAD_PAIRS),
    Verb.PROVE.value,
)


@dataclass(slots=True)
class _Job:
    """A job being written down: acts so far and the state they lead to."""

    bench: Bench
    state: BenchState
    acts: list[str] = field(default_factory=list)

    def do(self, *acts: str) -> None:
        for act in acts:
            after, shown = self.bench.act(self.state, act)
            if shown.done:
                self.state = after
                self.acts.append(str(act))


def solution(bench: Bench, trials: Iterable[Trial], conclusion: Iterable[str], *, left_on: bool = False) -> list[str]:
    """Acts that do the trials in this order, safely, and conclude.

    At the end the appliance is isolated and locked off; with ``left_on`` it is whole, tested and switched on instead.
    """
    job = _Job(bench, bench.start())
    for trial in trials:
        if trial.kind in (TrialKind.RUN, TrialKind.RECORD):
            _put_back(job)
            job.do(f"{Verb.CONTROLS} {trial.position}", Verb.CALLING)
            job.do(Verb.RUN if trial.kind is TrialKind.RUN else Verb.RECORD)
        elif trial.kind is TrialKind.LOOK:
            _make_dead(job)
            _uncover_for(job, trial.at)
            job.do(f"{Verb.LOOK} {trial.at}")
        else:
            _read(job, trial)
    if left_on:
        _put_back(job)
    elif not job.state.isolated:
        job.do(Verb.ISOLATE, Verb.LOCK)
    job.do(conclude(conclusion))
    return job.acts


def _make_dead(job: _Job) -> None:
    if not job.state.dead:
        job.do(*PROVE_DEAD)


def _read(job: _Job, trial: Trial) -> None:
    _make_dead(job)
    for mark in sorted(job.state.lifted - trial.lifted):
        _uncover_for(job, mark)
        job.do(f"{Verb.REFIT} {mark}")
    for end in trial.probes:
        _uncover(job, job.bench.cover_over(end))
    for mark in sorted(trial.lifted - job.state.lifted):
        _uncover_for(job, mark)
        job.do(f"{Verb.LIFT} {mark}")
    if trial.dried and not job.state.dried:
        job.do(Verb.DRY)
    if trial.position != job.state.position:
        job.do(f"{Verb.CONTROLS} {trial.position}")
    if trial.calling is not job.state.calling:
        job.do(Verb.CALLING if trial.calling else Verb.RESTING)
    if trial.function is not job.state.function:
        job.do(f"{Verb.METER} {trial.function.value}")
    if not job.state.nulled:
        job.do(Verb.NULL)
    job.do(probe(*trial.probes))


def _uncover(job: _Job, cover: str) -> None:
    if cover and cover not in job.state.uncovered:
        job.do(f"{Verb.COVER_OFF} {cover}")


def _uncover_for(job: _Job, mark: str) -> None:
    """Take off the quicker cover over a part or over one end of a wire, unless it is free already."""
    bench = job.bench
    wire = next((w for w in bench.appliance.wires if w.mark == mark), None)
    covers = [bench.cover_over(wire.start), bench.cover_over(wire.end)] if wire else [bench.appliance.part(mark).cover]
    if all(cover and cover not in job.state.uncovered for cover in covers):
        minutes = dict(bench.appliance.covers)
        _uncover(job, min(sorted(set(covers)), key=lambda cover: minutes.get(cover, 0.0)))


def _put_back(job: _Job) -> None:
    """Refit, test earth continuity and insulation where they have not been, close, and put the supply back."""
    if not job.state.isolated and (job.state.earth or job.state.insulated):
        return
    _make_dead(job)
    for mark in sorted(job.state.lifted):
        _uncover_for(job, mark)
        job.do(f"{Verb.REFIT} {mark}")
    for trial in _safety(job):
        _read(job, trial)
    job.do(*(f"{Verb.COVER_ON} {cover}" for cover in sorted(job.state.uncovered)))
    job.do(Verb.ENERGISE)


def _safety(job: _Job) -> Iterator[Trial]:
    appliance = job.bench.appliance
    metal = [t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals]
    still = rest(appliance)
    if appliance.earth:
        yield from (reading(still, appliance.earth, t, Function.CONTINUITY) for t in metal if t not in job.state.earth)
    if metal:
        most = max(appliance.positions, key=lambda p: (len(p.heats), p.name)).name
        to = appliance.earth or metal[0]
        if "N" not in job.state.insulated:
            yield reading(still, appliance.neutral, to, Function.INSULATION)
        if "L" not in job.state.insulated:
            yield reading(most, appliance.line, to, Function.INSULATION)


# ---------------------------------------------------------------- ways of going wrong


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
    dead = list(PROVE_DEAD)
    tests = dead[3:6]
    ends = [probe(*(appliance.terminals[e] for e in b.ends)) for b in appliance.branches if b.watts > 0]
    yield "live-ohms", [f"{Verb.METER} {Function.OHMS.value}", ends[0]]
    yield "not-proved-dead", [Verb.ISOLATE, Verb.LOCK, cover]
    yield "not-locked", [act for act in dead if act != Verb.LOCK] + [cover]
    yield "not-proved-first", [*dead[:2], *tests, Verb.PROVE, cover]
    yield "no-reference", [*dead[:4], Verb.PROVE, cover]
    yield "prove-once", [*dead[:6], cover]
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
        again = math.ceil(FAIR * bench.spec.par_trials) + SPARE_TRIALS + 1
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
