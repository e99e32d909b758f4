"""Which of some wires carry current in a position."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance, State, Wire
from probebook.questions import situation_words as sw
from probebook.questions.trace.facts.flow import carrying, in_order, on_at
from probebook.questions.trace.facts.standing import names, standing
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["WireMark", "WireMarks", "WireOption", "Wires", "WiresFacts", "choose_wires", "wires_facts"]


@dataclass(frozen=True)
class WiresFacts(
    Facts,
    group="questions/trace/wires",
    says=("title", "label", "prompt", "explanation", "working", "here.all-for-some"),
):
    """A position with the loads at work in it, and the wires asked about: those that carry and those that do not."""

    standing: Phrase
    controls: Phrase
    on: tuple[Noun, ...]
    carrying: tuple[str, ...]
    idle: tuple[str, ...]


@dataclass(frozen=True)
class WireOption(Facts, group="questions/trace/wires", says=("option",)):
    """A wire to be ticked or not."""

    mark: str
    start: str
    end: str
    colour: Noun


@dataclass(frozen=True)
class WireMarks(Facts, group="questions/trace/wires", says=("here.one-wire", "here.earth-carries")):
    """Wires that a slip leaves out or takes in."""

    marks: tuple[str, ...]


@dataclass(frozen=True)
class WireMark(Facts, group="questions/trace/wires", says=("here.part-for-whole",)):
    """A wire that a slip leaves out."""

    mark: str


@dataclass(frozen=True, slots=True, eq=False)
class Wires:
    """The wires asked about in a position: all of them, those that carry current and those that are idle."""

    appliance: Appliance
    position: str
    asked: tuple[Wire, ...]
    live: tuple[Wire, ...]
    idle: tuple[Wire, ...]

    @property
    def key(self) -> frozenset[str]:
        """Marks of the wires that carry current."""
        return frozenset(w.mark for w in self.live)


def choose_wires(appliance: Appliance, positions: Sequence[str], count: int, rng: random.Random) -> Wires | None:
    """So many wires in the first position in which two carry current and two do not; None where there is none."""
    for position in positions:
        flowing = carrying(appliance, State(position))
        live = [w for w in appliance.wires if w.mark in flowing and not w.is_earth]
        idle = [w for w in appliance.wires if w.mark not in flowing]
        if len(live) >= 2 and len(idle) >= 2:
            break
    else:
        return None
    few = rng.sample(idle, min(len(idle), count // 2))
    many = sorted(rng.sample(live, min(len(live), count - len(few))), key=appliance.wires.index)
    asked = sorted([*few, *many], key=appliance.wires.index)
    return Wires(appliance, position, tuple(asked), tuple(many), tuple(few))


def wires_facts(words: Words, found: Wires) -> WiresFacts:
    """What the sentences are told."""
    appliance, state = found.appliance, State(found.position)
    return WiresFacts(
        standing=standing(words, appliance, "sound"),
        controls=sw.controls_words(words, appliance, state),
        on=names(words, appliance, in_order(appliance, on_at(appliance, state))),
        carrying=tuple(w.mark for w in found.asked if w in found.live),
        idle=tuple(w.mark for w in found.asked if w in found.idle),
    )
