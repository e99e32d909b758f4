"""Generated failures in words, and beside the listed hypotheses in one row of candidates."""

from __future__ import annotations

import math
from dataclasses import dataclass

from probebook.appliances import BranchKind
from probebook.appliances.naming import branch_name
from probebook.diagnosis.open.fitting import explaining_ways
from probebook.diagnosis.open.ways import Sort, listed_as
from probebook.diagnosis.open.weighing import OpenPosterior
from probebook.diagnosis.saying.failures import ElementFacts, ExplainsFacts, FailureFacts, ValueFacts, element_watts
from probebook.diagnosis.saying.sentences import title_of
from probebook.numerics.rounding import rounded_number
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Candidate", "candidates", "off_list_words", "way_words"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One hypothesis and its probability.

    Attributes
    ----------
    faults
        Ids of the listed faults; empty for nothing wrong, and for a failure that is on no list.
    title
        In words.
    probability
        Of it, listed faults and failures on no list together making a whole.
    failure
        Of a failure that is on no list how what fails: ``open W7``; empty for the others.
    """

    faults: tuple[str, ...]
    title: str
    probability: float
    failure: str = ""


@dataclass(frozen=True)
class WireFacts(Facts, group="diagnosis/failure", says=("wire-open", "wire-joint")):
    """A wire that fails, and the terminals it joins."""

    thing: Noun
    a: str
    b: str


@dataclass(frozen=True)
class MovedFacts(Facts, group="diagnosis/failure", says=("moved",)):
    """A wire on a wrong terminal, and which it should be on."""

    thing: Noun
    at: str
    wanted: str


def way_words(op: OpenPosterior, place: int, words: Words) -> Phrase:
    """One generated failure: ``wire W7 from S1.3 to E2.1 open``, ``base element E2 of about 63 Ω, that is …``."""
    way, appliance = op.world.ways[place], op.found.appliance
    branch = appliance.branches[appliance.branch(way.branch)]
    name = branch_name(words, appliance, branch)
    ends = tuple(appliance.terminals[t] for t in branch.ends)
    if way.sort is Sort.MOVED:
        stays, _, to = (appliance.terminals[t] for t in way.between)
        wanted = next(t for t in ends if t != stays)
        return words.say(MovedFacts(name, to, wanted), "moved")
    if branch.kind is BranchKind.WIRE:
        return words.say(WireFacts(name, *ends), "wire-open" if way.sort is Sort.OPEN else "wire-joint")
    facts = FailureFacts(name)
    if way.sort is not Sort.VALUE:
        key = {Sort.OPEN: "open", Sort.JOINT: "joint", Sort.TURNS: "turns", Sort.WELDED: "welded", Sort.LEAK: "leaks"}
        return words.say(facts, key[way.sort])
    ln, deviation = op.value(place)
    if not deviation < math.log(op.found.model.assumed.fitting.near) / 2.0:
        return words.say(facts, "other")
    ohms = math.exp(ln)
    watts = element_watts(op.found, branch, ohms)
    if not watts:
        return words.say(ValueFacts(name, ohms), "value")
    volts = appliance.rated_volts(branch, appliance.supply.volts)
    return words.say(ElementFacts(name, ohms, watts, volts), "element")


def candidates(op: OpenPosterior, words: Words, least: float, most: int) -> tuple[Candidate, ...]:
    """The hypotheses from a probability on, listed and generated, most probable first.

    A generated failure that a listed fault is, whatever its value, counts to that; failures of one name are one.
    """
    found = op.found
    listed = dict(zip((h.faults for h in found.hypotheses), op.listed.tolist(), strict=True))
    others: dict[str, tuple[float, str]] = {}
    for place, probability in enumerate(op.unlisted.tolist()):
        way = op.world.ways[place]
        if same := listed_as(found.appliance, way):
            listed[frozenset((same,))] += probability
        elif probability > least / 100.0:
            title = way_words(op, place, words)
            before, what = others.get(title, (0.0, f"{way.sort} {way.branch}"))
            others[title] = (before + probability, what)
    rows = [
        Candidate(tuple(sorted(faults)), title_of(found.appliance, faults, words), p)
        for faults, p in listed.items()
        if p >= least
    ]
    rows += [Candidate((), title, p, what) for title, (p, what) in others.items() if p >= least]
    rows.sort(key=lambda row: (-rounded_number(row.probability), row.title))
    return tuple(rows[:most])


def off_list_words(op: OpenPosterior, words: Words) -> Phrase:
    """That failures which are on no list explain what no listed fault does; empty where none does."""
    ways = explaining_ways(op)
    if not ways:
        return Phrase("")
    said = tuple(dict.fromkeys(way_words(op, way, words) for way in ways))
    most = op.found.model.assumed.fitting.named
    more = max(0, len(said) - most)
    return words.say(ExplainsFacts(said[:most], more), "off-list-many" if more else "off-list")
