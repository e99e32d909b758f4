"""Trace questions: where current flows, what a break stops, what stands across an open part, which contacts are closed.

Forms (option ``form``; ``position``, ``wire`` and ``part`` narrow the draw where a form uses them):

``heats``
    Which parts carry current in a position; from level 2 the controls in the path are among the options.
``wires``
    Which of some wires carry current in a position.
``break``
    Which parts stop when a wire breaks.
``volts``
    The voltage across an open part, and from level 2 also across a sound part behind an open contact.
``contacts``
    Which switch contacts must be closed for exactly these parts to work.

The key comes from the energised solution at working temperature.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from probebook.appliances import (
    Appliance,
    Branch,
    BranchKind,
    PartKind,
    State,
    Wire,
    branch_ends,
    branch_ohms,
    working,
)
from probebook.cases.library import Library
from probebook.circuit import energise
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Builder, Unfit, WrongNumber, advice, quantity_field, shuffled
from probebook.questions.model import Field, FieldKind, Option, Question, Slip

__all__ = ["FORMS", "build_trace"]

#: Amperes below which a branch counts as carrying none (a neon carries about a milliampere).
NOTHING = 1e-4
CONTROLS = (PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.FUSE)


def build_trace(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a trace question of the form that the request names (``heats`` when it names none)."""
    form = ask.text("form", "heats")
    if form not in FORMS:
        raise Unfit(f"there is no trace question of form '{form}'")
    return FORMS[form](ask, library, rng)


# ---------------------------------------------------------------- ticks and their slips


@dataclass(frozen=True, slots=True)
class _WrongTicks:
    """The ticks that a slip leads to, and what to say of them here."""

    slip: str
    ticks: frozenset[str]
    here: str


def _ticks(key: str, label: str, options: Sequence[Option], right: Iterable[str], *, marks: float = 2.0) -> Field:
    wanted = set(right)
    if not wanted:
        raise Unfit("nothing would be right")
    answer = [option.id for option in options if option.id in wanted]
    return Field(key=key, kind=FieldKind.CHOICES, label=label, marks=marks, answer=answer, options=tuple(options))


def _tick_slips(library: Library, field: Field, wrong: Sequence[_WrongTicks], *, least: int = 3) -> tuple[Slip, ...]:
    """Slips of ticks; each earns what those ticks earn by counting. Two that give the same ticks are one."""
    right, order = frozenset(field.answer), [option.id for option in field.options]
    seen = {right, frozenset[str]()}
    slips = []
    for item in wrong:
        if item.ticks in seen:
            continue
        seen.add(item.ticks)
        counted = max(len(item.ticks & right) - len(item.ticks - right), 0) / len(right)
        slips.append(
            Slip(
                slip=item.slip,
                field=field.key,
                response=[name for name in order if name in item.ticks],
                advice=advice(library, item.slip, item.here),
                marks=round(field.marks * counted, 2),
            )
        )
    if len(slips) < least:
        raise Unfit(f"only {len(slips)} slips apply here, {least} are wanted")
    return tuple(slips)


def _positions(ask: Ask, appliance: Appliance, rng: random.Random) -> list[str]:
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    return names


def _carrying(appliance: Appliance, state: State) -> frozenset[str]:
    """Names of all branches that carry current in a state."""
    flow = working(appliance, [state], volts=appliance.plate.volts)
    return frozenset(
        b.name for b, amps in zip(appliance.branches, flow.amps[0], strict=True) if abs(float(amps)) > NOTHING
    )


def _on(appliance: Appliance, state: State) -> frozenset[str]:
    names = {b.name for b in sc.loads(appliance)}
    return _carrying(appliance, state) & names


def _list(appliance: Appliance, names: Iterable[str]) -> str:
    words = [sc.name(appliance, appliance.branches[appliance.branch(n)]) for n in names]
    if not words:
        return "nothing"
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _verb(names: Iterable[str], one: str, several: str) -> str:
    return one if len(set(names)) == 1 else several


def _in_order(appliance: Appliance, names: Iterable[str]) -> list[str]:
    return sorted(names, key=appliance.branch)


def _begin(appliance: Appliance) -> str:
    return f"**{appliance.title[0].upper()}{appliance.title[1:]}.**"


