"""Facts about one part that is not simply at its rating: another voltage, hot and cold, ohms that give no watts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.appliances import Appliance, Branch
from probebook.appliances.naming import branch_name
from probebook.meters import Reading
from probebook.questions.power.facts.circuits import section_of
from probebook.questions.situation_words import opening
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "HotColdFacts",
    "NoElementFacts",
    "OtherVoltageFacts",
    "alloy_factor",
    "hot_cold_facts",
    "no_element_facts",
    "other_voltage_facts",
]

#: What cold readings are taken at, K.
COLD_AT = 293.15


@dataclass(frozen=True)
class OtherVoltageFacts(
    Facts,
    group="questions/power/other-voltage",
    says=(
        *("title", "prompt", "explanation", "working", "label.watts"),
        *("here.linear-in-volts", "here.rating-at-other-voltage", "here.other-way-round", "here.amps-for-watts"),
    ),
):
    """A section at its rated voltage and at another; ``side`` says which way volts and watts change."""

    appliance: Noun
    part: Noun
    volts: Annotated[float, "V"]
    other_volts: Annotated[float, "V"]
    rating: Annotated[float, "W"]
    watts: Annotated[float, "W"]
    amps: Annotated[float, "A"]
    ohms: Annotated[float, "ohm"]
    ratio: float
    square: float
    change: Annotated[float, "%"]
    side: Literal["less", "more"]


@dataclass(frozen=True)
class HotColdFacts(
    Facts,
    group="questions/power/hot-cold",
    says=(
        *("title", "prompt", "explanation", "working", "label.watts"),
        *("here.cold-for-hot", "here.other-way-round", "here.amps-for-watts", "here.volts-times-ohms"),
    ),
):
    """A section read cold, the factor of its alloy, and what it has and takes hot."""

    appliance: Noun
    part: Noun
    shown: str
    cold_at: Annotated[float, "K"]
    hot_at: Annotated[float, "K"]
    factor: float
    volts: Annotated[float, "V"]
    ohms: Annotated[float, "ohm"]
    hot_ohms: Annotated[float, "ohm"]
    watts: Annotated[float, "W"]
    amps: Annotated[float, "A"]
    cold_watts: Annotated[float, "W"]
    excess: Annotated[float, "%"]


@dataclass(frozen=True)
class NoElementFacts(
    Facts,
    group="questions/power/no-element",
    says=(
        *("title", "prompt", "explanation-lamp", "explanation-motor", "working-lamp", "working-motor", "label.power"),
        *("option.rating", "option.sum", "option.amps", "option.faulty"),
        *("here.lamp-for-element", "here.motor-for-element", "here.amps-for-watts-lamp", "here.amps-for-watts-motor"),
        *("here.exact-match-lamp", "here.exact-match-motor"),
    ),
):
    """A lamp or motor: its rating, what it reads cold, and what a sum makes of that.

    ``taken`` is the current that the sum gives, taken for watts; ``growth`` how many times the ohms a filament has when
    it glows.
    """

    opening: Phrase
    part: Noun
    shown: str
    volts: Annotated[float, "V"]
    ohms: Annotated[float, "ohm"]
    rating: Annotated[float, "W"]
    sum: Annotated[float, "W"]
    taken: Annotated[float, "W"]
    growth: float


def other_voltage_facts(words: Words, appliance: Appliance, branch: Branch, other: float) -> OtherVoltageFacts:
    """A section on ``other`` volts, its hot resistance the same."""
    volts = appliance.plate.volts
    ratio = other / volts
    watts = branch.watts * ratio**2
    return OtherVoltageFacts(
        appliance=words.noun(appliance.title),
        part=branch_name(words, appliance, branch),
        volts=volts,
        other_volts=other,
        rating=branch.watts,
        watts=watts,
        amps=watts / other,
        ohms=branch.hot_ohms,
        ratio=ratio,
        square=ratio**2,
        change=abs(1 - ratio**2),
        side="less" if ratio < 1 else "more",
    )


def hot_cold_facts(words: Words, appliance: Appliance, branch: Branch, reading: Reading) -> HotColdFacts:
    """A section that was read cold, at its working temperature."""
    factor = alloy_factor(branch)
    working = appliance.part(branch.part).fact("working")
    volts, ohms = appliance.plate.volts, reading.value
    hot = factor * ohms
    return HotColdFacts(
        appliance=words.noun(appliance.title),
        part=branch_name(words, appliance, branch),
        shown=reading.display,
        cold_at=COLD_AT,
        hot_at=float(working) if isinstance(working, (int, float)) else math.nan,
        factor=factor,
        volts=volts,
        ohms=ohms,
        hot_ohms=hot,
        watts=volts**2 / hot,
        amps=volts / hot,
        cold_watts=volts**2 / ohms,
        excess=factor - 1,
    )


def alloy_factor(branch: Branch) -> float:
    """How many times its cold resistance a section has hot, to three places as a prompt states it."""
    return round(branch.hot_ohms / branch.cold_ohms, 3)


def no_element_facts(words: Words, appliance: Appliance, name: str, reading: Reading) -> NoElementFacts:
    """A lamp or motor that reads so much cold."""
    branch = section_of(appliance, name)
    volts, ohms = appliance.plate.volts, reading.value
    return NoElementFacts(
        opening=opening(words, appliance),
        part=branch_name(words, appliance, branch),
        shown=reading.display,
        volts=volts,
        ohms=ohms,
        rating=branch.watts,
        sum=volts**2 / ohms,
        taken=volts / ohms,
        growth=branch.hot_ohms / branch.cold_ohms,
    )
