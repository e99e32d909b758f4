"""The circuit in words: what lies between line and neutral, for people and for screen readers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from probebook.appliances.model import Appliance, Branch, BranchKind, PartKind
from probebook.appliances.naming import load_entry, supply_key
from probebook.drawings.colours import conductor_colour
from probebook.drawings.paths import (
    LOADS,
    SET_BY_HAND,
    carrying,
    closed_contacts,
    in_series_with,
    lines_of,
    way_begins,
    way_through,
)
from probebook.words import Facts, Noun, Phrase, Words


@dataclass(frozen=True)
class CircuitFacts(
    Facts,
    group="drawings/circuit",
    says=("supply", "supply-earth", "supply-star", "supply-three", "earth", "lifted", "controls"),
):
    """Where the supply comes in, the wires that are lifted, and how the controls stand.

    ``lines`` are L1, L2 and L3 of a three-phase supply; ``earth`` is empty where there is none.
    """

    appliance: Noun
    line: str
    neutral: str
    earth: str
    marks: tuple[str, ...]
    position: Noun
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class DescribedPart(
    Facts,
    group="drawings/described-part",
    says=("joins", "terminals", "contacts", "contacts-closed", "contacts-open", "contacts-none"),
):
    """A part with its terminals, what it joins, and its contacts as they stand."""

    mark: str
    title: Noun
    joins: tuple[Phrase, ...] = ()
    terminals: tuple[str, ...] = ()
    closed: tuple[str, ...] = ()
    opened: tuple[str, ...] = ()


@dataclass(frozen=True)
class DescribedLoad(Facts, group="drawings/described-part", says=("load",)):
    """A load between two terminals."""

    load: Phrase
    a: str
    b: str


@dataclass(frozen=True)
class Joint(Facts, group="drawings/joint", says=("between", "wire", "conductor")):
    """A branch or wire between two terminals."""

    name: str
    a: str
    b: str
    colour: Noun
    code: str


@dataclass(frozen=True)
class Working(Facts, group="drawings/working", says=("nothing", "parallel", "idle", "conductors")):
    """How many loads work, which do not, and the protective conductors."""

    count: int = 0
    idle: tuple[Phrase, ...] = ()
    conductors: tuple[Phrase, ...] = ()


@dataclass(frozen=True)
class Way(Facts, group="drawings/way", says=("works", "works-series", "works-lines", "works-series-lines")):
    """A load that works: the steps of its way, the loads that lie on it besides, and the two lines it lies between."""

    load: Phrase
    steps: tuple[str, ...]
    others: tuple[str, ...]
    start: str
    end: str


@dataclass(frozen=True)
class Step(Facts, group="drawings/way", says=("thermostat", "cut-out", "contact")):
    """A contact on a way."""

    contact: str


def describe(
    words: Words,
    appliance: Appliance,
    position: str | None = None,
    *,
    lifted: Iterable[str] = (),
) -> str:
    """What lies between line and neutral in a position, sentence by sentence.

    For each load that works, the way from line to neutral through terminals, contacts and wires; then what is switched
    off. With no position, every part and what each wire joins. KeyError for an unknown position.
    """
    away = frozenset(lifted)
    sentences = opening(words, appliance, position, away)
    if position is None:
        return " ".join([*sentences, *_parts(words, appliance), *_wires(words, appliance)])
    live = carrying(appliance, position, lifted=away)
    shut = closed_contacts(appliance, position, live=True, lifted=away)
    return " ".join(
        [
            *sentences,
            *_ways(words, appliance, live),
            *_contacts(words, appliance, shut),
            *earthing_said(words, appliance),
        ]
    )


def opening(words: Words, appliance: Appliance, position: str | None, away: frozenset[str]) -> list[Phrase]:
    """What is told first: the supply, what is lifted, how the controls stand."""
    place = words.noun(appliance.position(position).title if position is not None else "")
    facts = CircuitFacts(
        words.noun(appliance.title),
        appliance.line,
        appliance.neutral,
        appliance.earth,
        tuple(sorted(away)),
        place,
        appliance.lines,
    )
    one = "supply-earth" if appliance.earth else "supply"
    said = [words.say(facts, supply_key(appliance) if appliance.other_lines else one)]
    said += [words.say(facts, "earth")] if appliance.other_lines and appliance.earth else []
    said += [words.say(facts, "lifted")] if away else []
    return said + ([words.say(facts, "controls")] if position is not None else [])


def _parts(words: Words, appliance: Appliance) -> list[Phrase]:
    sentences: list[Phrase] = []
    for part in appliance.parts:
        branches = [appliance.branches[appliance.branch(n)] for n in part.branches]
        loads = [b for b in branches if b.kind in LOADS]
        sentences += [_load(words, appliance, b) for b in loads]
        if loads and part.kind is not PartKind.RELAY:
            continue
        paths = [b for b in branches if b.kind in (BranchKind.CONTACT, BranchKind.FUSE)]
        joins = tuple(words.say(_joint(words, b.name, *_ends(appliance, b)), "between") for b in paths)
        facts = DescribedPart(part.mark, words.noun(part.title), joins, part.terminals)
        sentences.append(words.say(facts, "joins" if joins else "terminals"))
    return sentences


def _load(words: Words, appliance: Appliance, branch: Branch) -> Phrase:
    a, b = _ends(appliance, branch)
    return words.say(DescribedLoad(Phrase(load_entry(words, appliance, branch)), a, b), "load")


def _joint(words: Words, name: str, a: str, b: str, colour: str = "") -> Joint:
    known = conductor_colour(colour)
    return Joint(name, a, b, words.noun(known.word), known.code)


def _wires(words: Words, appliance: Appliance) -> list[Phrase]:
    return [words.say(_joint(words, w.mark, w.start, w.end, w.colour), "wire") for w in appliance.wires]


def _ends(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    one, other = (appliance.terminals[e] for e in branch.ends)
    return one, other


def _ways(words: Words, appliance: Appliance, live: frozenset[str]) -> list[Phrase]:
    loads = [b for b in appliance.branches if b.kind in LOADS]
    idle = tuple(Phrase(load_entry(words, appliance, b)) for b in loads if b.name not in live)
    sentences = tell_ways(words, appliance, live)
    if idle:
        sentences.append(words.say(Working(idle=idle), "idle"))
    return sentences


def tell_ways(
    words: Words, appliance: Appliance, live: frozenset[str], loads: Sequence[Branch] | None = None
) -> list[Phrase]:
    """How current gets through each load that works, and what is in series with it: of these loads, or of all."""
    working = [b for b in (appliance.branches if loads is None else loads) if b.kind in LOADS and b.name in live]
    with_it = {b.name: tuple(in_series_with(appliance, b, live)) for b in working}
    sentences: list[Phrase] = []
    if not working:
        sentences.append(words.say(Working(), "nothing"))
    elif len(working) > 1 and not any(with_it.values()) and not appliance.other_lines:
        sentences.append(words.say(Working(len(working)), "parallel"))
    for branch in working:
        entry = Phrase(load_entry(words, appliance, branch))
        start, end = lines_of(appliance, way_through(appliance, branch, live))
        way = Way(entry, _steps(words, appliance, branch, live), with_it[branch.name], start, end)
        to = "-lines" if end else ""
        sentences.append(words.say(way, f"works-series{to}" if way.others else f"works{to}"))
    return sentences


def _steps(words: Words, appliance: Appliance, branch: Branch, live: frozenset[str]) -> tuple[str, ...]:
    """Terminals and branches in turn, from line to neutral or to another line."""
    way = way_through(appliance, branch, live)
    told = [way_begins(appliance, way)]
    for step, at in way:
        via = step.name
        if step.kind is BranchKind.CONTACT:
            kinds = {PartKind.THERMOSTAT: "thermostat", PartKind.CUT_OUT: "cut-out"}
            via = words.say(Step(step.name), kinds.get(appliance.part(step.part).kind, "contact"))
        told += [via, appliance.terminals[at]]
    return tuple(told)


def _contacts(words: Words, appliance: Appliance, shut: frozenset[str]) -> list[Phrase]:
    sentences: list[Phrase] = []
    for part in appliance.parts:
        if part.kind in (*SET_BY_HAND, PartKind.RELAY, PartKind.FEED):
            names = [n for n in part.branches if appliance.branches[appliance.branch(n)].kind is BranchKind.CONTACT]
            closed = tuple(n for n in names if n in shut)
            opened = tuple(n for n in names if n not in shut)
            key = {(True, True): "", (True, False): "-closed", (False, True): "-open", (False, False): "-none"}
            facts = DescribedPart(part.mark, words.noun(part.title), closed=closed, opened=opened)
            sentences.append(words.say(facts, f"contacts{key[bool(closed), bool(opened)]}"))
    return sentences


def earthing_said(words: Words, appliance: Appliance) -> list[Phrase]:
    """The protective conductors, in a sentence; none where there are none."""
    earths = [w for w in appliance.wires if w.is_earth]
    said = tuple(words.say(_joint(words, w.mark, w.start, w.end, w.colour), "conductor") for w in earths)
    return [words.say(Working(conductors=said), "conductors")] if said else []


__all__ = ["describe", "earthing_said", "opening", "tell_ways"]
