"""Names of parts, circuits, contacts, wires and terminals in a sentence; the text is ``names.toml`` of the language.

Everything here hands back a :class:`~probebook.words.Named`: its text, what it is made of, and its forms in the cases
that the language has. Which name a thing bears is decided here, how it reads is not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances.model import Appliance, Branch, BranchKind, Part
from probebook.words import Facts, Named, Noun, Words

__all__ = [
    "branch_name",
    "branch_with_terminals",
    "load_between",
    "load_entry",
    "load_noun",
    "part_name",
    "part_noun",
    "probes_place",
    "subject_noun",
    "supply_key",
    "terminal_place",
    "terminal_tag",
    "wire_name",
    "wire_noun",
    "wire_with_ends",
]


# ---------------------------------------------------------------- parts and their circuits


@dataclass(frozen=True)
class PartFacts(Facts, group="names/part", says=("marked",)):
    """A part and its mark."""

    title: Noun
    mark: str


@dataclass(frozen=True)
class BranchFacts(
    Facts,
    group="names/branch",
    says=("circuit", "section", "contact", "coil", "load-circuit", "load-section", "load-coil", "terminals"),
):
    """A circuit or contact of a part: what it is called, the part, its mark and two terminals."""

    own: Noun
    title: Noun
    mark: str
    name: Noun
    terminals: tuple[str, ...]


@dataclass(frozen=True)
class EntryFacts(Facts, group="names/entry", says=("plain", "section", "watts", "section-watts", "coil")):
    """A load in a list of parts."""

    mark: str
    title: str
    own: Noun
    watts: Annotated[float, "W"]


def part_noun(words: Words, part: Part) -> Noun:
    """A part by its short title: ``top element``."""
    return words.noun(part.short or part.title)


def part_name(words: Words, part: Part) -> Named:
    """A part by its short title and mark: ``top element E1``."""
    title = part_noun(words, part)
    return _named(words, part.mark, PartFacts(title, part.mark), "marked", title)


def branch_name(words: Words, appliance: Appliance, branch: Branch) -> Named:
    """A section, load, contact or wire with its mark: ``inner circuit of the top element E1``."""
    if branch.kind is BranchKind.WIRE:
        return wire_name(words, branch.part)
    part = appliance.part(branch.part)
    own = branch.name.partition(".")[2]
    if branch.kind is BranchKind.ELEMENT and not _alone(appliance, branch):
        return _of_part(words, branch, part, "section" if len(own) == 1 else "circuit", words.noun("circuit"))
    if branch.kind is BranchKind.COIL:
        return _of_part(words, branch, part, "coil", words.noun("coil"))
    if branch.kind is BranchKind.CONTACT and own:
        return _of_part(words, branch, part, "contact", words.noun("contact"))
    return part_name(words, part)


def branch_with_terminals(words: Words, appliance: Appliance, branch: Branch) -> Named:
    """The name with its two terminals: ``base element E2 (terminals **E2.1** and **E2.2**)``."""
    name = branch_name(words, appliance, branch)
    ends = tuple(appliance.terminals[i] for i in branch.ends)
    facts = BranchFacts(name, name, branch.part, name, ends)
    return _named(words, branch.name, facts, "terminals", name)


def load_noun(words: Words, appliance: Appliance, name: str) -> Noun:
    """A load by title, without a mark: ``base element``, ``inner circuit of the top element``."""
    branch = appliance.branches[appliance.branch(name)]
    part = appliance.part(branch.part)
    own = name.partition(".")[2]
    if branch.kind is BranchKind.COIL:
        return _of_part(words, branch, part, "load-coil", words.noun("coil"))
    if not own or _alone(appliance, branch):
        return part_noun(words, part)
    key = "load-section" if is_lettered(appliance, name) else "load-circuit"
    return _of_part(words, branch, part, key, words.noun("section" if key == "load-section" else "circuit"))


def load_entry(words: Words, appliance: Appliance, branch: Branch) -> str:
    """A load as a list of parts gives it: ``E1 top element (grill), outer section, 820 W``."""
    part = appliance.part(branch.part)
    heaters = sum(b.kind is BranchKind.ELEMENT and b.part == part.mark for b in appliance.branches)
    key = "-".join([*(["section"] if heaters > 1 else []), *(["watts"] if branch.watts else [])]) or "plain"
    key = "coil" if branch.kind is BranchKind.COIL else key
    own = words.noun(branch.name.partition(".")[2])
    title = part.short if branch.kind is BranchKind.COIL else part.title
    return words.say(EntryFacts(part.mark, title, own, branch.watts), key)


def is_lettered(appliance: Appliance, name: str) -> bool:
    """Whether a load is a section that goes by a letter, so that no article stands before it."""
    branch = appliance.branches[appliance.branch(name)]
    return len(name.partition(".")[2]) == 1 and not _alone(appliance, branch)


def _alone(appliance: Appliance, branch: Branch) -> bool:
    return sum(b.kind is branch.kind and b.part == branch.part for b in appliance.branches) == 1


def _of_part(words: Words, branch: Branch, part: Part, key: str, head: Noun) -> Named:
    own_id = branch.name.partition(".")[2]
    own = Noun(own_id, own_id) if len(own_id) == 1 else words.noun(own_id)
    title = part_noun(words, part)
    facts = BranchFacts(own, title, part.mark, title, ())
    return _named(words, branch.name, facts, key, head, own=own, of=title)


def _named(words: Words, thing: str, facts: Facts, key: str, head: Noun, **parts: Noun) -> Named:
    """The name said of the facts, with the gender and number of its head and a form for each case there is."""
    forms = tuple(
        (case, words.say(facts, f"{key}.{case}"))
        for case in words.language.cases
        if words.has(type(facts), f"{key}.{case}")
    )
    text = words.say(facts, key)
    roles = (("head", head), *parts.items())
    return Named(thing, text, gender=head.gender, number=head.number, article="", forms=forms, parts=roles)


# ---------------------------------------------------------------- wires and terminals


@dataclass(frozen=True)
class WireFacts(Facts, group="names/wire", says=("plain", "ends")):
    """A wire: its mark, colour and two ends."""

    mark: str
    colour: Noun
    start: str
    end: str


@dataclass(frozen=True)
class PlaceFacts(
    Facts, group="names/place", says=("whole", "tag", "line", "line-1", "line-2", "line-3", "neutral", "earth")
):
    """A terminal, the tag it is on its part, and the part."""

    terminal: str
    tag: str
    title: Noun


@dataclass(frozen=True)
class ProbesFacts(
    Facts,
    group="names/probes",
    says=("load", "section", "contact", "supply", "part", "wire", "earth-bond", "apart"),
):
    """Where the probes are: two terminals, their places in words, and what lies between."""

    a: str
    b: str
    first: Noun
    second: Noun
    thing: Noun
    contact: str
    wire: str


def wire_noun(words: Words) -> Noun:
    """What a wire is called."""
    return words.noun("wire")


def wire_name(words: Words, mark: str) -> Named:
    """A wire by its mark: ``wire W3``."""
    nothing = Noun("", "")
    return _named(words, mark, WireFacts(mark, nothing, "", ""), "plain", wire_noun(words))


def wire_with_ends(words: Words, appliance: Appliance, mark: str) -> Named:
    """A wire with its colour and its two ends: ``wire **W3** (brown, F1.2 to B1.1)``."""
    wire = appliance.wire(mark)
    facts = WireFacts(mark, words.noun(wire.colour), wire.start, wire.end)
    return _named(words, mark, facts, "ends", wire_noun(words))


def supply_key(appliance: Appliance, key: str = "supply") -> str:
    """Which of three sentences tells the supply: of one line, of three with neutral, of three without."""
    if not appliance.other_lines:
        return key
    return f"{key}-star" if appliance.neutral else f"{key}-three"


_SUPPLY_TAGS = {"L": "line", "N": "neutral", "E": "earth"}
_LINE_TAGS = {"L1": "line-1", "L2": "line-2", "L3": "line-3"}


def terminal_tag(words: Words, appliance: Appliance, terminal: str) -> Noun | None:
    """What the supply calls a terminal: line (or line 1 to 3), neutral or earth; None for any other."""
    lines = dict(zip(appliance.lines, _LINE_TAGS.values(), strict=True)) if appliance.other_lines else {}
    supply = {appliance.line: "line", appliance.neutral: "neutral", appliance.earth: "earth", **lines}
    return words.noun(supply[terminal]) if terminal in supply else None


def terminal_place(words: Words, appliance: Appliance, terminal: str) -> Named:
    """A terminal in words: ``line (X1.L) of the mains terminal block``, ``tag 3 (S1.3) of the selector``."""
    mark, _, tag = terminal.partition(".")
    part = appliance.part(mark)
    title = part_noun(words, part)
    tags = _SUPPLY_TAGS | _LINE_TAGS if appliance.other_lines else _SUPPLY_TAGS
    key = "whole" if len(part.terminals) == 1 else tags.get(tag, "tag")
    head = title if key == "whole" else words.noun(key)
    return _named(words, terminal, PlaceFacts(terminal, tag, title), key, head, of=title)


def load_between(appliance: Appliance, a: str, b: str) -> str:
    """Name of the load (a section, lamp or motor) between two terminals; empty where there is none."""
    kinds = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.COIL)
    for branch in appliance.branches:
        if branch.kind in kinds and {appliance.terminals[e] for e in branch.ends} == {a, b}:
            return branch.name
    return ""


def probes_place(words: Words, appliance: Appliance, a: str, b: str) -> str:
    """Where the probes are: across a named part, or from one named terminal to another."""
    key, thing, contact, wire = _between(words, appliance, a, b)
    places = [terminal_place(words, appliance, t) for t in (a, b)]
    if key == "supply":
        places = [_supply_named(words, appliance, t) for t in (a, b)]
    return words.say(ProbesFacts(a, b, places[0], places[1], thing, contact, wire), key)


def _supply_named(words: Words, appliance: Appliance, terminal: str) -> Named:
    noun = terminal_tag(words, appliance, terminal) or words.noun(terminal)
    return Named(noun.id, noun.text, gender=noun.gender, number=noun.number, forms=noun.forms)


def _between(words: Words, appliance: Appliance, a: str, b: str) -> tuple[str, Noun, str, str]:
    """Which sentence tells where the probes are, and the thing, contact and wire it names."""
    nothing = Noun("", "")
    load = load_between(appliance, a, b)
    if load:
        return ("section" if is_lettered(appliance, load) else "load"), load_noun(words, appliance, load), "", ""
    first, second = appliance.part(a.partition(".")[0]), appliance.part(b.partition(".")[0])
    if first == second:
        title = part_noun(words, first)
        contact = _contact_between(appliance, a, b)
        if contact and len(first.terminals) > 2:
            return "contact", title, contact, ""
        supply = a in appliance.incoming and b in appliance.incoming
        return ("supply" if supply else "part"), title, "", ""
    wire = next((w for w in appliance.wires if {w.start, w.end} == {a, b}), None)
    if wire:
        return ("earth-bond" if wire.is_earth else "wire"), nothing, "", wire.mark
    return "apart", nothing, "", ""


def _contact_between(appliance: Appliance, a: str, b: str) -> str:
    for branch in appliance.branches:
        if branch.kind is BranchKind.CONTACT and {appliance.terminals[e] for e in branch.ends} == {a, b}:
            return branch.name.partition(".")[2]
    return ""


# ---------------------------------------------------------------- what a symptom is about


@dataclass(frozen=True)
class PlaceHeatFacts(Facts, group="names/subject", says=("heat",)):
    """The heat of a place that several parts give."""

    place: Noun


def subject_noun(words: Words, appliance: Appliance, subject: str) -> Noun:
    """What a symptom is about: a part by title, or the heat of a place."""
    for branch in appliance.branches:
        if branch.name == subject:
            return part_noun(words, appliance.part(branch.part))
    sections = [b for b in appliance.branches if b.place == subject]
    parts = list(dict.fromkeys(b.part for b in sections))
    if len(parts) == 1 and len(sections) == sum(b.part == parts[0] for b in appliance.branches if b.place):
        return part_noun(words, appliance.part(parts[0]))
    if len(sections) == 1:
        return load_noun(words, appliance, sections[0].name)
    place = words.noun(subject)
    return _named(words, subject, PlaceHeatFacts(place), "heat", words.noun("heat"), place=place)
