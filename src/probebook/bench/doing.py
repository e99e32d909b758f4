"""What each act does on the bench: from a state to the next, with what is then to be seen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeAlias

from probebook.appliances import PartKind, earth_limit
from probebook.appliances.naming import load_noun
from probebook.bench.acts import Verb, concluded
from probebook.bench.conductors import all_read, has_volts, loads_unread, unread
from probebook.bench.facts import (
    BadEarth,
    BadInsulation,
    Concluded,
    ControlsAt,
    Covered,
    CoverMoved,
    CoverOff,
    EarthUnread,
    InsulationUnread,
    NothingToTry,
    PairTested,
    RanAt,
    Seen,
    SidesUnread,
    StopBecause,
    StopBridging,
    StopCover,
    StopOpen,
    StopPlain,
    WireLifted,
    WireOff,
    WireRefitted,
)
from probebook.bench.reading import do_dry, do_look, do_meter, do_null, do_probe, metalwork, reach
from probebook.bench.state import BenchState, Shown, no, not_dead, spend
from probebook.bench.workplace import Workplace
from probebook.cases.wording import run_words
from probebook.meters import Function
from probebook.words import Phrase

__all__ = ["DOERS", "Doer"]

#: Does one act on what it is done to; the act itself is counted by the bench.
Doer: TypeAlias = Callable[[Workplace, BenchState, str], tuple[BenchState, Shown]]


def _isolate(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if state.isolated:
        return no(state, bench.refusal("isolated"))
    plug = bench.appliance.supply.kind == "plug"
    after = replace(
        state, isolated=True, locked=False, proved=False, proved_again=False, untried=False, tested=frozenset()
    )
    text = bench.say(Seen(), "plug-out" if plug else "isolator-off")
    return spend(after, bench.times.switch_off, safety=True), Shown(text)


def _lock(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not state.isolated or state.locked:
        return no(state, bench.refusal("locked" if state.locked else "not-isolated"))
    plug = bench.appliance.supply.kind == "plug"
    text = bench.say(Seen(), "plug-locked" if plug else "locked")
    return spend(replace(state, locked=True), bench.times.lock_off, safety=True), Shown(text)


def _prove(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not state.proved:
        after = replace(state, proved=True, tested=frozenset())
    else:
        after = replace(state, proved_again=bool(state.tested))
        after = replace(after, proved_dead=after.proved_dead or after.dead)
    return spend(after, bench.times.prove_tester, safety=True), Shown(bench.say(Seen(), "tester-works"))


def _test(bench: Workplace, state: BenchState, pair: str) -> tuple[BenchState, Shown]:
    if pair not in state.pairs:
        return no(state, bench.refusal("no-pair"))
    if not state.isolated:
        key = "live" if has_volts(pair) else "no-voltage"
        return spend(state, bench.times.test_dead, safety=True), Shown(bench.say(PairTested(pair), key))
    after = replace(state, tested=state.tested | {pair}, proved_again=False, untried=state.untried or not state.proved)
    return spend(after, bench.times.test_dead, safety=True), Shown(bench.say(PairTested(pair), "no-voltage"))


def _cover_off(bench: Workplace, state: BenchState, cover: str) -> tuple[BenchState, Shown]:
    minutes = dict(bench.appliance.covers)
    if cover not in minutes or cover in state.uncovered:
        return no(state, bench.refusal("no-cover"))
    slip, why = not_dead(state, bench.words)
    if slip:
        return bench.stop(state, slip, StopCover(bench.noun(cover), why), "taking-cover-off")
    after = replace(state, uncovered=state.uncovered | {cover})
    return spend(after, minutes[cover] / 60.0), Shown(bench.say(CoverMoved(bench.noun(cover)), "cover-is-off"))


def _cover_on(bench: Workplace, state: BenchState, cover: str) -> tuple[BenchState, Shown]:
    if cover not in state.uncovered:
        return no(state, bench.refusal("cover-on"))
    after = replace(state, uncovered=state.uncovered - {cover})
    return spend(after, dict(bench.appliance.covers)[cover] / 60.0), Shown(
        bench.say(CoverMoved(bench.noun(cover)), "cover-is-on")
    )


def _lift(bench: Workplace, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    wire = next((w for w in bench.appliance.wires if w.mark == mark), None)
    if wire is None or mark in state.lifted:
        return no(state, bench.refusal("no-wire"))
    if not reach(bench, state, mark):
        return no(state, bench.say(Covered(mark), "wire-covered"))
    slip, why = not_dead(state, bench.words)
    if slip:
        return bench.stop(state, slip, StopBecause(why), "taking-wire-off")
    earth = frozenset() if wire.is_earth else state.earth
    after = replace(state, lifted=state.lifted | {mark}, earth=earth)
    return spend(after, bench.minutes.lift), Shown(
        bench.say(WireLifted(mark, bench.noun(wire.colour), wire.start, wire.end), "wire-off")
    )


def _refit(bench: Workplace, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    if mark not in state.lifted:
        return no(state, bench.refusal("wire-on"))
    if not reach(bench, state, mark):
        return no(state, bench.say(Covered(mark), "wire-covered"))
    return spend(replace(state, lifted=state.lifted - {mark}), bench.minutes.lift), Shown(
        bench.say(WireRefitted(mark), "wire-on")
    )


def _controls(bench: Workplace, state: BenchState, name: str) -> tuple[BenchState, Shown]:
    known = {p.name: p.title for p in bench.appliance.positions}
    if name not in known or name == state.position:
        return no(state, bench.refusal("no-position"))
    after = replace(state, position=name)
    return spend(after, bench.minutes.set_controls), Shown(
        bench.say(ControlsAt(bench.noun(known[name])), "controls-at")
    )


def _thermostat(calling: bool) -> Doer:
    def do(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
        if state.calling is calling or not any(b.cycles for b in bench.appliance.branches):
            return no(state, bench.refusal("thermostat"))
        text = bench.say(Seen(), "calls" if calling else "calls-not")
        return spend(replace(state, calling=calling), bench.minutes.set_controls), Shown(text)

    return do


def _energise(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not state.isolated:
        return no(state, bench.refusal("supply-on"))
    loose = sorted(state.lifted)
    if any(bench.appliance.wire(mark).is_earth for mark in loose):
        return bench.stop(state, "earth-forgotten", StopPlain(), "earth-off")
    if state.uncovered or loose:
        covers = tuple(bench.say(CoverOff(bench.noun(cover)), "cover") for cover in sorted(state.uncovered))
        wires = tuple(bench.say(WireOff(mark), "wire") for mark in loose)
        return bench.stop(state, "energised-open", StopOpen((*covers, *wires)), "open")
    why = _unproved(bench, state)
    if why:
        return bench.stop(state, "untested-return", StopBecause(why), "unproved")
    after = replace(state, isolated=False, locked=False, proved=False, proved_again=False, tested=frozenset())
    return spend(after, bench.minutes.restore), Shown(bench.say(Seen(), "supply-on"))


def _unproved(bench: Workplace, state: BenchState) -> Phrase:
    """Why earth and insulation do not allow the supply yet; empty when they do."""
    bad = state.bad
    if bad is not None and bad.function is Function.INSULATION:
        return bench.say(BadInsulation(bad.a, bad.b, bad.display), "bad-insulation")
    if bad is not None:
        return bench.say(BadEarth(bad.a, bad.display), "bad-earth")
    metal = metalwork(bench.appliance)
    if bench.appliance.earth and not state.earth >= metal:
        most = earth_limit(bench.appliance).high
        return bench.say(EarthUnread(tuple(sorted(metal - state.earth)), most), "no-earth")
    if metal and not all_read(bench.appliance, state.insulated):
        loads = loads_unread(bench.appliance, state.insulated)
        names = (str(load_noun(bench.words, bench.appliance, load)) for load in loads)
        left = (*unread(bench.appliance, state.insulated), *names)
        return (
            bench.say(SidesUnread(left), "no-insulation-of") if left else bench.say(InsulationUnread(), "no-insulation")
        )
    return Phrase("")


def _watch(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    """Look at the lamps with the appliance whole and its supply on: no more than anybody who uses it sees."""
    if state.isolated:
        return no(state, bench.refusal("supply-off"))
    if not state.calling:
        return no(state, bench.refusal("not-calling"))
    position = bench.noun(bench.appliance.position(state.position).title)
    ran = bench.lamps_in(state.position)
    if not ran.symptoms:
        return no(state, bench.say(NothingToTry(position), "no-lamp"))
    evidence = state.evidence if ran in state.evidence else (*state.evidence, ran)
    after = replace(state, evidence=evidence, trials=state.trials + 1, safety_trials=state.safety_trials + 1)
    found = RanAt(position, Phrase(run_words(bench.appliance, ran, bench.words)))
    return spend(after, bench.minutes.look, safety=True), Shown(bench.say(found, "watched"))


def _run(record: bool) -> Doer:
    def do(bench: Workplace, state: BenchState, _: str) -> tuple[BenchState, Shown]:
        if state.isolated:
            return no(state, bench.refusal("supply-off"))
        why = _unproved(bench, state)
        if why:
            return bench.stop(state, "untested-return", StopBecause(why), "suspect")
        position = bench.appliance.position(state.position)
        ran = bench.ran_in(state.position, record=record)
        if not ran.symptoms:
            return no(state, bench.say(NothingToTry(bench.noun(position.title)), "nothing-to-try"))
        after = replace(state, evidence=(*state.evidence, ran), trials=state.trials + 1)
        found = RanAt(bench.noun(position.title), Phrase(run_words(bench.appliance, ran, bench.words)))
        minutes = bench.minutes.record if record else bench.minutes.run
        return spend(after, minutes), Shown(bench.say(found, "recorded" if record else "ran"))

    return do


def _bypass(bench: Workplace, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    if not any(p.mark == mark and p.kind is PartKind.CUT_OUT for p in bench.appliance.parts):
        return no(state, bench.refusal("no-bridge"))
    return bench.stop(state, "bypass", StopBridging(bench.noun(bench.appliance.part(mark).title)), "bridging")


def _conclude(bench: Workplace, state: BenchState, what: str) -> tuple[BenchState, Shown]:
    faults = concluded(what)
    if not faults <= {f.id for f in bench.appliance.faults}:
        return no(state, bench.refusal("no-fault"))
    named = tuple(bench.noun(bench.appliance.fault(f).title) for f in sorted(faults))
    said = bench.say(Concluded(named), "concluded") if named else bench.say(Seen(), "concluded-nothing")
    return replace(state, conclusion=faults), Shown(said)


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
    Verb.WATCH: _watch,
    Verb.RUN: _run(record=False),
    Verb.RECORD: _run(record=True),
    Verb.BYPASS: _bypass,
    Verb.CONCLUDE: _conclude,
}
