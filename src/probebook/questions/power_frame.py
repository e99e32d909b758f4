"""What power questions about several parts share: the position, its heating circuits, the table of facts."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from probebook.appliances import Appliance, Branch, State
from probebook.questions import scene as sc
from probebook.questions.frame import (
    Ask,
    Unfit,
)

__all__ = [
    "adding",
    "branch_of",
    "facts_table",
    "heating_position",
    "title_of",
]


def title_of(appliance: Appliance) -> str:
    """The beginning of a prompt: which appliance."""
    return f"**{appliance.title[0].upper()}{appliance.title[1:]}.**"


def _heating(appliance: Appliance, position: str, *, at_least: int = 2) -> dict[str, float]:
    """Watts of the sections that work at their rating in a position; empty where fewer, or any works otherwise."""
    found = sc.power_in(appliance, State(position))
    sections = {b.name: b.watts for b in sc.sections(appliance)}
    on = {name: found[name] for name in sections if found[name] > 1.0}
    ordinary = all(math.isclose(value, sections[name], rel_tol=0.02) for name, value in on.items())
    return {name: sections[name] for name in on} if ordinary and len(on) >= at_least else {}


def heating_position(
    ask: Ask, appliance: Appliance, rng: random.Random, *, at_least: int = 2
) -> tuple[str, dict[str, float]]:
    """A position and the rated watts of its heating circuits, by name; Unfit when no position has so many."""
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    for name in names:
        on = _heating(appliance, name, at_least=at_least)
        if on:
            return name, on
    raise Unfit(f"no position of the {appliance.title} has {at_least} heating circuits at their rating")


def branch_of(appliance: Appliance, name: str) -> Branch:
    """The branch of that name."""
    return appliance.branches[appliance.branch(name)]


def adding(values: Sequence[float]) -> str:
    """A sum as it is written."""
    return " + ".join(f"{v:g}" for v in values)


def facts_table(appliance: Appliance, *, as_ohms: bool) -> str:
    """The sections as a table, by watts or by hot ohms."""
    head = "hot ohms" if as_ohms else f"rating at {appliance.plate.volts:g} V"
    rows = [
        f"| {sc.name(appliance, b)} | {', '.join(appliance.terminals[i] for i in b.ends)} | "
        f"{sc.ohms(b.hot_ohms) if as_ohms else sc.watts(b.watts)} |"
        for b in sc.sections(appliance)
    ]
    return "\n".join([f"| part | terminals | {head} |", "| --- | --- | --- |", *rows])
