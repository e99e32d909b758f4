"""The virtual bench: an appliance on which things are done and which shows what is then to be seen. Knows no Jupyter.

The interface is narrow: :func:`open_bench` sets it up, :meth:`Bench.start` gives the first state, :meth:`Bench.acts`
says what can be done in a state, and :meth:`Bench.act` takes a state and an act and gives the next state and what is
shown. States are plain frozen data; the same acts give the same states, displays and minutes on any machine. Nothing
that is shown names the fault. A front end draws a state from :func:`probebook.questions.bench_log.view`.

A mistake that can kill ends the job: the state then names its slip (:attr:`BenchState.failure`) and takes no more acts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from probebook.appliances import Appliance, PartKind
from probebook.cases.library import Library
from probebook.cases.made import Made, draw_made
from probebook.cases.seeds import stream
from probebook.diagnosis import Complaint, Measured, Ran, Seen, Trial
from probebook.diagnosis.evidence import visible
from probebook.diagnosis.symptoms import TEMPERATURE, symptoms
from probebook.diagnosis.trials import place_of, rest
from probebook.errors import UsageError
from probebook.meters import Function, Meter
from probebook.questions.bench_acts import DEAD_PAIRS, DIAL, Verb, split
from probebook.questions.bench_doing import DOERS
from probebook.questions.bench_reading import can_null, reach, to_look_at
from probebook.questions.bench_state import BenchSpec, BenchState, Shown

__all__ = ["TESTER", "Bench", "BenchSpec", "BenchState", "Shown", "open_bench"]

#: Id of the instrument for insulation and earth continuity.
TESTER = "insulation-tester"


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """An appliance on the bench, with its instruments. See the module for how it is used."""

    spec: BenchSpec
    appliance: Appliance
    meters: tuple[Meter, ...]
    _made: Made

    def start(self) -> BenchState:
        """How the job stands on arrival: appliance whole, supply on, nothing switched on."""
        return BenchState(position=rest(self.appliance), evidence=(Complaint(self.spec.reported),))

    def acts(self, state: BenchState) -> tuple[str, ...]:
        """What can be done now, safe or not, in a fixed order; probing and concluding are left to be filled in.

        Probing takes any two of :meth:`terminals`; concluding any faults of the appliance.
        """
        if state.over:
            return ()
        return tuple(f"{verb.value} {what}".strip() for verb, whats in _possible(self, state) for what in whats)

    def terminals(self, state: BenchState) -> tuple[str, ...]:
        """Terminals that can be reached now, in the order of the appliance's file."""
        return tuple(t for t in self.appliance.terminals if self.cover_over(t) not in self.covers_on(state))

    def cover_over(self, terminal: str) -> str:
        """The cover over a terminal; empty where there is none."""
        return self.appliance.part(terminal.partition(".")[0]).cover

    def act(self, state: BenchState, act: str) -> tuple[BenchState, Shown]:
        """Do an act: the next state, and what is then to be seen. What cannot be done leaves the state as it is."""
        found = split(act)
        if state.over or found is None:
            return state, Shown("The job has ended." if state.over else "There is no such thing to do.", done=False)
        verb, what = found
        after, shown = DOERS[verb](self, state, what)
        if not shown.done:
            return state, shown
        after = replace(after, acts=state.acts + 1)
        if after.failure:
            after = replace(after, failed_at=after.acts)
        return after, shown

    def meter_for(self, function: Function) -> Meter:
        """The instrument with which a function is used."""
        return next(m for m in self.meters if function in m.functions)

    def shown_by(self, trial: Trial, *, nulled: bool) -> Measured:
        """What the meter shows in a trial; the same trial gives the same reading."""
        return self._made.shown(trial, self._made.ohms([trial])[0], nulled=nulled)

    def seen_at(self, mark: str) -> Seen:
        """What a look at a part or wire shows."""
        present = (self.appliance.fault(f) for f in self.spec.truth)
        here = (visible(f) for f in present if place_of(self.appliance, f) == mark)
        return Seen(mark, next((what for what in here if what), ""))

    def ran_in(self, position: str, *, record: bool = False) -> Ran:
        """What a functional run (or a heat-up record) in a position shows."""
        here = [s for s in symptoms(self.appliance, self.spec.truth) if s.position == position]
        return Ran(position, tuple(s for s in here if not record or s.subject == TEMPERATURE))

    def beeps(self, item: Measured) -> bool | None:
        """Whether the beeper sounds at a reading; None where there is none."""
        limit = self.meter_for(item.trial.function).beeper_ohms
        return None if item.trial.function is not Function.CONTINUITY or limit is None else item.value < limit

    def covers_on(self, state: BenchState) -> frozenset[str]:
        """Covers that are on."""
        return frozenset(name for name, _ in self.appliance.covers) - state.uncovered


def open_bench(spec: BenchSpec, library: Library) -> Bench:
    """Set a bench up.

    Raises
    ------
    UsageError
        The library has no such appliance or meter, or the appliance no such fault.
    """
    appliance = library.appliance(spec.appliance)
    known = {f.id for f in appliance.faults}
    if not known.issuperset(spec.truth):
        raise UsageError("the bench is to have a fault the appliance does not know", remedy="build the question again")
    meters = (library.meter(TESTER), library.meter(spec.meter))
    made = draw_made(appliance, spec.truth, meters, spec.name, stream("made", spec.name))
    return Bench(spec, appliance, meters, made)


def _possible(bench: Bench, state: BenchState) -> Iterable[tuple[Verb, Sequence[str]]]:
    appliance = bench.appliance
    covers = [name for name, _ in appliance.covers]
    live = not state.isolated
    bare = ("",)
    yield Verb.ISOLATE, bare if live else ()
    yield Verb.LOCK, bare if state.isolated and not state.locked else ()
    yield Verb.PROVE, bare
    yield Verb.TEST, DEAD_PAIRS
    yield Verb.COVER_OFF, [c for c in covers if c not in state.uncovered]
    yield Verb.COVER_ON, [c for c in covers if c in state.uncovered]
    yield Verb.LIFT, [w.mark for w in appliance.wires if w.mark not in state.lifted and reach(bench, state, w.mark)]
    yield Verb.REFIT, [w.mark for w in appliance.wires if w.mark in state.lifted and reach(bench, state, w.mark)]
    yield Verb.CONTROLS, [p.name for p in appliance.positions if p.name != state.position]
    cycles = any(b.cycles for b in appliance.branches)
    yield Verb.CALLING, bare if cycles and not state.calling else ()
    yield Verb.RESTING, bare if cycles and state.calling else ()
    yield Verb.METER, [f.value for f in DIAL if f is not state.function]
    yield Verb.NULL, bare if can_null(bench, state) and not state.nulled else ()
    yield Verb.LOOK, [mark for mark in to_look_at(appliance) if reach(bench, state, mark)]
    yield Verb.DRY, bare if state.isolated and not state.dried else ()
    yield Verb.ENERGISE, bare if state.isolated else ()
    yield Verb.RUN, bare if live else ()
    yield Verb.RECORD, bare if live and appliance.heat else ()
    yield Verb.BYPASS, [p.mark for p in appliance.parts if p.kind is PartKind.CUT_OUT and p.cover in state.uncovered]
