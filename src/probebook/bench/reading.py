"""Reading and looking on the bench: dial, leads, probes, what a reading says of earth and insulation."""

from __future__ import annotations

from dataclasses import replace

from probebook.appliances import Appliance, PartKind, earth_limit
from probebook.bench.acts import DIAL
from probebook.bench.conductors import all_read, counts, loads_told, sides
from probebook.bench.facts import (
    Covered,
    Looks,
    LooksSound,
    MeterSet,
    MeterSetLeads,
    ReadingShown,
    Seen,
    StopBecause,
    StopPlain,
    TerminalCovered,
)
from probebook.bench.state import BenchState, OutOfBounds, Shown, no, not_dead, spend
from probebook.bench.telling import dial_words
from probebook.bench.workplace import Workplace
from probebook.diagnosis import Measured, Trial, TrialKind
from probebook.diagnosis.evidence import sights
from probebook.diagnosis.model import trials
from probebook.memo import memo_by_identity
from probebook.meters import Conformity, Function, limits, verdict
from probebook.words import Phrase

__all__ = [
    "can_null",
    "do_dry",
    "do_look",
    "do_meter",
    "do_null",
    "do_probe",
    "metalwork",
    "reach",
    "to_look_at",
    "turned",
]


def reach(bench: Workplace, state: BenchState, mark: str) -> bool:
    """Whether a part, or one end of a wire, is free to the hand."""
    on = bench.covers_on(state)
    for wire in bench.appliance.wires:
        if wire.mark == mark:
            return any(bench.cover_over(end) not in on for end in (wire.start, wire.end))
    return any(p.mark == mark and p.cover not in on for p in bench.appliance.parts)


def do_meter(bench: Workplace, state: BenchState, name: str) -> tuple[BenchState, Shown]:
    """Choose an instrument and function."""
    function = next((f for f in DIAL if f.value == name), None)
    if function is None:
        return no(state, bench.refusal("no-function"))
    meter = bench.meter_for(function)
    same = state.function is not None and bench.meter_for(state.function) is meter
    after = replace(state, function=function, nulled=state.nulled and same)
    title, dial = bench.noun(meter.title), dial_words(bench.words, bench.appliance, function, alone=True)
    if function.through_leads:
        return after, Shown(bench.say(MeterSetLeads(title, dial, bench.made.together(function)), "meter-set-leads"))
    return after, Shown(bench.say(MeterSet(title, dial), "meter-set"))