# ---------------------------------------------------------------- heats


def heats(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which parts carry current in a position."""
    appliance = library.appliance(ask.appliance)
    loads = sc.loads(appliance)
    for position in _positions(ask, appliance, rng):
        on = _on(appliance, State(position))
        if on and (len(on) < len(loads) or len(loads) < 4):
            break
    else:
        raise Unfit(f"no position of the {appliance.title} feeds some parts and not others")
    listed = list(loads)
    if ask.level > 1:
        listed += [
            b
            for b in appliance.branches
            if b.kind in (BranchKind.CONTACT, BranchKind.FUSE) and appliance.part(b.part).kind in CONTROLS
        ]
    everywhere = _carrying(appliance, State(position))
    key = {b.name for b in listed if b.name in everywhere}
    field = _ticks(
        "parts",
        "Parts that carry current",
        shuffled([Option(b.name, sc.name(appliance, b)) for b in listed], rng),
        key,
    )
    controls = frozenset(key) - on
    slips = _tick_slips(library, field, _wrong_parts(appliance, position, on, controls, {b.name for b in listed}))
    off = [b.name for b in loads if b.name not in on]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="Where does current flow?",
            prompt=(
                f"{_begin(appliance)} It is sound, on its supply and warmed up. {sc.controls_words(appliance, State(position))} Use "
                "the wiring diagram. Which of these carry current?"
            ),
            fields=(field,),
            slips=slips,
            explanation=(
                f"From line through the closed contacts to neutral there is a path through the "
                f"{_list(appliance, _in_order(appliance, key))}."
                + (f" No closed contact feeds the {_list(appliance, off)}." if off else "")
            ),
            working=f"On: {', '.join(_in_order(appliance, key))}",
            competences=("C19", "C21", "C31"),
        ),
        library,
        branches=len(listed),
    )


def _wrong_parts(
    appliance: Appliance, position: str, on: frozenset[str], controls: frozenset[str], listed: set[str]
) -> list[_WrongTicks]:
    """What a learner ticks who goes by the part, by the name of the position, or by heat alone."""
    wrong: list[_WrongTicks] = []
    sections = {b.name: b for b in sc.sections(appliance)}
    working_parts = {sections[n].part for n in on if n in sections}
    siblings = [n for n, b in sections.items() if b.part in working_parts and n not in on]
    if siblings:
        wrong.append(
            _WrongTicks(
                "whole-for-part",
                on | controls | set(siblings),
                f"The {_list(appliance, siblings)} {_verb(siblings, 'has its', 'have their')} own contact, and it is open.",
            )
        )
    elements = frozenset(n for n in on if n in sections)
    others = on - elements
    if elements and others:
        wrong.append(
            _WrongTicks(
                "part-for-whole",
                elements | controls,
                f"The {_list(appliance, _in_order(appliance, others))} {_verb(others, 'carries', 'carry')} current too.",
            )
        )
    if controls:
        wrong.append(
            _WrongTicks(
                "nearest-only",
                on,
                f"The {_list(appliance, _in_order(appliance, controls))} {_verb(controls, 'lies', 'lie')} in the path: "
                "what the load carries, the path carries.",
            )
        )
    wrong += [
        _WrongTicks(
            "part-for-whole",
            (on | controls) - {name},
            f"The {_list(appliance, [name])} is fed in this position as well.",
        )
        for name in _in_order(appliance, on)
    ]
    for other in appliance.positions:
        ticks = _carrying(appliance, State(other.name)) & listed
        wrong.append(
            _WrongTicks(
                "position-name",
                frozenset(ticks),
                f"Those carry current at ‘{other.title}’, not at ‘{appliance.position(position).title}’.",
            )
        )
    wrong.append(_WrongTicks("all-for-some", frozenset(listed), "Not every contact is closed in this position."))
    kept: dict[str, int] = {}
    chosen = []
    for item in wrong:
        kept[item.slip] = kept.get(item.slip, 0) + 1
        if kept[item.slip] <= 2:
            chosen.append(item)
    return chosen


# ---------------------------------------------------------------- wires


def wires(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which of some wires carry current."""
    appliance = library.appliance(ask.appliance)
    count = 4 + ask.level
    for position in _positions(ask, appliance, rng):
        carrying = _carrying(appliance, State(position))
        live = [w for w in appliance.wires if w.mark in carrying and not w.is_earth]
        idle = [w for w in appliance.wires if w.mark not in carrying]
        if len(live) >= 2 and len(idle) >= 2:
            break
    else:
        raise Unfit(f"no position of the {appliance.title} leaves two wires idle")
    few = rng.sample(idle, min(len(idle), count // 2))
    many = rng.sample(live, min(len(live), count - len(few)))
    chosen = sorted([*few, *many], key=lambda w: appliance.wires.index(w))
    options = [Option(w.mark, f"{w.mark}: {w.start} to {w.end}, {w.colour}") for w in chosen]
    key = frozenset(w.mark for w in many)
    field = _ticks("wires", "Wires that carry current", options, key)
    neutral = _neutral_side(appliance, [w.mark for w in many], State(position))
    earths = frozenset(w.mark for w in few if w.is_earth)
    wrong = []
    if neutral and neutral != key:
        wrong.append(
            _WrongTicks(
                "one-wire",
                key - neutral,
                f"{', '.join(sorted(neutral))}: on the neutral side the same current comes back.",
            )
        )
    if earths:
        wrong.append(
            _WrongTicks(
                "earth-carries",
                key | earths,
                f"{', '.join(sorted(earths))} {_verb(earths, 'carries', 'carry')} current only in a fault to metal.",
            )
        )
    for other in appliance.positions:
        ticks = _carrying(appliance, State(other.name)) & {w.mark for w in chosen}
        wrong.append(
            _WrongTicks(
                "position-name", frozenset(ticks), f"Those carry current at ‘{other.title}’; the knob stands elsewhere."
            )
        )
    wrong = wrong[:4]
    wrong.append(_WrongTicks("all-for-some", frozenset(w.mark for w in chosen), "Some contacts are open."))
    wrong += [
        _WrongTicks("part-for-whole", key - {mark}, f"{mark} lies in the path of a part that works.")
        for mark in sorted(key)[:2]
    ]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="Which wires carry current?",
            prompt=(
                f"{_begin(appliance)} It is sound, on its supply and warmed up. {sc.controls_words(appliance, State(position))} Use "
                "the wiring diagram. Which of these wires carry current?"
            ),
            fields=(field,),
            slips=_tick_slips(library, field, wrong),
            explanation=(
                f"At work in this position: {_list(appliance, _in_order(appliance, _on(appliance, State(position))))}. "
                "Every wire on the way from line to neutral carries current: "
                f"{', '.join(w.mark for w in chosen if w in many)}. Idle: "
                f"{', '.join(w.mark for w in chosen if w in few)}, behind an open contact or for earthing only."
            ),
            working=f"Carrying: {', '.join(w.mark for w in chosen if w in many)}",
            competences=("C19", "C21"),
        ),
        library,
        branches=len(chosen),
    )


def _neutral_side(appliance: Appliance, marks: Iterable[str], state: State) -> frozenset[str]:
    """Those of the wires that lie on the neutral side: less than half the supply above earth."""
    flow = working(appliance, [state], volts=appliance.plate.volts)
    half = appliance.plate.volts / 2
    return frozenset(
        mark for mark in marks if float(flow.volts[0, appliance.terminal(appliance.wire(mark).start)]) < half
    )


# ---------------------------------------------------------------- break


def broken(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which parts stop when a wire breaks."""
    appliance = library.appliance(ask.appliance)
    idle = ask.level > 1 and rng.random() < 0.12
    position, wire, on, lost = _breaking(ask, appliance, rng, idle=idle)
    loads = [b.name for b in sc.loads(appliance)]
    options = [Option(n, sc.name(appliance, appliance.branches[appliance.branch(n)])) for n in loads]
    options = [*shuffled(options, rng), Option("none", "none of these stops")]
    key = lost or frozenset({"none"})
    field = _ticks("stops", "What stops", options, key)
    ends = {wire.start.partition(".")[0], wire.end.partition(".")[0]}
    at_end = frozenset(n for n in on if appliance.branches[appliance.branch(n)].part in ends)
    returns = wire.mark in _neutral_side(appliance, [wire.mark], State(position))
    wrong = []
    if lost:
        wrong.append(
            _WrongTicks(
                "one-wire" if returns else "break-ignored",
                frozenset({"none"}),
                f"{wire.mark} is the way back of the {_list(appliance, _in_order(appliance, lost))}."
                if returns
                else f"{wire.mark} is the only way from line to the {_list(appliance, _in_order(appliance, lost))}.",
            )
        )
    wrong += [
        _WrongTicks(
            "all-stops",
            on,
            f"The {_list(appliance, _in_order(appliance, on - lost))} {_verb(on - lost, 'has', 'have')} another path."
            if on != lost
            else "",
        ),
        _WrongTicks(
            "nearest-only",
            at_end,
            f"More than the part at the end of {wire.mark} depends on it."
            if lost - at_end
            else f"{wire.mark} ends there, but what it ends at has another path.",
        ),
        _WrongTicks(
            "goes-for-stops",
            on - lost,
            f"Those go on: their path does not run through {wire.mark}.",
        ),
        _WrongTicks(
            "all-for-some",
            lost | frozenset(n for n in loads if n not in on),
            f"What does not work at ‘{appliance.position(position).title}’ anyway cannot stop.",
        ),
    ]
    if len(lost) > 1:
        wrong += [
            _WrongTicks(
                "sequential" if returns else "part-for-whole",
                lost - {name},
                f"The {_list(appliance, [name])} has no other path either.",
            )
            for name in _in_order(appliance, lost)[:2]
        ]
    slips = _tick_slips(library, field, [item for item in wrong if item.here])
    stays = on - lost
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="One wire breaks",
            prompt=(
                f"{_begin(appliance)} It is on its supply and warmed up. {sc.controls_words(appliance, State(position))} "
                f"Use the wiring diagram. W{sc.wire_words(appliance, wire.mark)[1:]} breaks; everything else is sound. Which "
                "of the parts that work in this position stop working?"
            ),
            fields=(field,),
            slips=slips,
            explanation=(
                (
                    f"{wire.mark} is the only {'way back to neutral' if returns else 'way from line'} for the "
                    f"{_list(appliance, _in_order(appliance, lost))}. A path is broken wherever it is broken, before "
                    "the part or after it."
                    if lost
                    else f"No current flows in {wire.mark} at ‘{appliance.position(position).title}’, or there is "
                    "another way round, so nothing stops here; in another position it may."
                )
                + (f" Unharmed: {_list(appliance, _in_order(appliance, stays))}." if lost and stays else "")
            ),
            working=f"Stops: {', '.join(_in_order(appliance, lost)) or 'nothing'}",
            competences=("C19", "C21", "C23"),
        ),
        library,
        branches=len(on) + 1,
    )


def _breaking(
    ask: Ask, appliance: Appliance, rng: random.Random, *, idle: bool
) -> tuple[str, Wire, frozenset[str], frozenset[str]]:
    """A position, a wire, what works there and what stops without the wire; nothing may be left half working."""
    wanted = ask.text("wire")
    marks = [w for w in appliance.wires if not w.is_earth and (not wanted or w.mark == wanted)]
    rng.shuffle(marks)
    for position in _positions(ask, appliance, rng):
        before = sc.power_in(appliance, State(position))
        on = _on(appliance, State(position))
        if not on:
            continue
        for wire in marks:
            after = sc.power_in(appliance, State(position, lifted=frozenset({wire.mark})))
            if any(0.01 * before[n] < after[n] < 0.9 * before[n] for n in on):
                continue
            lost = frozenset(n for n in on if after[n] <= 0.01 * before[n])
            if bool(lost) is not idle:
                return position, wire, on, lost
    raise Unfit(f"no wire of the {appliance.title} fits")


# ---------------------------------------------------------------- volts


def volts(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The voltage across an open part, or across a sound part behind an open contact."""
    appliance = library.appliance(ask.appliance)
    supply = appliance.plate.volts
    behind = ask.level > 1 and rng.random() < 0.4
    position, opened, load = _open_part(ask, appliance, rng, contacts=behind or rng.random() < 0.5)
    asked = load if behind else opened
    found = _volts_across(appliance, State(position), opened, asked)
    other = 240.0 if supply == 230.0 else 230.0
    opened_name, asked_name = sc.name(appliance, opened), sc.name(appliance, asked)
    if behind:
        if found > 0.5:
            raise Unfit("another path feeds the part")
        target = quantity_field("volts", "Voltage", "V", 0.0, low=0.0, high=2.0)
        wrong = [
            WrongNumber("fault-left-out", supply, f"{supply:g} V would be there with the {opened_name} closed."),
            WrongNumber("volts-shared", supply / 2, "The open contact and the part do not share the voltage equally."),
            WrongNumber("wrong-voltage", other, f"The supply is {supply:g} V, and none of it reaches this part."),
        ]
        told = (
            f"The {opened_name} is open, so no current flows and nothing is dropped in the {asked_name}: 0 V across "
            f"it. All {supply:g} V stand across the open contact."
        )
    else:
        if not math.isclose(found, supply, rel_tol=0.01):
            raise Unfit("not the whole supply stands across the open part")
        target = quantity_field("volts", "Voltage", "V", supply, tolerance=0.02, digits=3)
        wrong = [
            WrongNumber("no-volts-across-open", 0.0, "No current flows, so nothing is dropped elsewhere."),
            WrongNumber(
                "volts-shared", supply / 2, "There is nothing else in the path that could take the other half."
            ),
            WrongNumber("wrong-voltage", other, f"The supply stated is {supply:g} V."),
        ]
        told = (
            f"With the {opened_name} open no current flows in this path, so nothing is dropped along the rest of it: "
            f"one side of the break is at line, the other at neutral, and all {supply:g} V stand across it. Full volts "
            "across a contact that should be closed is the mark of an open contact."
        )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="Volts across a break",
            prompt=(
                f"{_begin(appliance)} It is on a supply of {supply:g} V. "
                f"{sc.controls_words(appliance, State(position))} Use the wiring diagram. The **{opened_name}** has gone open and stays open; everything else is "
                f"sound. Work out on paper, without measuring: what voltage is there across the "
                f"{sc.name_here(appliance, asked)}?"
            ),
            fields=(target,),
            slips=sc.fitting_slips(library, target, wrong),
            explanation=f"{told} It is worked out here and measured live only by a licensed person.",
            working=f"Current 0 A, so 0 V across every sound part of this path; the break has {supply:g} V",
            competences=("C21", "C24"),
        ),
        library,
        branches=2,
    )


