"""What can be done on the bench in a state, safe or not, in a fixed order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from probebook.appliances import Appliance, PartKind
from probebook.bench.acts import DIAL, Verb
from probebook.bench.conductors import dead_pairs
from probebook.bench.reading import can_null, reach, to_look_at
from probebook.bench.state import BenchState
from probebook.bench.workplace import Workplace

__all__ = ["every_act", "possible"]

#: What an act that is done to nothing in particular is done to.
_BARE: Sequence[str] = ("",)

Possible = tuple[Verb, Sequence[str]]


def possible(bench: Workplace, state: BenchState) -> Iterator[Possible]:
    """Each verb with what it can be done to now."""
    yield from _supply(state)
    yield from _covers_and_wires(bench, state)
    yield from _controls(bench, state)
    yield from _meter_and_looks(bench, state)
    yield from _switching(bench, state)


def _when(can: bool) -> Sequence[str]:
    return _BARE if can else ()


def _supply(state: BenchState) -> Iterator[Possible]:
    yield Verb.ISOLATE, _when(not state.isolated)
    yield Verb.LOCK, _when(state.isolated and not state.locked)
    yield Verb.PROVE, _BARE
    yield Verb.TEST, state.pairs


def _covers_and_wires(bench: Workplace, state: BenchState) -> Iterator[Possible]:
    covers = [name for name, _ in bench.appliance.covers]
    wires = [w.mark for w in bench.appliance.wires if reach(bench, state, w.mark)]
    yield Verb.COVER_OFF, [name for name in covers if name not in state.uncovered]
    yield Verb.COVER_ON, [name for name in covers if name in state.uncovered]
    yield Verb.LIFT, [mark for mark in wires if mark not in state.lifted]
    yield Verb.REFIT, [mark for mark in wires if mark in state.lifted]


def _controls(bench: Workplace, state: BenchState) -> Iterator[Possible]:
    cycles = any(b.cycles for b in bench.appliance.branches)
    yield Verb.CONTROLS, [p.name for p in bench.appliance.positions if p.name != state.position]
    yield Verb.CALLING, _when(cycles and not state.calling)
    yield Verb.RESTING, _when(cycles and state.calling)


def _meter_and_looks(bench: Workplace, state: BenchState) -> Iterator[Possible]:
    yield Verb.METER, [function.value for function in DIAL if function is not state.function]
    yield Verb.NULL, _when(can_null(bench, state) and not state.nulled)
    yield Verb.LOOK, [mark for mark in to_look_at(bench.appliance) if reach(bench, state, mark)]
    yield Verb.DRY, _when(state.isolated and not state.dried)


def _switching(bench: Workplace, state: BenchState) -> Iterator[Possible]:
    parts = bench.appliance.parts
    yield Verb.ENERGISE, _when(state.isolated)
    yield Verb.WATCH, _when(not state.isolated and state.calling)
    yield Verb.RUN, _when(not state.isolated)
    yield Verb.RECORD, _when(not state.isolated and bool(bench.appliance.heat))
    yield Verb.BYPASS, [p.mark for p in parts if p.kind is PartKind.CUT_OUT and p.cover in state.uncovered]


def every_act(appliance: Appliance) -> Iterator[Possible]:
    """Each verb with all that it can ever be done to on an appliance; probing and concluding are left out."""
    covers = [name for name, _ in appliance.covers]
    wires = [wire.mark for wire in appliance.wires]
    cycles = any(branch.cycles for branch in appliance.branches)
    for verb in (Verb.ISOLATE, Verb.LOCK, Verb.PROVE):
        yield verb, _BARE
    yield Verb.TEST, dead_pairs(appliance)
    yield Verb.ENERGISE, _BARE
    yield Verb.COVER_OFF, covers
    yield Verb.COVER_ON, covers
    yield Verb.LIFT, wires
    yield Verb.REFIT, wires
    yield Verb.CONTROLS, [position.name for position in appliance.positions]
    yield Verb.CALLING, _when(cycles)
    yield Verb.RESTING, _when(cycles)
    yield Verb.WATCH, _BARE
    yield Verb.RUN, _BARE
    yield Verb.RECORD, _when(bool(appliance.heat))
    yield Verb.METER, [function.value for function in DIAL]
    yield Verb.NULL, _BARE
    yield Verb.LOOK, to_look_at(appliance)
    yield Verb.DRY, _BARE
    yield Verb.BYPASS, [part.mark for part in appliance.parts if part.kind is PartKind.CUT_OUT]