def do_null(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    """Null the leads."""
    if not can_null(bench, state):
        return no(state, bench.refusal("no-null"))
    return spend(replace(state, nulled=True), bench.times.null_leads), Shown(bench.say(Seen(), "nulled"))


def can_null(bench: Workplace, state: BenchState) -> bool:
    """Whether the leads of the instrument in use can be nulled."""
    function = state.function
    return function is not None and function.through_leads and bench.meter_for(function).can_null


def do_probe(bench: Workplace, state: BenchState, what: str) -> tuple[BenchState, Shown]:
    """Put the probes on two terminals and read."""
    ends = what.split()
    if len(ends) != 2 or ends[0] == ends[1] or not set(ends) <= set(bench.appliance.terminals):
        return no(state, bench.refusal("two-terminals"))
    if state.function is None:
        return no(state, bench.refusal("no-meter"))
    if not state.isolated:
        return bench.stop(state, "live-ohms", StopPlain(), "live")
    slip, why = not_dead(state, bench.words)
    if slip:
        return bench.stop(state, "live-ohms", StopBecause(why), "not-dead")
    hidden = [t for t in ends if t not in bench.terminals(state)]
    if hidden:
        cover = bench.noun(bench.cover_over(hidden[0]))
        return no(state, bench.say(TerminalCovered(hidden[0], cover), "terminal-covered"))
    item = bench.shown_by(_trial(bench, state, (ends[0], ends[1])), nulled=state.nulled)
    key = {None: "reading", True: "reading-beeps", False: "reading-silent"}[bench.beeps(item)]
    minutes = bench.minutes.probe
    if state.function is Function.INSULATION:
        minutes += bench.minutes.insulation_test
    said = bench.say(ReadingShown(ends[0], ends[1], item.display), key)
    safety = _for_safety(bench, state, item)
    after = _observed(bench, state, item)
    after = replace(after, safety_trials=after.safety_trials + safety)
    return spend(after, minutes, safety=safety), Shown(said, item.display)


def _for_safety(bench: Workplace, state: BenchState, item: Measured) -> bool:
    """Whether a reading is the first of an earth path, or of the insulation of line or neutral with every wire on."""
    trial = item.trial
    if any(isinstance(o, Measured) and o.trial == trial for o in state.evidence):
        return False
    return bool(_earthed(bench, trial) or _insulated_side(bench, trial) or _loads(bench, trial) - state.insulated)


def _trial(bench: Workplace, state: BenchState, probes: tuple[str, str]) -> Trial:
    """The reading as a trial; the probes in the order in which such a trial is listed, so that it is the same trial."""
    function = state.function or Function.OHMS
    plain = tuple(sorted(probes, key=bench.appliance.terminals.index))
    a, b = _listed(bench.appliance).get((function, frozenset(probes)), plain)
    return Trial(
        TrialKind.METER,
        state.position,
        state.calling,
        state.lifted,
        function=function,
        probes=(a, b),
        dried=state.dried,
    )


@memo_by_identity(32)
def _listed(appliance: Appliance) -> dict[tuple[Function, frozenset[str]], tuple[str, str]]:
    """The order in which each pair of terminals is named in the trials on an appliance."""
    return {(t.function, frozenset(t.probes)): t.probes for t in trials(appliance) if t.kind is TrialKind.METER}


def turned(appliance: Appliance) -> list[tuple[str, str]]:
    """Pairs of an insulation test that are named the other way round than their terminals stand in the file."""
    place, listed = appliance.terminals.index, _listed(appliance)
    return [
        pair
        for (function, _), pair in listed.items()
        if function is Function.INSULATION and place(pair[0]) > place(pair[1])
    ]


def _observed(bench: Workplace, state: BenchState, item: Measured) -> BenchState:
    """The state with one more reading, and what it says of earth and insulation."""
    after = replace(state, evidence=(*state.evidence, item), trials=state.trials + 1)
    return _insulation_seen(bench, _earth_seen(bench, after, item), item)


def _earthed(bench: Workplace, trial: Trial) -> str:
    """The metalwork whose earth path a trial reads; empty where it reads none."""
    appliance = bench.appliance
    ends, metal = set(trial.probes), metalwork(appliance)
    is_path = trial.function.through_leads and appliance.earth in ends and len(ends & metal) == 1
    return next(iter(ends & metal)) if is_path else ""


def _earth_seen(bench: Workplace, state: BenchState, item: Measured) -> BenchState:
    """The state after what a reading says of the earth of some metalwork.

    Good is what cannot be over the limit with this meter, bad what must be; a reading that cannot tell says neither.
    """
    place, function = _earthed(bench, item.trial), item.trial.function
    if not place:
        return state
    interval = limits(bench.meter_for(function), function, item.value, nulled=item.nulled)
    found = verdict(item.value, interval, earth_limit(bench.appliance)).conformity
    if found is Conformity.OUTSIDE:
        bad = OutOfBounds(function, place, "", item.display)
        return replace(state, earth=state.earth - {place}, bad=bad)
    if found is Conformity.CANNOT_TELL:
        return state
    is_mended = state.bad is not None and state.bad.function is not Function.INSULATION and state.bad.a == place
    return replace(state, earth=state.earth | {place}, bad=None if is_mended else state.bad)


def _insulated_side(bench: Workplace, trial: Trial) -> str:
    """Whose insulation to earth a trial reads with every wire on: ``L`` (or ``L1`` to ``L3``), ``N`` or none."""
    appliance, reference = bench.appliance, _reference(bench)
    if trial.function is not Function.INSULATION or reference not in trial.probes or trial.lifted:
        return ""
    return next((side for terminal, side in sides(appliance).items() if terminal in trial.probes), "")


def _reference(bench: Workplace) -> str:
    """The terminal that insulation is read to."""
    return bench.appliance.earth or next(iter(sorted(metalwork(bench.appliance))), "")


def _loads(bench: Workplace, trial: Trial) -> frozenset[str]:
    """The loads of three lines of whose insulation a trial tells."""
    return loads_told(bench.appliance, trial, _reference(bench))


def _insulation_seen(bench: Workplace, state: BenchState, item: Measured) -> BenchState:
    """The state after what a reading says of insulation: that of the line side counts with the controls on only."""
    a, b = item.trial.probes
    appliance, side, loads = bench.appliance, _insulated_side(bench, item.trial), _loads(bench, item.trial)
    if (side or loads) and item.value < appliance.region.rule("insulation.return-to-service").low:
        bad = OutOfBounds(item.trial.function, a, b, item.display)
        return replace(state, insulated=state.insulated - {side} - loads, bad=bad)
    told = loads | {side} if side and counts(appliance, item.trial, side) else loads
    if not told:
        return state
    insulated = state.insulated | told
    is_mended = state.bad is not None and state.bad.function is Function.INSULATION and all_read(appliance, insulated)
    return replace(state, insulated=insulated, bad=None if is_mended else state.bad)


def metalwork(appliance: Appliance) -> set[str]:
    """Terminals of the metalwork."""
    return {t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals}


def do_look(bench: Workplace, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    """Look at a part or wire."""
    if mark not in to_look_at(bench.appliance):
        return no(state, bench.refusal("no-look"))
    if not reach(bench, state, mark):
        return no(state, bench.say(Covered(mark), "part-covered"))
    seen = bench.seen_at(mark)
    listed = len(sights(bench.appliance, mark)) > 1
    after = replace(state, evidence=(*state.evidence, seen) if listed else state.evidence, trials=state.trials + 1)
    if seen.what:
        said = bench.say(Looks(mark, Phrase(seen.what)), "looks")
    else:
        said = bench.say(LooksSound(mark), "looks-sound")
    return spend(after, bench.minutes.look), Shown(said)


def to_look_at(appliance: Appliance) -> list[str]:
    """Marks of parts and wires at which something might be seen, and of every element and switch."""
    plain = {PartKind.ELEMENT, PartKind.SELECTOR, PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.TERMINAL_BLOCK}
    parts = [p.mark for p in appliance.parts if p.kind in plain or len(sights(appliance, p.mark)) > 1]
    return [*parts, *(w.mark for w in appliance.wires)]


def do_dry(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    """Dry the appliance out."""
    if not state.isolated or state.dried:
        return no(state, bench.refusal("not-now"))
    keeps = state.bad is not None and state.bad.function is not Function.INSULATION
    after = replace(state, dried=True, insulated=frozenset(), bad=state.bad if keeps else None)
    return spend(after, bench.minutes.dry_out), Shown(bench.say(Seen(), "dried"))