def _open_part(ask: Ask, appliance: Appliance, rng: random.Random, *, contacts: bool) -> tuple[str, Branch, Branch]:
    """A position, a contact or load that is open there, and a load that stops for it."""
    wanted = ask.text("part")
    kinds = (BranchKind.CONTACT, BranchKind.FUSE) if contacts else (BranchKind.ELEMENT, BranchKind.LAMP)
    parts = [b for b in appliance.branches if (b.name == wanted if wanted else b.kind in kinds)]
    rng.shuffle(parts)
    for position in _positions(ask, appliance, rng):
        carrying = _carrying(appliance, State(position))
        before = sc.power_in(appliance, State(position))
        for part in parts:
            if part.name not in carrying:
                continue
            after = sc.power_in(appliance, State(position), {part.name: math.inf})
            stopped = [b for b in sc.sections(appliance) if before[b.name] > 1.0 and after[b.name] < 0.01]
            if stopped or part.kind is BranchKind.LAMP:
                return position, part, rng.choice(stopped) if stopped else part
    raise Unfit(f"nothing in the {appliance.title} fits")


def _volts_across(appliance: Appliance, state: State, opened: Branch, asked: Branch) -> float:
    supply = appliance.plate.volts
    ohms = branch_ohms(appliance, [state], hot=True, test_volts=supply)
    ohms[0, appliance.branch(opened.name)] = math.inf
    held = {appliance.terminal(appliance.line): supply, appliance.terminal(appliance.neutral): 0.0}
    flow = energise(len(appliance.terminals), branch_ends(appliance), ohms, held)
    a, b = asked.ends
    across = abs(float(flow.volts[0, a]) - float(flow.volts[0, b]))
    if math.isnan(across):
        raise Unfit("one side of the part floats")
    return across


