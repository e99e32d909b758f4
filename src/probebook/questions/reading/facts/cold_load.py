"""Parts that are no elements: what a cold lamp, motor or neon shows on ohms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.meters import Function, Meter
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["ColdFacts", "NeonFacts", "RatedFacts", "neon_facts", "rated_facts"]


@dataclass(frozen=True)
class ColdFacts(Facts):
    """A part that is no element, measured cold by itself; ``ohms`` are its cold ohms."""

    opening: Phrase
    part: Noun
    meter: Phrase
    ohms: Annotated[float, "ohm"]


@dataclass(frozen=True)
class NeonFacts(
    ColdFacts,
    group="questions/reading/neon",
    says=(
        "title",
        "prompt",
        "prompt-rated",
        "explanation",
        "working",
        "label",
        "option.cold",
        "option.resistor",
        "option.zero",
        "option.broken",
        "why.cold",
        "here.neon-resistor",
        "here.ol-as-zero",
        "here.neon-open",
    ),
):
    """A neon behind its series resistor."""

    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    strikes: Annotated[float, "V"]


@dataclass(frozen=True)
class RatedFacts(
    ColdFacts,
    group="questions/reading/cold-load",
    says=(
        "title",
        "prompt",
        "explanation-lamp",
        "explanation-motor",
        "working",
        "label",
        "option.cold",
        "option.rated",
        "option.ratio",
        "option.open",
        "why.cold",
        "here.from-rating",
        "here.upside-down",
        "here.sound-part-open",
    ),
):
    """A lamp or a motor, its rating, and what the rating would make of it."""

    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    rated: Annotated[float, "ohm"]
    ratio: Annotated[float, "ohm"]


def _common(words: Words, appliance: Appliance, branch: Branch, meter: Meter) -> tuple[Phrase, Noun, Phrase, float]:
    return (
        sw.opening(words, appliance),
        sw.name(words, appliance, branch),
        sw.meter_words(words, meter, Function.OHMS, nulled=True),
        branch.cold_ohms,
    )


def neon_facts(words: Words, appliance: Appliance, branch: Branch, meter: Meter) -> NeonFacts:
    """What is told of a neon."""
    common = _common(words, appliance, branch, meter)
    return NeonFacts(*common, branch.watts, appliance.plate.volts, branch.strikes_at)


def rated_facts(words: Words, appliance: Appliance, branch: Branch, meter: Meter, apart: float) -> RatedFacts:
    """What is told of a lamp or motor; Unfit where the ohms from its rating are not ``apart`` times the cold ones."""
    assert branch.kind in (BranchKind.LAMP, BranchKind.MOTOR)
    volts = appliance.plate.volts
    rated = volts**2 / branch.watts
    if rated < apart * branch.cold_ohms:
        raise Unfit("the cold reading is too near the rated one")
    common = _common(words, appliance, branch, meter)
    return RatedFacts(*common, branch.watts, volts, rated, volts / branch.watts)
