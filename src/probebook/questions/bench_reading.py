"""Reading and looking on the bench: dial, leads, probes, what a reading says of earth and insulation."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from probebook.appliances import Appliance, PartKind
from probebook.diagnosis import Measured, Trial, TrialKind, effort
from probebook.diagnosis.evidence import sights
from probebook.diagnosis.hypotheses import Same
from probebook.diagnosis.proving import LEAST_INSULATION_OHMS, MOST_EARTH_OHMS
from probebook.diagnosis.trials import trials
from probebook.meters import Function, read
from probebook.questions.bench_acts import DIAL
from probebook.questions.bench_state import BenchState, Shown, fail, no, not_dead, spend

if TYPE_CHECKING:
    from probebook.questions.bench_core import Bench

__all__ = ["can_null", "do_dry", "do_look", "do_meter", "do_null", "do_probe", "metalwork", "reach", "to_look_at"]

#: Minutes to null the leads.
NULL = 0.3


def reach(bench: Bench, state: BenchState, mark: str) -> bool:
    """Whether a part, or one end of a wire, is free to the hand."""
    on = bench.covers_on(state)
    for wire in bench.appliance.wires:
        if wire.mark == mark:
            return any(bench.cover_over(end) not in on for end in (wire.start, wire.end))
    return any(p.mark == mark and p.cover not in on for p in bench.appliance.parts)


def do_meter(bench: Bench, state: BenchState, name: str) -> tuple[BenchState, Shown]:
    """Choose an instrument and function."""
    function = next((f for f in DIAL if f.value == name), None)
    if function is None:
        return no(state, "The instruments on the bench have no such function.")
    meter = bench.meter_for(function)
    same = state.function is not None and bench.meter_for(state.function) is meter
    after = replace(state, function=function, nulled=state.nulled and same)
    note = f" With the probes together it shows {_leads(bench, function)}." if function.through_leads else ""
    return after, Shown(f"{meter.title}, set to {DIAL[function].partition(' (')[0]}.{note}")


def _leads(bench: Bench, function: Function) -> str:
    return read(bench.meter_for(function), function, 0.0).display


def do_null(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    """Null the leads."""
    if not can_null(bench, state):
        return no(state, "The leads cannot be nulled on this instrument and function.")
    return spend(replace(state, nulled=True), NULL), Shown("Probes together, nulled: it shows 0.")


def can_null(bench: Bench, state: BenchState) -> bool:
    """Whether the leads of the instrument in use can be nulled."""
    function = state.function
    return function is not None and function.through_leads and bench.meter_for(function).can_null


def do_probe(bench: Bench, state: BenchState, what: str) -> tuple[BenchState, Shown]:
    """Put the probes on two terminals and read."""
    ends = what.split()
    if len(ends) != 2 or ends[0] == ends[1] or not set(ends) <= set(bench.appliance.terminals):
        return no(state, "The probes need two different terminals.")
    if state.function is None:
        return no(state, "Set a meter first.")
    if not state.isolated:
        return fail(state, "live-ohms", "You are putting the probes of a resistance meter on with the supply on.")
    slip, why = not_dead(state)
    if slip:
        return fail(state, "live-ohms", f"You are measuring resistance before it is proved dead. {why}")
    hidden = [t for t in ends if t not in bench.terminals(state)]
    if hidden:
        return no(state, f"{hidden[0]} cannot be reached: the {bench.cover_over(hidden[0])} is over it.")
    item = bench.shown_by(_trial(bench, state, (ends[0], ends[1])), nulled=state.nulled)
    text = f"{what.replace(' ', ' to ')}: {item.display}"
    beeps = bench.beeps(item)
    if beeps is not None:
        text += ", beeps" if beeps else ", no beep"
    minutes = effort.PROBE + (effort.INSULATION_TEST if state.function is Function.INSULATION else 0.0)
    after = spend(_observed(bench, state, item), minutes)
    return after, Shown(f"{text}.", item.display)


def _trial(bench: Bench, state: BenchState, probes: tuple[str, str]) -> Trial:
    """The reading as a trial; the probes in the order in which such a trial is listed, so that it is the same trial."""
    function = state.function or Function.OHMS
    plain = tuple(sorted(probes, key=bench.appliance.terminals.index))
    a, b = _listed(Same(bench.appliance)).get((function, frozenset(probes)), plain)
    return Trial(
        TrialKind.METER,
        state.position,
        state.calling,
        state.lifted,
        function=function,
        probes=(a, b),
        dried=state.dried,
    )


@lru_cache(maxsize=32)
def _listed(key: Same) -> dict[tuple[Function, frozenset[str]], tuple[str, str]]:
    """The order in which each pair of terminals is named in the trials on an appliance."""
    return {(t.function, frozenset(t.probes)): t.probes for t in trials(key.appliance) if t.kind is TrialKind.METER}


def _observed(bench: Bench, state: BenchState, item: Measured) -> BenchState:
    """The state with one more reading, and what it says of earth and insulation."""
    a, b = item.trial.probes
    appliance = bench.appliance
    ends, metal = {a, b}, metalwork(appliance)
    earth, insulated, bad = state.earth, state.insulated, state.bad
    function = item.trial.function
    whole = not item.trial.lifted
    if function.through_leads and appliance.earth in ends and len(ends & metal) == 1:
        place = next(iter(ends & metal))
        if item.value <= MOST_EARTH_OHMS:
            earth = earth | {place}
            bad = "" if bad.startswith("earth") else bad
        else:
            bad = f"earth continuity to {place} reads {item.display}"
    reference = appliance.earth or next(iter(sorted(metal)), "")
    if function is Function.INSULATION and reference in ends and whole:
        side = "N" if appliance.neutral in ends else "L" if appliance.line in ends else ""
        works = bool(appliance.position(item.trial.position).heats)
        if side and item.value < LEAST_INSULATION_OHMS:
            bad = f"insulation {a} to {b} reads {item.display}"
        elif side == "N" or (side == "L" and works):
            insulated = insulated | {side}
            bad = "" if bad.startswith("insulation") and insulated >= {"L", "N"} else bad
    return replace(
        state,
        evidence=(*state.evidence, item),
        trials=state.trials + 1,
        earth=earth,
        insulated=insulated,
        bad=bad,
    )


def metalwork(appliance: Appliance) -> set[str]:
    """Terminals of the metalwork."""
    return {t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals}


def do_look(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    """Look at a part or wire."""
    if mark not in to_look_at(bench.appliance):
        return no(state, "There is no such thing to look at.")
    if not reach(bench, state, mark):
        return no(state, f"{mark} cannot be seen: a cover is over it.")
    seen = bench.seen_at(mark)
    listed = len(sights(bench.appliance, mark)) > 1
    after = replace(state, evidence=(*state.evidence, seen) if listed else state.evidence, trials=state.trials + 1)
    text = seen.what or "nothing out of the ordinary to see"
    return spend(after, effort.LOOK), Shown(f"{mark}: {text}.")


def to_look_at(appliance: Appliance) -> list[str]:
    """Marks of parts and wires at which something might be seen, and of every element and switch."""
    plain = {PartKind.ELEMENT, PartKind.SELECTOR, PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.TERMINAL_BLOCK}
    parts = [p.mark for p in appliance.parts if p.kind in plain or len(sights(appliance, p.mark)) > 1]
    return [*parts, *(w.mark for w in appliance.wires)]


def do_dry(_: Bench, state: BenchState, __: str) -> tuple[BenchState, Shown]:
    """Dry the appliance out."""
    if not state.isolated or state.dried:
        return no(state, "That is not to be done now.")
    after = replace(
        state, dried=True, insulated=frozenset(), bad="" if state.bad.startswith("insulation") else state.bad
    )
    return spend(after, effort.DRY_OUT), Shown("Dried out with warm air for half an hour, and cool again.")
