"""How a prompt begins: which appliance, how it stands, and what heat has done to its contacts."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from probebook.appliances import Appliance, BranchKind, PartKind
from probebook.questions import situation_words as sw
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Stands", "names", "position_noun", "standing"]

#: How the appliance stands, by the sentence that says so.
Stands = Literal["sound", "warm", "calling"]


@dataclass(frozen=True)
class StandingFacts(Facts, group="questions/trace/standing", says=("sound", "warm", "calling")):
    """The appliance that a prompt is about."""

    appliance: Noun


@dataclass(frozen=True)
class GuardsFacts(Facts, group="questions/trace/standing", says=("guards",)):
    """Marks of the cut-outs, which have not operated."""

    guards: tuple[str, ...]


@dataclass(frozen=True)
class ClosedFacts(Facts, group="questions/trace/standing", says=("closed",)):
    """Contacts that the warmth has closed."""

    closed: tuple[str, ...]


def standing(words: Words, appliance: Appliance, stands: Stands) -> Phrase:
    """The beginning of a prompt."""
    by_coil = {p.mark for p in appliance.parts if p.kind in (PartKind.RELAY, PartKind.FEED)}  # to be found, not told
    resting = [b for b in appliance.branches if b.kind is BranchKind.CONTACT and math.isinf(b.cold_ohms)]
    closed = tuple(b.name for b in resting if b.part not in by_coil)
    guards = tuple(p.mark for p in appliance.parts if p.kind is PartKind.CUT_OUT)
    return sw.together(
        words.say(StandingFacts(words.noun(appliance.title)), stands),
        words.say(GuardsFacts(guards), "guards") if guards else "",
        words.say(ClosedFacts(closed), "closed") if closed else "",
    )


def names(words: Words, appliance: Appliance, branches: Iterable[str]) -> tuple[Noun, ...]:
    """Branches by name, as nouns: ``base element E2``, ``oven lamp H1``."""
    return tuple(sw.name(words, appliance, appliance.branches[appliance.branch(n)]) for n in branches)


def position_noun(words: Words, appliance: Appliance, position: str) -> Noun:
    """What a position of the controls is called."""
    return words.noun(appliance.position(position).title)
