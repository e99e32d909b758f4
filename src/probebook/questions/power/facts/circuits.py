"""The heating circuits of an appliance: which heat in a position, and their table, list and sums in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, Branch, State
from probebook.appliances.naming import branch_name
from probebook.questions.power.assumed import PowerDraws
from probebook.questions.scene import power_in, sections
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Circuit", "TableHead", "circuits_said", "heating_in", "ratings", "section_of"]


@dataclass(frozen=True)
class Circuit(Facts, group="questions/power/circuit", says=("heats", "row", "row-ohms", "power", "resistance")):
    """One heating circuit with its terminals, its rating and its hot ohms at a voltage."""

    part: Noun
    terminals: tuple[str, ...]
    volts: Annotated[float, "V"]
    watts: Annotated[float, "W"]
    ohms: Annotated[float, "ohm"]


@dataclass(frozen=True)
class TableHead(Facts, group="questions/power/table", says=("head", "head-ohms")):
    """The voltage that the ratings are for."""

    volts: Annotated[float, "V"]


def section_of(appliance: Appliance, name: str) -> Branch:
    """The branch of that name."""
    return appliance.branches[appliance.branch(name)]


def heating_in(appliance: Appliance, position: str) -> dict[str, float]:
    """Rated watts of the sections that heat in a position; empty where any of them does not work as rated."""
    found, draws = power_in(appliance, State(position)), appliance.assumptions.get(PowerDraws)
    rated = {b.name: b.watts for b in sections(appliance)}
    on = {name: found[name] for name in rated if found[name] > draws.carries}
    ordinary = all(math.isclose(value, rated[name], rel_tol=draws.as_rated) for name, value in on.items())
    return {name: rated[name] for name in on} if ordinary else {}


def circuits_said(
    words: Words, appliance: Appliance, key: str, watts: Mapping[str, float] | Iterable[str]
) -> tuple[Phrase, ...]:
    """Each section said in one way; a mapping gives other watts than the ratings."""
    given = watts if isinstance(watts, Mapping) else {}
    return tuple(words.say(_circuit(words, appliance, name, given.get(name)), key) for name in watts)


def _circuit(words: Words, appliance: Appliance, name: str, watts: float | None = None) -> Circuit:
    branch = section_of(appliance, name)
    return Circuit(
        part=branch_name(words, appliance, branch),
        terminals=tuple(appliance.terminals[i] for i in branch.ends),
        volts=appliance.plate.volts,
        watts=branch.watts if watts is None else watts,
        ohms=branch.hot_ohms,
    )


def ratings(words: Words, appliance: Appliance, *, as_ohms: bool) -> Phrase:
    """The sections as a table, by watts or by hot ohms."""
    head = words.say(TableHead(appliance.plate.volts), "head-ohms" if as_ohms else "head")
    names = [b.name for b in sections(appliance)]
    rows = circuits_said(words, appliance, "row-ohms" if as_ohms else "row", names)
    return Phrase("\n".join([head, "| --- | --- | --- |", *rows]))
