"""The virtual bench: an appliance on which things are done and which shows what is then to be seen. Knows no Jupyter.

The interface is narrow: :func:`open_bench` sets it up, :meth:`Bench.start` gives the first state, :meth:`Bench.acts`
says what can be done in a state, and :meth:`Bench.act` takes a state and an act and gives the next state and what is
shown. States are plain frozen data; the same acts give the same states, displays and minutes on any machine. Nothing
that is shown names the fault. A front end draws a state from :func:`probebook.questions.bench_log.view`.

A mistake that can kill ends the job: the state then names its slip (:attr:`BenchState.failure`) and takes no more acts.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from probebook.appliances import Appliance, PartKind
from probebook.cases.library import Library
from probebook.cases.made import Made, draw_made
from probebook.cases.seeds import stream
from probebook.cases.words import run_words
from probebook.diagnosis import Complaint, Measured, Observation, Ran, Seen, Symptom, Trial, TrialKind, effort
from probebook.diagnosis.evidence import sights, visible
from probebook.diagnosis.hypotheses import Same
from probebook.diagnosis.proving import LEAST_INSULATION_OHMS, MOST_EARTH_OHMS
from probebook.diagnosis.symptoms import TEMPERATURE, symptoms
from probebook.diagnosis.trials import place_of, rest, trials
from probebook.errors import UsageError
from probebook.meters import Function, Meter, read
from probebook.questions.bench_acts import DEAD_PAIRS, DIAL, NOTHING_WRONG, Verb, concluded, split

__all__ = ["Bench", "BenchSpec", "BenchState", "Shown", "open_bench"]

#: Id of the instrument for insulation and earth continuity.
TESTER = "insulation-tester"
#: Minutes of acts that no effort table has: switching off, locking, proving, testing a pair, nulling, concluding.
SWITCH_OFF, LOCK, PROVE, TEST = 2.0, 1.0, 0.5, 0.5
NULL = 0.3


@dataclass(frozen=True, slots=True)
class BenchSpec:
    """What a bench is set up from: an appliance as one case has it.

    Attributes
    ----------
    appliance, meter
        Ids in the library.
    truth
        Ids of the faults present.
    name
        Names the draws: how the appliance was made, and every error of the instruments.
    reported
        What the customer said, as symptoms.
    par_trials, par_minutes
        Length of a good investigation; the minutes leave isolating and proving dead out.
    """

    appliance: str
    meter: str
    truth: tuple[str, ...]
    name: str
    reported: tuple[Symptom, ...] = ()
    par_trials: int = 1
    par_minutes: float = 10.0

    def to_json(self) -> str:
        """As one line of JSON."""
        return json.dumps(
            {
                "appliance": self.appliance,
                "meter": self.meter,
                "truth": list(self.truth),
                "name": self.name,
                "reported": [[s.position, s.subject, s.how] for s in self.reported],
                "par": [self.par_trials, round(self.par_minutes, 2)],
            },
            ensure_ascii=False,
        )

    @classmethod
    def from_json(cls, text: str) -> BenchSpec:
        """Read what :meth:`to_json` wrote; UsageError when it is something else."""
        try:
            data = json.loads(text)
            trials, minutes = data["par"]
            return cls(
                str(data["appliance"]),
                str(data["meter"]),
                tuple(str(f) for f in data["truth"]),
                str(data["name"]),
                tuple(Symptom(str(p), str(s), str(h)) for p, s, h in data["reported"]),
                int(trials),
                float(minutes),
            )
        except (ValueError, KeyError, TypeError) as error:
            raise UsageError(
                "the question does not say what its bench is set up from", remedy="build it again"
            ) from error


@dataclass(frozen=True, slots=True)
class BenchState:
    """How the job stands on the bench.

    Attributes
    ----------
    isolated, locked, proved, tested, proved_again
        Supply off; locked off; tester proved before testing; pairs tested since; tester proved after the last test.
    untried
        Whether a pair was tested before the tester had been proved.
    uncovered, lifted
        Covers and wires that are off.
    position, calling
        How the controls stand.
    function, nulled
        What the meter is set to (None before it is set), and whether its leads were nulled.
    dried
        Whether the appliance was dried out.
    earth, insulated
        Terminals to which the earth was read good; parts of the insulation test read: ``L`` and ``N``.
    bad
        The last earth or insulation reading that was out of bounds, in words; empty when none is.
    evidence
        What was observed, the complaint first.
    minutes, safety_minutes
        Spent in all, and of them on isolating and proving dead.
    trials
        How many readings, looks, runs and records were taken.
    acts
        How many acts were done.
    failure, failed_at
        The slip that ended the job, and the number of the act (from 1); empty and 0 when none did.
    conclusion
        Ids of the faults concluded; None before.
    """

    isolated: bool = False
    locked: bool = False
    proved: bool = False
    tested: frozenset[str] = frozenset()
    proved_again: bool = False
    untried: bool = False
    uncovered: frozenset[str] = frozenset()
    lifted: frozenset[str] = frozenset()
    position: str = ""
    calling: bool = True
    function: Function | None = None
    nulled: bool = False
    dried: bool = False
    earth: frozenset[str] = frozenset()
    insulated: frozenset[str] = frozenset()
    bad: str = ""
    evidence: tuple[Observation, ...] = ()
    minutes: float = 0.0
    safety_minutes: float = 0.0
    trials: int = 0
    acts: int = 0
    failure: str = ""
    failed_at: int = 0
    conclusion: frozenset[str] | None = None

    @property
    def over(self) -> bool:
        """Whether the job has ended: by a conclusion or by a failure."""
        return bool(self.failure) or self.conclusion is not None

    @property
    def dead(self) -> bool:
        """Whether it is isolated, locked off, and proved dead with a tester proved before and after."""
        return self.isolated and self.locked and self.proved_again and self.tested == frozenset(DEAD_PAIRS)

    @property
    def work_minutes(self) -> float:
        """Minutes without those for isolating and proving dead."""
        return self.minutes - self.safety_minutes


@dataclass(frozen=True, slots=True)
class Shown:
    """What is seen after an act.

    ``text`` says it in a sentence; ``display`` is what stands on the meter, empty when nothing was read; ``done`` is
    false when the act was not possible and changed nothing.
    """

    text: str
    display: str = ""
    done: bool = True


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
        return tuple(t for t in self.appliance.terminals if self.cover_over(t) not in self._covers_on(state))

    def cover_over(self, terminal: str) -> str:
        """The cover over a terminal; empty where there is none."""
        return self.appliance.part(terminal.partition(".")[0]).cover

    def act(self, state: BenchState, act: str) -> tuple[BenchState, Shown]:
        """Do an act: the next state, and what is then to be seen. What cannot be done leaves the state as it is."""
        found = split(act)
        if state.over or found is None:
            return state, Shown("The job has ended." if state.over else "There is no such thing to do.", done=False)
        verb, what = found
        after, shown = _DOERS[verb](self, state, what)
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

    def _covers_on(self, state: BenchState) -> frozenset[str]:
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


# ---------------------------------------------------------------- what can be done


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
    yield Verb.LIFT, [w.mark for w in appliance.wires if w.mark not in state.lifted and _reach(bench, state, w.mark)]
    yield Verb.REFIT, [w.mark for w in appliance.wires if w.mark in state.lifted and _reach(bench, state, w.mark)]
    yield Verb.CONTROLS, [p.name for p in appliance.positions if p.name != state.position]
    cycles = any(b.cycles for b in appliance.branches)
    yield Verb.CALLING, bare if cycles and not state.calling else ()
    yield Verb.RESTING, bare if cycles and state.calling else ()
    yield Verb.METER, [f.value for f in DIAL if f is not state.function]
    yield Verb.NULL, bare if _can_null(bench, state) and not state.nulled else ()
    yield Verb.LOOK, [mark for mark in _sights(appliance) if _reach(bench, state, mark)]
    yield Verb.DRY, bare if state.isolated and not state.dried else ()
    yield Verb.ENERGISE, bare if state.isolated else ()
    yield Verb.RUN, bare if live else ()
    yield Verb.RECORD, bare if live and appliance.heat else ()
    yield Verb.BYPASS, [p.mark for p in appliance.parts if p.kind is PartKind.CUT_OUT and p.cover in state.uncovered]


def _sights(appliance: Appliance) -> list[str]:
    """Marks of parts and wires at which something might be seen, and of every element and switch."""
    plain = {PartKind.ELEMENT, PartKind.SELECTOR, PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.TERMINAL_BLOCK}
    parts = [p.mark for p in appliance.parts if p.kind in plain or len(sights(appliance, p.mark)) > 1]
    return [*parts, *(w.mark for w in appliance.wires)]


def _reach(bench: Bench, state: BenchState, mark: str) -> bool:
    """Whether a part, or one end of a wire, is free to the hand."""
    on = bench._covers_on(state)
    for wire in bench.appliance.wires:
        if wire.mark == mark:
            return any(bench.cover_over(end) not in on for end in (wire.start, wire.end))
    return any(p.mark == mark and p.cover not in on for p in bench.appliance.parts)


def _can_null(bench: Bench, state: BenchState) -> bool:
    function = state.function
    return function is not None and function.through_leads and bench.meter_for(function).can_null


# ---------------------------------------------------------------- doing it

Doer = Callable[[Bench, BenchState, str], tuple[BenchState, Shown]]


def _no(state: BenchState, why: str) -> tuple[BenchState, Shown]:
    return state, Shown(why, done=False)


def _fail(state: BenchState, slip: str, text: str) -> tuple[BenchState, Shown]:
    return replace(state, failure=slip), Shown(f"STOP. {text} The job ends here.")


def _spend(state: BenchState, minutes: float, *, safety: bool = False) -> BenchState:
    more = minutes if safety else 0.0
    return replace(state, minutes=state.minutes + minutes, safety_minutes=state.safety_minutes + more)


def _not_dead(state: BenchState) -> tuple[str, str]:
    """Which step of isolating and proving dead is wanting: its slip, and what it means; empty when none is."""
    if not state.isolated:
        return "not-proved-dead", "The supply is on."
    if not state.locked:
        return "not-locked", "It is switched off, but anybody could switch it on again."
    missing = [pair for pair in DEAD_PAIRS if pair not in state.tested]
    if state.untried and (missing or not state.proved):
        return "not-proved-first", "It was tested with a tester that had not been proved before."
    if not state.tested:
        return "not-proved-dead", "It has not been tested for dead."
    if not state.proved:
        return "not-proved-first", "It was tested with a tester that had not been proved before."
    if missing:
        return "no-reference", f"Not every pair was tested: {' and '.join(missing)} is wanting."
    if not state.proved_again:
        return "prove-once", "The tester was not proved again after the test: it may have failed meanwhile."
    return "", ""


def _isolate(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if state.isolated:
        return _no(state, "It is isolated already.")
    plug = bench.appliance.supply.kind == "plug"
    after = replace(
        state, isolated=True, locked=False, proved=False, proved_again=False, untried=False, tested=frozenset()
    )
    text = "The plug is out of the socket." if plug else "The isolator is off."
    return _spend(after, SWITCH_OFF, safety=True), Shown(text)


def _lock(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not state.isolated or state.locked:
        return _no(state, "It is locked off already." if state.locked else "It is not isolated yet.")
    plug = bench.appliance.supply.kind == "plug"
    text = (
        "The plug is locked away, the notice hangs." if plug else "Locked off; you have the key and the notice hangs."
    )
    return _spend(replace(state, locked=True), LOCK, safety=True), Shown(text)


def _prove(_: Bench, state: BenchState, __: str) -> tuple[BenchState, Shown]:
    if not state.proved:
        after = replace(state, proved=True, tested=frozenset())
    else:
        after = replace(state, proved_again=bool(state.tested))
    return _spend(after, PROVE, safety=True), Shown("The voltage tester lights on the proving unit: it works.")


def _test(_: Bench, state: BenchState, pair: str) -> tuple[BenchState, Shown]:
    if pair not in DEAD_PAIRS:
        return _no(state, "There is no such pair to test.")
    if not state.isolated:
        is_live = pair != "N-E"
        return _spend(state, TEST, safety=True), Shown(f"{pair}: {'LIVE' if is_live else 'no voltage'}.")
    after = replace(state, tested=state.tested | {pair}, proved_again=False, untried=state.untried or not state.proved)
    return _spend(after, TEST, safety=True), Shown(f"{pair}: no voltage.")


def _cover_off(bench: Bench, state: BenchState, cover: str) -> tuple[BenchState, Shown]:
    minutes = dict(bench.appliance.covers)
    if cover not in minutes or cover in state.uncovered:
        return _no(state, "There is no such cover on the appliance.")
    slip, why = _not_dead(state)
    if slip:
        return _fail(state, slip, f"You are taking off the {cover}. {why}")
    after = replace(state, uncovered=state.uncovered | {cover})
    return _spend(after, minutes[cover] / 60.0), Shown(f"The {cover} is off.")


def _cover_on(bench: Bench, state: BenchState, cover: str) -> tuple[BenchState, Shown]:
    if cover not in state.uncovered:
        return _no(state, "That cover is on.")
    after = replace(state, uncovered=state.uncovered - {cover})
    return _spend(after, dict(bench.appliance.covers)[cover] / 60.0), Shown(f"The {cover} is back on.")


def _lift(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    wire = next((w for w in bench.appliance.wires if w.mark == mark), None)
    if wire is None or mark in state.lifted:
        return _no(state, "There is no such wire to lift.")
    if not _reach(bench, state, mark):
        return _no(state, f"Neither end of {mark} can be reached: a cover is over it.")
    slip, why = _not_dead(state)
    if slip:
        return _fail(state, slip, f"You are taking a wire off. {why}")
    earth = frozenset() if wire.is_earth else state.earth
    after = replace(state, lifted=state.lifted | {mark}, earth=earth)
    return _spend(after, effort.LIFT), Shown(
        f"Wire {mark} ({wire.colour}, {wire.start} to {wire.end}) is off at one end."
    )


def _refit(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    if mark not in state.lifted:
        return _no(state, "That wire is on.")
    if not _reach(bench, state, mark):
        return _no(state, f"Neither end of {mark} can be reached: a cover is over it.")
    return _spend(replace(state, lifted=state.lifted - {mark}), effort.LIFT), Shown(f"Wire {mark} is refitted.")


def _controls(bench: Bench, state: BenchState, name: str) -> tuple[BenchState, Shown]:
    known = {p.name: p.title for p in bench.appliance.positions}
    if name not in known or name == state.position:
        return _no(state, "The controls have no other such position.")
    after = replace(state, position=name)
    return _spend(after, effort.SET_CONTROLS), Shown(f"The controls stand at {known[name]}.")


def _thermostat(calling: bool) -> Doer:
    def do(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
        if state.calling is calling or not any(b.cycles for b in bench.appliance.branches):
            return _no(state, "The thermostat stands so already.")
        text = "It is set so that it calls for heat." if calling else "It is set so that it does not call for heat."
        return _spend(replace(state, calling=calling), effort.SET_CONTROLS), Shown(text)

    return do


def _meter(bench: Bench, state: BenchState, name: str) -> tuple[BenchState, Shown]:
    function = next((f for f in DIAL if f.value == name), None)
    if function is None:
        return _no(state, "The instruments on the bench have no such function.")
    meter = bench.meter_for(function)
    same = state.function is not None and bench.meter_for(state.function) is meter
    after = replace(state, function=function, nulled=state.nulled and same)
    note = f" With the probes together it shows {_leads(bench, function)}." if function.through_leads else ""
    return after, Shown(f"{meter.title}, set to {DIAL[function].partition(' (')[0]}.{note}")


def _leads(bench: Bench, function: Function) -> str:
    return read(bench.meter_for(function), function, 0.0).display


def _null(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not _can_null(bench, state):
        return _no(state, "The leads cannot be nulled on this instrument and function.")
    return _spend(replace(state, nulled=True), NULL), Shown("Probes together, nulled: it shows 0.")


def _probe(bench: Bench, state: BenchState, what: str) -> tuple[BenchState, Shown]:
    ends = what.split()
    if len(ends) != 2 or ends[0] == ends[1] or not set(ends) <= set(bench.appliance.terminals):
        return _no(state, "The probes need two different terminals.")
    if state.function is None:
        return _no(state, "Set a meter first.")
    if not state.isolated:
        return _fail(state, "live-ohms", "You are putting the probes of a resistance meter on with the supply on.")
    slip, why = _not_dead(state)
    if slip:
        return _fail(state, "live-ohms", f"You are measuring resistance before it is proved dead. {why}")
    hidden = [t for t in ends if t not in bench.terminals(state)]
    if hidden:
        return _no(state, f"{hidden[0]} cannot be reached: the {bench.cover_over(hidden[0])} is over it.")
    item = bench.shown_by(_trial(bench, state, (ends[0], ends[1])), nulled=state.nulled)
    text = f"{what.replace(' ', ' to ')}: {item.display}"
    beeps = bench.beeps(item)
    if beeps is not None:
        text += ", beeps" if beeps else ", no beep"
    minutes = effort.PROBE + (effort.INSULATION_TEST if state.function is Function.INSULATION else 0.0)
    after = _spend(_observed(bench, state, item), minutes)
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
    ends, metal = {a, b}, _metal(appliance)
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


def _metal(appliance: Appliance) -> set[str]:
    return {t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals}


def _look(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    if mark not in _sights(bench.appliance):
        return _no(state, "There is no such thing to look at.")
    if not _reach(bench, state, mark):
        return _no(state, f"{mark} cannot be seen: a cover is over it.")
    seen = bench.seen_at(mark)
    listed = len(sights(bench.appliance, mark)) > 1
    after = replace(state, evidence=(*state.evidence, seen) if listed else state.evidence, trials=state.trials + 1)
    text = seen.what or "nothing out of the ordinary to see"
    return _spend(after, effort.LOOK), Shown(f"{mark}: {text}.")


def _dry(_: Bench, state: BenchState, __: str) -> tuple[BenchState, Shown]:
    if not state.isolated or state.dried:
        return _no(state, "That is not to be done now.")
    after = replace(
        state, dried=True, insulated=frozenset(), bad="" if state.bad.startswith("insulation") else state.bad
    )
    return _spend(after, effort.DRY_OUT), Shown("Dried out with warm air for half an hour, and cool again.")


def _energise(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
    if not state.isolated:
        return _no(state, "The supply is on.")
    loose = sorted(state.lifted)
    if any(bench.appliance.wire(mark).is_earth for mark in loose):
        return _fail(state, "earth-forgotten", "You are putting the supply back with an earth wire off.")
    if state.uncovered or loose:
        what = [*(f"the {cover}" for cover in sorted(state.uncovered)), *(f"wire {mark}" for mark in loose)]
        return _fail(state, "energised-open", f"You are putting the supply back with {' and '.join(what)} off.")
    why = _unproved(bench, state)
    if why:
        return _fail(state, "untested-return", f"You are putting the supply back. {why}")
    after = replace(state, isolated=False, locked=False, proved=False, proved_again=False, tested=frozenset())
    return _spend(after, effort.RESTORE), Shown("The supply is on, the appliance is whole.")


def _unproved(bench: Bench, state: BenchState) -> str:
    """Why earth and insulation do not allow the supply yet; empty when they do."""
    if state.bad:
        return f"But {state.bad}."
    metal = _metal(bench.appliance)
    if bench.appliance.earth and not state.earth >= metal:
        return f"Earth continuity to {' and '.join(sorted(metal - state.earth))} has not been read."
    if metal and not state.insulated >= {"L", "N"}:
        return "Insulation of line (controls on) and of neutral to earth has not been read."
    return ""


def _run(record: bool) -> Doer:
    def do(bench: Bench, state: BenchState, _: str) -> tuple[BenchState, Shown]:
        if state.isolated:
            return _no(state, "The supply is off.")
        why = _unproved(bench, state)
        if why:
            return _fail(state, "untested-return", f"You are switching on a suspect appliance. {why}")
        position = bench.appliance.position(state.position)
        ran = bench.ran_in(state.position, record=record)
        if not ran.symptoms:
            return _no(state, f"There is nothing to try out at {position.title}.")
        after = replace(state, evidence=(*state.evidence, ran), trials=state.trials + 1)
        what = "Heat-up record" if record else "Functional run"
        text = f"{what}, {position.title}: {run_words(bench.appliance, ran)}."
        return _spend(after, effort.RECORD if record else effort.RUN), Shown(text)

    return do


def _bypass(bench: Bench, state: BenchState, mark: str) -> tuple[BenchState, Shown]:
    if not any(p.mark == mark and p.kind is PartKind.CUT_OUT for p in bench.appliance.parts):
        return _no(state, "There is no such thing to bridge.")
    return _fail(state, "bypass", f"You are bridging the {bench.appliance.part(mark).title}.")


def _conclude(bench: Bench, state: BenchState, what: str) -> tuple[BenchState, Shown]:
    faults = concluded(what)
    if not faults <= {f.id for f in bench.appliance.faults}:
        return _no(state, "There is no such fault to conclude.")
    said = " and ".join(bench.appliance.fault(f).title for f in sorted(faults)) or NOTHING_WRONG
    return replace(state, conclusion=faults), Shown(f"Concluded: {said}.")


_DOERS: Mapping[Verb, Doer] = {
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
    Verb.METER: _meter,
    Verb.NULL: _null,
    Verb.PROBE: _probe,
    Verb.LOOK: _look,
    Verb.DRY: _dry,
    Verb.ENERGISE: _energise,
    Verb.RUN: _run(record=False),
    Verb.RECORD: _run(record=True),
    Verb.BYPASS: _bypass,
    Verb.CONCLUDE: _conclude,
}
