"""Trace questions about breaks: what a broken wire stops, and what voltage stands across an open part."""

from __future__ import annotations

import math
import random

from probebook.appliances import (
    Appliance,
    Branch,
    BranchKind,
    State,
    Wire,
    branch_ends,
    branch_ohms,
)
from probebook.cases.library import Library
from probebook.circuit import energise
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongNumber, quantity_field, shuffled
from probebook.questions.model import Option, Question
from probebook.questions.trace_ticks import (
    WrongTicks,
    begin,
    carrying,
    in_order,
    listed,
    neutral_side,
    on_at,
    positions,
    tick_slips,
    ticks_field,
    verb,
)

__all__ = ["broken", "volts"]


def broken(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which parts stop when a wire breaks."""
    appliance = library.appliance(ask.appliance)
    idle = ask.level > 1 and rng.random() < 0.12
    position, wire, on, lost = _breaking(ask, appliance, rng, idle=idle)
    loads = [b.name for b in sc.loads(appliance)]
    options = [Option(n, sc.name(appliance, appliance.branches[appliance.branch(n)])) for n in loads]
    options = [*shuffled(options, rng), Option("none", "none of these stops")]
    key = lost or frozenset({"none"})
    field = ticks_field("stops", "What stops", options, key)
    ends = {wire.start.partition(".")[0], wire.end.partition(".")[0]}
    at_end = frozenset(n for n in on if appliance.branches[appliance.branch(n)].part in ends)
    returns = wire.mark in neutral_side(appliance, [wire.mark], State(position))
    wrong = []
    if lost:
        wrong.append(
            WrongTicks(
                "one-wire" if returns else "break-ignored",
                frozenset({"none"}),
                f"{wire.mark} is the way back of the {listed(appliance, in_order(appliance, lost))}."
                if returns
                else f"{wire.mark} is the only way from line to the {listed(appliance, in_order(appliance, lost))}.",
            )
        )
    wrong += [
        WrongTicks(
            "all-stops",
            on,
            f"The {listed(appliance, in_order(appliance, on - lost))} {verb(on - lost, 'has', 'have')} another path."
            if on != lost
            else "",
        ),
        WrongTicks(
            "nearest-only",
            at_end,
            f"More than the part at the end of {wire.mark} depends on it."
            if lost - at_end
            else f"{wire.mark} ends there, but what it ends at has another path.",
        ),
        WrongTicks(
            "goes-for-stops",
            on - lost,
            f"Those go on: their path does not run through {wire.mark}.",
        ),
        WrongTicks(
            "all-for-some",
            lost | frozenset(n for n in loads if n not in on),
            f"What does not work at ‘{appliance.position(position).title}’ anyway cannot stop.",
        ),
    ]
    if len(lost) > 1:
        wrong += [
            WrongTicks(
                "sequential" if returns else "part-for-whole",
                lost - {name},
                f"The {listed(appliance, [name])} has no other path either.",
            )
            for name in in_order(appliance, lost)[:2]
        ]
    slips = tick_slips(library, field, [item for item in wrong if item.here])
    stays = on - lost
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="One wire breaks",
            prompt=(
                f"{begin(appliance, 'It is on its supply and warmed up.')} "
                f"{sc.controls_words(appliance, State(position))} Use the wiring diagram. "
                f"W{sc.wire_words(appliance, wire.mark)[1:]} breaks; everything else is sound. Which of the parts that "
                "work in this position stop working?"
            ),
            fields=(field,),
            slips=slips,
            explanation=(
                (
                    f"{wire.mark} is the only {'way back to neutral' if returns else 'way from line'} for the "
                    f"{listed(appliance, in_order(appliance, lost))}. A path is broken wherever it is broken, before "
                    "the part or after it."
                    if lost
                    else f"No current flows in {wire.mark} at ‘{appliance.position(position).title}’, or there is "
                    "another way round, so nothing stops here; in another position it may."
                )
                + (f" Not touched by it: {listed(appliance, in_order(appliance, stays))}." if lost and stays else "")
            ),
            working=f"Stops: {', '.join(in_order(appliance, lost)) or 'nothing'}",
            competences=("C19", "C21", "C23"),
            pictures=sc.diagram(ask, appliance, position),
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
    for position in positions(ask, appliance, rng):
        before = sc.power_in(appliance, State(position))
        on = on_at(appliance, State(position))
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
            WrongNumber("no-volts-across-open", 0.0, "The break stops the current, not the voltage."),
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
                f"{begin(appliance)} It is on a supply of {supply:g} V and warmed up. "
                f"{sc.controls_words(appliance, State(position))} "
                f"Use the wiring diagram. The **{opened_name}** has gone open and stays open; everything else is "
                f"sound. Work out on paper, without measuring: what voltage is there across the "
                f"{sc.name_here(appliance, asked)}?"
            ),
            fields=(target,),
            slips=sc.fitting_slips(library, target, wrong),
            explanation=f"{told} It is worked out here and measured live only by a licensed person.",
            working=f"Current 0 A, so 0 V across every sound part of this path; the break has {supply:g} V",
            competences=("C21", "C24"),
            pictures=sc.diagram(ask, appliance, position),
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
    for position in positions(ask, appliance, rng):
        flowing = carrying(appliance, State(position))
        before = sc.power_in(appliance, State(position))
        for part in parts:
            if part.name not in flowing:
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
