"""Trace questions about switches: which contacts must be closed for exactly these parts to work."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from itertools import product

import numpy as np

from probebook.appliances import (
    Appliance,
    Branch,
    BranchKind,
    PartKind,
    State,
    branch_ends,
    branch_ohms,
)
from probebook.cases.library import Library
from probebook.circuit import energise
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Option, Question
from probebook.questions.trace_ticks import (
    NOTHING,
    WrongTicks,
    begin,
    in_order,
    listed,
    on_at,
    positions,
    tick_slips,
    ticks_field,
)

__all__ = ["contacts"]


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
    fixed: list[tuple[str, frozenset[str], frozenset[str]]] = []
    for name in positions(ask, appliance, rng):
        closed = frozenset(n for n in names if n in appliance.position(name).closes)
        works = on_at(appliance, State(name))
        if works and [c for c, found in outcomes.items() if found == works] == [closed]:
            fixed.append((name, closed, works))
    if not fixed:
        raise Unfit("no position is fixed by what works in it")
    # A position in which some contact is open asks for more than one in which all are closed.
    position, key, on = next((item for item in fixed if len(item[1]) < len(names)), fixed[0])
    options = [Option(b.name, f"{b.name} ({', '.join(appliance.terminals[i] for i in b.ends)})") for b in switching]
    field = ticks_field("contacts", "Contacts that are closed", options, key)
    wrong = [
        WrongTicks(
            "position-name",
            frozenset(n for n in names if n in p.closes),
            "With those closed these would work: "
            f"{listed(appliance, in_order(appliance, on_at(appliance, State(p.name))))}.",
        )
        for p in appliance.positions
        if p.name != position
    ][:2]
    for name in sorted(key):
        works = outcomes[key - {name}]
        wrong.append(
            WrongTicks(
                "part-for-whole",
                key - {name},
                f"Without {name} the {listed(appliance, in_order(appliance, on - works))} would not work.",
            )
        )
    for name in [n for n in names if n not in key]:
        extra = outcomes[key | {name}] - on
        if extra:
            wrong.append(
                WrongTicks(
                    "all-for-some",
                    key | {name},
                    f"With {name} closed the {listed(appliance, in_order(appliance, extra))} would work too.",
                )
            )
    wrong.append(WrongTicks("all-for-some", frozenset(names), "Not every part works, so not every contact is closed."))
    others = [b.name for b in sc.loads(appliance) if b.name not in on]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="controls",
            level=ask.level,
            title="Which contacts are closed?",
            prompt=(
                f"{begin(appliance, 'It is sound, on its supply, warmed up and calls for heat.')} These work: "
                f"**{listed(appliance, in_order(appliance, on))}**. "
                + (f"These do not: {listed(appliance, others)}. " if others else "")
                + "Use the wiring diagram. Which switch contacts are closed?"
            ),
            fields=(field,),
            slips=tick_slips(library, field, wrong),
            explanation=(
                f"Each part that works needs a closed way from line and back to neutral: that takes "
                f"{', '.join(sorted(key))}. One more would bring something else in, one less would leave something "
                f"out. It is the position ‘{appliance.position(position).title}’."
            ),
            working=f"Closed: {', '.join(sorted(key))}",
            competences=("C19", "C21", "C31"),
            pictures=sc.diagram(ask, appliance),
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
