"""Acts that do given trials on the bench in a safe order: the model solution."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from probebook.appliances import PartKind
from probebook.appliances.supply.reaching import apart, position_for
from probebook.bench.acts import DEAD_PAIRS, Verb, conclude, probe
from probebook.bench.conductors import all_read, dead_pairs, sides
from probebook.bench.simulator import Bench, BenchState
from probebook.diagnosis import Trial, TrialKind, reading
from probebook.diagnosis.places import rest
from probebook.meters import Function

__all__ = ["PROVE_DEAD", "prove_dead", "solution"]


def prove_dead(pairs: Iterable[str]) -> tuple[str, ...]:
    """Isolate, lock off, prove the tester, test every pair, prove the tester again."""
    tests = (f"{Verb.TEST} {pair}" for pair in pairs)
    return (Verb.ISOLATE.value, Verb.LOCK.value, Verb.PROVE.value, *tests, Verb.PROVE.value)


#: The same where there is one line.
PROVE_DEAD = prove_dead(DEAD_PAIRS)


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
        job.do(*prove_dead(dead_pairs(job.bench.appliance)))


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
        to = appliance.earth or metal[0]
        for terminal, side in sides(appliance).items():
            if side not in job.state.insulated:
                at = still if side == "N" else position_for(appliance, terminal)
                yield reading(at, terminal, to, Function.INSULATION)
        for terminal in apart(appliance, still):
            if not all_read(appliance, job.state.insulated):
                yield reading(still, terminal, to, Function.INSULATION)
