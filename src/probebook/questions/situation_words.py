"""What prompts say of a situation: which appliance, how its controls stand, which wire is off, which meter is used.

The words are short trade English and leave nothing open: which meter, whether its leads are nulled, how the controls
stand, which wire is off. Which sentence is said is decided here; how it reads stands in ``questions/scene.toml``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, Branch, BranchKind, PartKind, Position, State
from probebook.appliances.naming import branch_name, branch_with_terminals, part_name, wire_with_ends
from probebook.meters import Function, Meter
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "controls_words",
    "following",
    "lift_words",
    "meter_words",
    "name",
    "name_here",
    "opening",
    "ratings_table",
    "together",
    "wire_words",
]

name = branch_name
name_here = branch_with_terminals
wire_words = wire_with_ends


def together(*sentences: str) -> Phrase:
    """Whole sentences one after the other, without those that are empty."""
    return Phrase(" ".join(s for s in sentences if s))


def following(*sentences: str) -> Phrase:
    """Whole sentences, each with the blank that parts it from what stands before; nothing where all are empty."""
    return Phrase("".join(f" {s}" for s in sentences if s))


# ---------------------------------------------------------------- the appliance


@dataclass(frozen=True)
class OpeningFacts(Facts, group="questions/scene/opening", says=("fixed", "plug")):
    """The appliance that a prompt about resistance is about."""

    appliance: Noun


def opening(words: Words, appliance: Appliance) -> Phrase:
    """Which appliance, and that it is dead: the beginning of a prompt about resistance."""
    key = "plug" if appliance.supply.kind == "plug" else "fixed"
    return words.say(OpeningFacts(words.noun(appliance.title)), key)


# ---------------------------------------------------------------- wires that are off


@dataclass(frozen=True)
class LiftFacts(Facts, group="questions/scene/lift", says=("off", "one-end")):
    """A wire that is lifted, and the terminal it is lifted off."""

    wire: Noun
    terminal: str


@dataclass(frozen=True)
class LiftsFacts(Facts, group="questions/scene/lifts", says=("none", "some")):
    """All wires that are lifted, each as a clause."""

    lifts: tuple[Phrase, ...]


def lift_words(words: Words, appliance: Appliance, lifted: Iterable[str], probes: Sequence[str] = ()) -> Phrase:
    """A sentence that says which wires are off, and at which end where a probed terminal is one."""
    told = []
    for mark in sorted(lifted):
        wire = appliance.wire(mark)
        at = next((t for t in probes if t in (wire.start, wire.end)), "")
        facts = LiftFacts(wire_with_ends(words, appliance, mark), at)
        told.append(words.say(facts, "off" if at else "one-end"))
    return words.say(LiftsFacts(tuple(told)), "some" if told else "none")


# ---------------------------------------------------------------- controls


@dataclass(frozen=True)
class ControlsFacts(Facts, group="questions/scene/controls", says=("closed", "open")):
    """The position of the controls and the switch contacts that are closed in it."""

    position: Noun
    closed: tuple[str, ...]


@dataclass(frozen=True)
class CallingFacts(Facts, group="questions/scene/calling", says=("calls", "rests", "regulator-on", "regulator-off")):
    """Thermostats or regulators that stand alike."""

    parts: tuple[Noun, ...]


def controls_words(words: Words, appliance: Appliance, state: State) -> Phrase:
    """Sentences that say how the controls stand and which contacts are therefore closed."""
    position = appliance.position(state.position)
    closed = tuple(b.name for b in appliance.branches if _switches(appliance, b) and b.name in position.closes)
    stand = words.say(ControlsFacts(words.noun(position.title), closed), "closed" if closed else "open")
    cycling = sorted({b.part for b in appliance.branches if b.cycles and _may_close(appliance, b, position)})
    alike: dict[str, list[Noun]] = {"calls": [], "regulator-on": [], "rests": [], "regulator-off": []}
    for mark in cycling:
        alike[_stands(appliance, mark, state)].append(part_name(words, appliance.part(mark)))
    return together(stand, *(words.say(CallingFacts(tuple(parts)), key) for key, parts in alike.items() if parts))


def _stands(appliance: Appliance, mark: str, state: State) -> str:
    """Which sentence says how a thermostat or regulator stands."""
    calls = state.calling and mark not in state.satisfied
    if _regulates(appliance, mark):
        return "regulator-on" if calls else "regulator-off"
    return "calls" if calls else "rests"


def _switches(appliance: Appliance, branch: Branch) -> bool:
    """Whether a branch is a contact that the controls open and close."""
    kinds = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)
    return branch.kind is BranchKind.CONTACT and appliance.part(branch.part).kind in kinds


def _may_close(appliance: Appliance, branch: Branch, position: Position) -> bool:
    """Whether a cycling contact closes in a position at all: that of a regulator at its off mark does not."""
    return not _regulates(appliance, branch.part) or branch.name in position.closes


def _regulates(appliance: Appliance, mark: str) -> bool:
    return appliance.part(mark).kind is PartKind.REGULATOR


# ---------------------------------------------------------------- the meter


@dataclass(frozen=True)
class MeterFacts(
    Facts,
    group="questions/scene/meter",
    says=("ohms", "ohms-nulled", "continuity", "continuity-nulled", "insulation", "volts", "amps"),
):
    """A meter, the ohms of its leads, and the volts it tests insulation with."""

    meter: Noun
    lead_ohms: Annotated[float, "ohm"]
    test_volts: Annotated[float, "V"]


def meter_words(words: Words, meter: Meter, function: Function, *, nulled: bool, test_volts: float = 0.0) -> Phrase:
    """Which meter, which function, and how its leads stand; ``test_volts`` are said of insulation only."""
    assert function is not Function.INSULATION or test_volts > 0
    key = f"{function}-nulled" if function.through_leads and nulled else str(function)
    return words.say(MeterFacts(words.noun(meter.title), meter.lead_ohms, test_volts), key)


# ---------------------------------------------------------------- the loads as a table


@dataclass(frozen=True)
class RatingsHead(Facts, group="questions/scene/ratings", says=("head", "head-cold")):
    """The voltage that the ratings are for."""

    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class RatingsRow(Facts, group="questions/scene/ratings", says=("row", "row-cold")):
    """A load with its terminals, its rating and what it reads by itself, cold."""

    load: Noun
    a: str
    b: str
    rating: Phrase
    cold: Phrase


@dataclass(frozen=True)
class RatingsCell(Facts, group="questions/scene/ratings", says=("watts", "ohms", "nothing")):
    """A figure of the table."""

    watts: Annotated[float, "W"]
    ohms: Annotated[float, "ohm"]


def ratings_table(
    words: Words, appliance: Appliance, branches: Sequence[Branch], cold: Mapping[str, float] | None = None
) -> Phrase:
    """The loads as a table: name, terminals, rating, and what each reads by itself cold where ``cold`` says so."""
    given = {} if cold is None else cold
    lines = [words.say(RatingsHead(appliance.plate.volts), "head" if cold is None else "head-cold")]
    lines.append(Phrase(f"| {' | '.join(['---'] * (3 if cold is None else 4))} |"))
    for branch in branches:
        a, b = (appliance.terminals[i] for i in branch.ends)
        cell = RatingsCell(branch.watts, given.get(branch.name, 0.0))
        rating = words.say(cell, "watts" if branch.watts else "nothing")
        reads = words.say(cell, "ohms" if branch.name in given else "nothing")
        row = RatingsRow(branch_name(words, appliance, branch), a, b, rating, reads)
        lines.append(words.say(row, "row" if cold is None else "row-cold"))
    return Phrase("\n".join(lines))
