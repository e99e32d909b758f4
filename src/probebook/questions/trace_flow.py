"""Trace questions about where current flows: parts and wires."""

from __future__ import annotations

import random

from probebook.appliances import (
    Appliance,
    BranchKind,
    PartKind,
    State,
)
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, shuffled
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

__all__ = ["heats", "wires"]

CONTROLS = (PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.FUSE)


def heats(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which parts carry current in a position."""
    appliance = library.appliance(ask.appliance)
    loads = sc.loads(appliance)
    for position in positions(ask, appliance, rng):
        on = on_at(appliance, State(position))
        if on and (len(on) < len(loads) or len(loads) < 4):
            break
    else:
        raise Unfit(f"no position of the {appliance.title} feeds some parts and not others")
    shown = list(loads)
    if ask.level > 1:
        shown += [
            b
            for b in appliance.branches
            if b.kind in (BranchKind.CONTACT, BranchKind.FUSE) and appliance.part(b.part).kind in CONTROLS
        ]
    everywhere = carrying(appliance, State(position))
    key = {b.name for b in shown if b.name in everywhere}
    field = ticks_field(
        "parts",
        "Parts that carry current",
        shuffled([Option(b.name, sc.name(appliance, b)) for b in shown], rng),
        key,
    )
    controls = frozenset(key) - on
    slips = tick_slips(library, field, _wrong_parts(appliance, position, on, controls, {b.name for b in shown}))
    off = [b.name for b in loads if b.name not in on]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="Where does current flow?",
            prompt=(
                f"{begin(appliance, 'It is sound, on its supply and warmed up.')} "
                f"{sc.controls_words(appliance, State(position))} Use the wiring diagram. Which of these carry current?"
            ),
            fields=(field,),
            slips=slips,
            explanation=(
                f"From line through the closed contacts to neutral there is a path through the "
                f"{listed(appliance, in_order(appliance, key))}."
                + (f" No closed contact feeds the {listed(appliance, off)}." if off else "")
            ),
            working=f"On: {', '.join(in_order(appliance, key))}",
            competences=("C19", "C21", "C31"),
            pictures=sc.diagram(ask, appliance, position),
        ),
        library,
        branches=len(shown),
    )


def _wrong_parts(
    appliance: Appliance, position: str, on: frozenset[str], controls: frozenset[str], shown: set[str]
) -> list[WrongTicks]:
    """What a learner ticks who goes by the part, by the name of the position, or by heat alone."""
    wrong: list[WrongTicks] = []
    sections = {b.name: b for b in sc.sections(appliance)}
    working_parts = {sections[n].part for n in on if n in sections}
    siblings = [n for n, b in sections.items() if b.part in working_parts and n not in on]
    if siblings:
        wrong.append(
            WrongTicks(
                "whole-for-part",
                on | controls | set(siblings),
                f"The {listed(appliance, siblings)} {verb(siblings, 'has its', 'have their')} own contact; it is open.",
            )
        )
    elements = frozenset(n for n in on if n in sections)
    others = on - elements
    if elements and others:
        wrong.append(
            WrongTicks(
                "part-for-whole",
                elements | controls,
                f"The {listed(appliance, in_order(appliance, others))} {verb(others, 'carries', 'carry')} current too.",
            )
        )
    if controls:
        wrong.append(
            WrongTicks(
                "nearest-only",
                on,
                f"The {listed(appliance, in_order(appliance, controls))} {verb(controls, 'lies', 'lie')} in the path: "
                "what the load carries, the path carries.",
            )
        )
    wrong += [
        WrongTicks(
            "part-for-whole",
            (on | controls) - {name},
            f"The {listed(appliance, [name])} is fed in this position as well.",
        )
        for name in in_order(appliance, on)
    ]
    for other in appliance.positions:
        ticks = carrying(appliance, State(other.name)) & shown
        wrong.append(
            WrongTicks(
                "position-name",
                frozenset(ticks),
                f"That would be right at ‘{other.title}’; the knob stands at ‘{appliance.position(position).title}’.",
            )
        )
    wrong.append(WrongTicks("all-for-some", frozenset(shown), "Not every contact is closed in this position."))
    kept: dict[str, int] = {}
    chosen = []
    for item in wrong:
        kept[item.slip] = kept.get(item.slip, 0) + 1
        if kept[item.slip] <= 2:
            chosen.append(item)
    return chosen


def wires(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which of some wires carry current."""
    appliance = library.appliance(ask.appliance)
    count = 4 + ask.level
    for position in positions(ask, appliance, rng):
        flowing = carrying(appliance, State(position))
        live = [w for w in appliance.wires if w.mark in flowing and not w.is_earth]
        idle = [w for w in appliance.wires if w.mark not in flowing]
        if len(live) >= 2 and len(idle) >= 2:
            break
    else:
        raise Unfit(f"no position of the {appliance.title} leaves two wires idle")
    few = rng.sample(idle, min(len(idle), count // 2))
    many = sorted(rng.sample(live, min(len(live), count - len(few))), key=appliance.wires.index)
    chosen = sorted([*few, *many], key=lambda w: appliance.wires.index(w))
    options = [Option(w.mark, f"{w.mark}: {w.start} to {w.end}, {w.colour}") for w in chosen]
    key = frozenset(w.mark for w in many)
    field = ticks_field("wires", "Wires that carry current", options, key)
    neutral = neutral_side(appliance, [w.mark for w in many], State(position))
    earths = frozenset(w.mark for w in few if w.is_earth)
    wrong = []
    if neutral and neutral != key:
        wrong.append(
            WrongTicks(
                "one-wire",
                key - neutral,
                f"{', '.join(w.mark for w in many if w.mark in neutral)}: the same current comes back that way.",
            )
        )
    if earths:
        wrong.append(
            WrongTicks(
                "earth-carries",
                key | earths,
                f"{', '.join(w.mark for w in chosen if w.mark in earths)}: for a fault to metal only.",
            )
        )
    for other in appliance.positions:
        ticks = carrying(appliance, State(other.name)) & {w.mark for w in chosen}
        wrong.append(
            WrongTicks(
                "position-name",
                frozenset(ticks),
                f"That would be right at ‘{other.title}’; the knob stands at ‘{appliance.position(position).title}’.",
            )
        )
    wrong = wrong[:4]
    wrong.append(WrongTicks("all-for-some", frozenset(w.mark for w in chosen), "Some contacts are open."))
    wrong += [
        WrongTicks("part-for-whole", key - {mark}, f"{mark} lies in the path of a part that works.")
        for mark in [w.mark for w in many][:2]
    ]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="Which wires carry current?",
            prompt=(
                f"{begin(appliance, 'It is sound, on its supply and warmed up.')} "
                f"{sc.controls_words(appliance, State(position))} Use the wiring diagram. Which of these wires carry "
                "current?"
            ),
            fields=(field,),
            slips=tick_slips(library, field, wrong),
            explanation=(
                "At work in this position: "
                f"{listed(appliance, in_order(appliance, on_at(appliance, State(position))))}. Every wire on the way "
                "from line to neutral carries current: "
                f"{', '.join(w.mark for w in chosen if w in many)}. Idle: "
                f"{', '.join(w.mark for w in chosen if w in few)}, behind an open contact or for earthing only."
            ),
            working=f"Carrying: {', '.join(w.mark for w in chosen if w in many)}",
            competences=("C19", "C21"),
            pictures=sc.diagram(ask, appliance, position),
        ),
        library,
        branches=len(chosen),
    )