# ---------------------------------------------------------------- contacts


def contacts(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which switch contacts must be closed for exactly these parts to work."""
    appliance = library.appliance(ask.appliance)
    switching = [
        b
        for b in appliance.branches
        if b.kind is BranchKind.CONTACT
        and appliance.part(b.part).kind in (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)
    ]
    if not 3 <= len(switching) <= 10:
        raise Unfit(f"the {appliance.title} has {len(switching)} switch contacts")
    names = [b.name for b in switching]
    outcomes = _outcomes(appliance, switching)
    for position in _positions(ask, appliance, rng):
        key = frozenset(n for n in names if n in appliance.position(position).closes)
        on = _on(appliance, State(position))
        same = [closed for closed, works in outcomes.items() if works == on]
        if on and same == [key]:
            break
    else:
        raise Unfit("no position is fixed by what works in it")
    options = [Option(b.name, f"{b.name} ({', '.join(appliance.terminals[i] for i in b.ends)})") for b in switching]
    field = _ticks("contacts", "Contacts that are closed", options, key)
    wrong = [
        _WrongTicks(
            "position-name",
            frozenset(n for n in names if n in p.closes),
            f"With those closed these would work: {_list(appliance, _in_order(appliance, _on(appliance, State(p.name))))}.",
        )
        for p in appliance.positions
        if p.name != position
    ][:2]
    for name in sorted(key):
        works = outcomes[key - {name}]
        wrong.append(
            _WrongTicks(
                "part-for-whole",
                key - {name},
                f"Without {name} the {_list(appliance, _in_order(appliance, on - works))} would not work.",
            )
        )
    for name in [n for n in names if n not in key]:
        extra = outcomes[key | {name}] - on
        if extra:
            wrong.append(
                _WrongTicks(
                    "all-for-some",
                    key | {name},
                    f"With {name} closed the {_list(appliance, _in_order(appliance, extra))} would work too.",
                )
            )
    wrong.append(_WrongTicks("all-for-some", frozenset(names), "Not every part works, so not every contact is closed."))
    others = [b.name for b in sc.loads(appliance) if b.name not in on]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="controls",
            level=ask.level,
            title="Which contacts are closed?",
            prompt=(
                f"{_begin(appliance)} It is sound, on its supply, warmed up and calls for heat. These work: "
                f"**{_list(appliance, _in_order(appliance, on))}**. "
                + (f"These do not: {_list(appliance, others)}. " if others else "")
                + "Use the wiring diagram. Which switch contacts are closed?"
            ),
            fields=(field,),
            slips=_tick_slips(library, field, wrong),
            explanation=(
                f"Each part that works needs a closed way from line and back to neutral: that takes "
                f"{', '.join(sorted(key))}. One more would bring something else in, one less would leave something "
                f"out. It is the position ‘{appliance.position(position).title}’."
            ),
            working=f"Closed: {', '.join(sorted(key))}",
            competences=("C19", "C21", "C31"),
        ),
        library,
        branches=len(names),
    )


def _outcomes(appliance: Appliance, switching: Sequence[Branch]) -> Mapping[frozenset[str], frozenset[str]]:
    """What works for every set of closed switch contacts, the thermostats calling."""
    supply = appliance.plate.volts
    base = branch_ohms(appliance, [State(appliance.positions[0].name)], hot=True, test_volts=supply)[0]
    sets = list(product((False, True), repeat=len(switching)))
    table = np.tile(base, (len(sets), 1))
    for column, branch in enumerate(switching):
        i = appliance.branch(branch.name)
        table[:, i] = np.where([chosen[column] for chosen in sets], branch.hot_ohms, math.inf)
    held = {appliance.terminal(appliance.line): supply, appliance.terminal(appliance.neutral): 0.0}
    flow = energise(len(appliance.terminals), branch_ends(appliance), table, held)
    loads = [(b.name, appliance.branch(b.name)) for b in sc.loads(appliance)]
    return {
        frozenset(b.name for b, on in zip(switching, chosen, strict=True) if on): frozenset(
            n for n, i in loads if abs(float(flow.amps[row, i])) > NOTHING
        )
        for row, chosen in enumerate(sets)
    }


FORMS: Mapping[str, Builder] = {
    "heats": heats,
    "wires": wires,
    "break": broken,
    "volts": volts,
    "contacts": contacts,
}
