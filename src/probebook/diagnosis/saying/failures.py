"""Single failures that are on no list, in words: a wire open, a poor joint, an element of other ohms."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Branch, BranchKind
from probebook.appliances.naming import branch_name
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.saying.sentences import title_of
from probebook.physical import Failure, Mode
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "ElementFacts",
    "ExplainsFacts",
    "FailureFacts",
    "ValueFacts",
    "besides_words",
    "element_watts",
    "failure_words",
]

LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.COIL)


@dataclass(frozen=True)
class FailureFacts(
    Facts,
    group="diagnosis/failure",
    says=("open", "joint", "joint-or-open", "other", "shorted", "turns", "welded", "leaks"),
):
    """What fails."""

    thing: Noun


@dataclass(frozen=True)
class ValueFacts(Facts, group="diagnosis/failure", says=("value",)):
    """What has other ohms than it should, and which."""

    thing: Noun
    ohms: Annotated[float, "ohm"]


@dataclass(frozen=True)
class ElementFacts(Facts, group="diagnosis/failure", says=("element",)):
    """An element of other ohms, and the power it would have."""

    thing: Noun
    ohms: Annotated[float, "ohm"]
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class BesidesFacts(Facts, group="diagnosis/besides", says=("few", "many")):
    """What is established among the listed faults, failures that are not listed, and how many more."""

    best: Phrase
    failures: tuple[Phrase, ...]
    more: int


@dataclass(frozen=True)
class ExplainsFacts(Facts, group="diagnosis/misfit", says=("off-list", "off-list-many")):
    """Failures that explain what no listed fault does, and how many more."""

    failures: tuple[Phrase, ...]
    more: int


def besides_words(found: Posterior, failures: Sequence[Failure], words: Words) -> Phrase:
    """That failures off the list explain the evidence as well as the likeliest hypothesis does; empty for none."""
    if not failures:
        return Phrase("")
    named, more = _named(found, failures, words)
    best = title_of(found.appliance, found.hypotheses[found.likeliest].faults, words)
    return words.say(BesidesFacts(best, named, more), "many" if more else "few")


def _named(found: Posterior, failures: Sequence[Failure], words: Words) -> tuple[tuple[Phrase, ...], int]:
    most = found.model.assumed.fitting.named
    said = tuple(dict.fromkeys(failure_words(found, failure, words) for failure in failures))
    return said[:most], max(0, len(said) - most)


def failure_words(found: Posterior, failure: Failure, words: Words) -> Phrase:
    """One failure: ``wire W7 open``, ``a poor joint in wire W5``, ``base element E2 of about 63 Ω, that is …``."""
    appliance = found.appliance
    branch = appliance.branches[appliance.branch(failure.branch)]
    thing = FailureFacts(branch_name(words, appliance, branch))
    if failure.mode is not Mode.OHMS:
        return words.say(thing, "welded" if failure.mode is Mode.WELDED else "leaks")
    nothing = found.model.assumed.fitting.insulation
    if failure.most >= nothing:
        narrow = branch.kind in LOADS or failure.least >= nothing / 2
        return words.say(thing, "open" if narrow else "joint-or-open")
    if branch.kind not in LOADS:
        return words.say(thing, "joint")
    if failure.most < found.model.assumed.fitting.few_ohms:
        return words.say(thing, "shorted")
    if failure.most > found.model.assumed.fitting.near * failure.least:
        return words.say(thing, "other")
    ohms = math.sqrt(failure.least * failure.most)
    watts = element_watts(found, branch, ohms)
    if not watts:
        return words.say(ValueFacts(thing.thing, ohms), "value")
    volts = appliance.rated_volts(branch, appliance.supply.volts)
    return words.say(ElementFacts(thing.thing, ohms, watts, volts), "element")


def element_watts(found: Posterior, branch: Branch, ohms: float) -> float:
    """Rating of the element that has so many ohms cold, in the steps they are sold in; 0 where nobody fits such."""
    assumed = found.model.assumed.fitting
    if branch.kind is not BranchKind.ELEMENT:
        return 0.0
    if not branch.cold_ohms / assumed.most_element <= ohms <= branch.cold_ohms / assumed.least_element:
        return 0.0
    volts = found.appliance.rated_volts(branch, found.appliance.supply.volts)
    watts = volts**2 / (ohms * branch.hot_ohms / branch.cold_ohms)
    return max(1, round(watts / assumed.round_watts)) * assumed.round_watts
