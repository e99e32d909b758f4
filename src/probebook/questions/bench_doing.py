"""What each act does on the bench: from a state to the next, with what is then to be seen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

from probebook.appliances import PartKind
from probebook.cases.words import run_words
from probebook.diagnosis import effort
from probebook.questions.bench_acts import DEAD_PAIRS, NOTHING_WRONG, Verb, concluded
from probebook.questions.bench_reading import do_dry, do_look, do_meter, do_null, do_probe, metalwork, reach
from probebook.questions.bench_state import BenchState, Shown, fail, no, not_dead, spend

if TYPE_CHECKING:
    from probebook.questions.bench_core import Bench

__all__ = ["DOERS", "Doer"]

#: Minutes to switch off, to lock off, to prove the tester, to test one pair.
SWITCH_OFF, LOCK, PROVE, TEST = 2.0, 1.0, 0.5, 0.5

#: Does one act on what it is done to; the act itself is counted by the bench.
Doer: TypeAlias = "Callable[[Bench, BenchState, str], tuple[BenchState, Shown]]"


def _isolate(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if state.isolated:
        return no(state, "It is isolated already.")
    plug = bench.appliance.supply.kind == "plug"
    after = replace(
        state, isolated=True, locked=False, proved=False, proved_again=False, untried=False, tested=frozenset()
    )
    text = "The plug is out of the socket." if plug else "The isolator is off."
    return spend(after, SWITCH_OFF, safety=True), Shown(text)


def _lock(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not state.isolated or state.locked:
        return no(state, "It is locked off already." if state.locked else "It is not isolated yet.")
    plug = bench.appliance.supply.kind == "plug"
    text = (
        "The plug is locked away, the notice hangs." if plug else "Locked off; you have the key and the notice hangs."
    )
    return spend(replace(state, locked=True), LOCK, safety=True), Shown(text)


def _prove(_: Bench, state: BenchState, __: str) -> tuple[BenchState, Shown]:
    if not state.proved:
        after = replace(state, proved=True, tested=frozenset())
    else:
        after = replace(state, proved_again=bool(state.tested))
    return spend(after, PROVE, safety=True), Shown("The voltage tester lights on the proving unit: it works.")


def _test(_: Bench, state: BenchState, pair: str) -> tuple[BenchState, Shown]:
    if pair not in DEAD_PAIRS:
        return no(state, "There is no such pair to test.")
    if not state.isolated:
        is_live = pair != "N-E"
        return spend(state, TEST, safety=True), Shown(f"{pair}: {'LIVE' if is_live else 'no voltage'}.")
    after = replace(state, tested=state.tested | {pair}, proved_again=False, untried=state.untried or not state.proved)
    return spend(after, TEST, safety=True), Shown(f"{pair}: no voltage.")


def _cover_off(bench: Bench, state: BenchState, cover: str) -> tuple[BenchState, Shown]:
    minutes = dict(bench.appliance.covers)
    if cover not in minutes or cover in state.uncovered:
        return no(state, "There is no such cover on the appliance.")
    slip, why = not_dead(state)
    if slip:
        return fail(state, slip, f"You are taking off the {cover}. {why}")
    after = replace(state, uncovered=state.uncovered | {cover})
    return spend(after, minutes[cover] / 60.0), Shown(f"The {cover} is off.")


def _cover_on(bench: Bench, state: BenchState, cover: str) -> tuple[BenchState, Shown]:
    if cover not in state.uncovered:
        return no(state, "That cover is on.")
    after = replace(state, uncovered=state.uncovered - {cover})
    return spend(after, dict(bench.appliance.covers)[cover] / 60.0), Shown(f"The {cover} is back on.")


def _lift(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    wire = next((w for w in bench.appliance.wires if w.mark == mark), None)
    if wire is None or mark in state.lifted:
        return no(state, "There is no such wire to lift.")
    if not reach(bench, state, mark):
        return no(state, f"Neither end of {mark} can be reached: a cover is over it.")
    slip, why = not_dead(state)
    if slip:
        return fail(state, slip, f"You are taking a wire off. {why}")
    earth = frozenset() if wire.is_earth else state.earth
    after = replace(state, lifted=state.lifted | {mark}, earth=earth)
    return spend(after, effort.LIFT), Shown(
        f"Wire {mark} ({wire.colour}, {wire.start} to {wire.end}) is off at one end."
    )


def _refit(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    if mark not in state.lifted:
        return no(state, "That wire is on.")
    if not reach(bench, state, mark):
        return no(state, f"Neither end of {mark} can be reached: a cover is over it.")
    return spend(replace(state, lifted=state.lifted - {mark}), effort.LIFT), Shown(f"Wire {mark} is refitted.")


def _controls(bench: Bench, state: BenchState, name: str) -> tuple[BenchState, Shown]:
    known = {p.name: p.title for p in bench.appliance.positions}
    if name not in known or name == state.position:
        return no(state, "The controls have no other such position.")
    after = replace(state, position=name)
    return spend(after, effort.SET_CONTROLS), Shown(f"The controls stand at {known[name]}.")


def _thermostat(calling: bool) -> Doer:
    def do(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
        if state.calling is calling or not any(b.cycles for b in bench.appliance.branches):
            return no(state, "The thermostat stands so already.")
        text = "It is set so that it calls for heat." if calling else "It is set so that it does not call for heat."
        return spend(replace(state, calling=calling), effort.SET_CONTROLS), Shown(text)

    return do


def _energise(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not state.isolated:
        return no(state, "The supply is on.")
    loose = sorted(state.lifted)
    if any(bench.appliance.wire(mark).is_earth for mark in loose):
        return fail(state, "earth-forgotten", "You are putting the supply back with an earth wire off.")
    if state.uncovered or loose:
        what = [*(f"the {cover}" for cover in sorted(state.uncovered)), *(f"wire {mark}" for mark in loose)]
        return fail(state, "energised-open", f"You are putting the supply back with {' and '.join(what)} off.")
    why = _unproved(bench, state)
    if why:
        return fail(state, "untested-return", f"You are putting the supply back. {why}")
    after = replace(state, isolated=False, locked=False, proved=False, proved_again=False, tested=frozenset())
    return spend(after, effort.RESTORE), Shown("The supply is on, the appliance is whole.")


def _unproved(bench: Bench, state: BenchState) -> str:
    """Why earth and insulation do not allow the supply yet; empty when they do."""
    if state.bad:
        return f"But {state.bad}."
    metal = metalwork(bench.appliance)
    if bench.appliance.earth and not state.earth >= metal:
        return f"Earth continuity to {' and '.join(sorted(metal - state.earth))} has not been read."
    if metal and not state.insulated >= {"L", "N"}:
        return "Insulation of line (controls on) and of neutral to earth has not been read."
    return ""


def _run(record: bool) -> Doer:
    def do(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
        if state.isolated:
            return no(state, "The supply is off.")
        why = _unproved(bench, state)
        if why:
            return fail(state, "untested-return", f"You are switching on a suspect appliance. {why}")
        position = bench.appliance.position(state.position)
        ran = bench.ran_in(state.position, record=record)
        if not ran.symptoms:
            return no(state, f"There is nothing to try out at {position.title}.")
        after = replace(state, evidence=(*state.evidence, ran), trials=state.trials + 1)
        what = "Heat-up record" if record else "Functional run"
        text = f"{what}, {position.title}: {run_words(bench.appliance, ran)}."
        return spend(after, effort.RECORD if record else effort.RUN), Shown(text)

    return do


def _bypass(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    if not any(p.mark == mark and p.kind is PartKind.CUT_OUT for p in bench.appliance.parts):
        return no(state, "There is no such thing to bridge.")
    return fail(state, "bypass", f"You are bridging the {bench.appliance.part(mark).title}.")


def _conclude(bench: Bench, state: BenchState, what: str) -> tuple[BenchState, Shown]:
    faults = concluded(what)
    if not faults <= {f.id for f in bench.appliance.faults}:
        return no(state, "There is no such fault to conclude.")
    said = " and ".join(bench.appliance.fault(f).title for f in sorted(faults)) or NOTHING_WRONG
    return replace(state, conclusion=faults), Shown(f"Concluded: {said}.")


DOERS: Mapping[Verb, Doer] = {
    Verb.ISOLATE: _isolate,
    Verb.LOCK: _lock,
    Verb.PROVE: _prove,
    Verb.TEST: _test,
    Verb.COVER_OFF: _cover_off,
    Verb.COVER_ON: _cover_on,
    Verb.LIFT: _lift,
    Verb.REFIT: _refit,
    Verb.CONTROLS: _controls,
    Verb.CALLING: _thermostat(calling=True),
    Verb.RESTING: _thermostat(calling=False),
    Verb.METER: do_meter,
    Verb.NULL: do_null,
    Verb.PROBE: do_probe,
    Verb.LOOK: do_look,
    Verb.DRY: do_dry,
    Verb.ENERGISE: _energise,
    Verb.RUN: _run(record=False),
    Verb.RECORD: _run(record=True),
    Verb.BYPASS: _bypass,
    Verb.CONCLUDE: _conclude,
}
