"""The circuit in words for those who do not see it: what is in series with what from line to neutral, load by load.

How contacts stand is told, what works is not: whoever hears it follows the current as others do on the drawing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from probebook.appliances.model import Appliance, Branch, BranchKind, PartKind
from probebook.appliances.naming import load_entry
from probebook.drawings.paths import LOADS, closed_contacts, joined, lines_of, way_begins, way_through
from probebook.drawings.telling.describing import earthing_said, opening
from probebook.words import Facts, Phrase, Words

__all__ = ["describe_branches"]

#: So many ways round are told of a load at most, after the first.
MOST = 4
NOTHING = Phrase("")


@dataclass(frozen=True)
class BranchFacts(Facts, group="drawings/series", says=("way", "way-lines", "also", "nowhere")):
    """A load, what stands in series with it from line to neutral, and the two lines where it lies between such."""

    load: Phrase
    steps: tuple[str, ...]
    start: str = ""
    end: str = ""


@dataclass(frozen=True)
class Member(
    Facts,
    group="drawings/series",
    says=("load", "thermostat", "cut-out", "contact", "is-open", "is-closed"),
):
    """Something in series: a contact with how it stands, a load."""

    name: str
    load: Phrase
    standing: Phrase


def describe_branches(
    words: Words,
    appliance: Appliance,
    position: str | None = None,
    *,
    lifted: Iterable[str] = (),
) -> str:
    """What is in series with what from line to neutral, a sentence a load; KeyError for an unknown position.

    Contacts are told open or closed as they stand in the position, and by name alone where none is given. Where other
    contacts lead to the same load, they are told as well.
    """
    away = frozenset(lifted)
    said = opening(words, appliance, position, away)
    shut = None if position is None else closed_contacts(appliance, position)
    contacts = frozenset(b.name for b in appliance.branches if b.kind is BranchKind.CONTACT)
    whole = frozenset(b.name for b in joined(appliance, contacts, away))
    for load in (b for b in appliance.branches if b.kind in LOADS):
        said += _load(words, appliance, load, whole, shut)
    return " ".join([*said, *earthing_said(words, appliance)])


def _load(
    words: Words, appliance: Appliance, load: Branch, whole: frozenset[str], shut: frozenset[str] | None
) -> list[Phrase]:
    entry = Phrase(load_entry(words, appliance, load))
    ways = _ways(appliance, load, whole, shut or frozenset())
    if not ways:
        return [words.say(BranchFacts(entry, ()), "nowhere")]
    steps = [way_begins(appliance, ways[0])]
    for branch, at in ways[0]:
        steps += [_step(words, appliance, branch, shut), appliance.terminals[at]]
    start, end = lines_of(appliance, ways[0])
    said = [words.say(BranchFacts(entry, tuple(steps), start, end), "way-lines" if end else "way")]
    for way in ways[1:]:
        told = tuple(
            _step(words, appliance, b, shut) for b, _ in way if b.kind is not BranchKind.WIRE and b is not load
        )
        said.append(words.say(BranchFacts(entry, told), "also"))
    return said


def _ways(
    appliance: Appliance, load: Branch, joined: frozenset[str], shut: frozenset[str]
) -> list[list[tuple[Branch, int]]]:
    """The shortest way through a load, then those that are left when one contact on it is taken to be open.

    A way over shut contacts comes first, where there is one.
    """
    contacts = {b.name for b in appliance.branches if b.kind is BranchKind.CONTACT}
    first = way_through(appliance, load, joined - (contacts - shut)) or way_through(appliance, load, joined)
    found = [first] if first else []
    seen = {_passed(way) for way in found}
    for branch, _ in first:
        if branch.kind is not BranchKind.CONTACT or len(found) > MOST:
            continue
        other = way_through(appliance, load, joined - {branch.name})
        if other and _passed(other) not in seen:
            seen.add(_passed(other))
            found.append(other)
    return found


def _passed(way: Iterable[tuple[Branch, int]]) -> tuple[str, ...]:
    return tuple(sorted(b.name for b, _ in way if b.kind is not BranchKind.WIRE))


def _step(words: Words, appliance: Appliance, branch: Branch, shut: frozenset[str] | None) -> str:
    """A thing on a way: a wire or fuse by its mark, a load by its name, a contact with how it stands."""
    if branch.kind in LOADS:
        return words.say(Member(branch.name, Phrase(load_entry(words, appliance, branch)), NOTHING), "load")
    if branch.kind is not BranchKind.CONTACT:
        return branch.name
    standing = NOTHING
    if shut is not None:
        standing = words.say(Member(branch.name, NOTHING, NOTHING), "is-closed" if branch.name in shut else "is-open")
    kinds = {PartKind.THERMOSTAT: "thermostat", PartKind.CUT_OUT: "cut-out"}
    key = kinds.get(appliance.part(branch.part).kind, "contact")
    return words.say(Member(branch.name, NOTHING, standing), key).rstrip()
