"""Facts about one element at its own voltage: watts and amperes from a reading, ohms from the plate."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, Branch
from probebook.appliances.naming import branch_name
from probebook.meters import Reading
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "AmpsFacts",
    "OhmsFacts",
    "ReadingLine",
    "WattsFacts",
    "amps_facts",
    "ohms_facts",
    "other_volts",
    "watts_facts",
]


@dataclass(frozen=True)
class ReadingLine(Facts, group="questions/power/line", says=("reading",)):
    """A line of a report: the part that was measured and what the meter showed."""

    part: Noun
    shown: str


@dataclass(frozen=True)
class WattsFacts(
    Facts,
    group="questions/power/watts",
    says=(
        *("title", "prompt", "prompt-owner", "explanation", "working", "label.watts"),
        *("here.amps-for-watts", "here.volts-times-ohms", "here.wrong-voltage"),
    ),
):
    """An element that was measured, and the power that follows; ``report`` is what an owner is told of it."""

    appliance: Noun
    part: Noun
    report: Phrase
    shown: str
    volts: Annotated[float, "V"]
    other_volts: Annotated[float, "V"]
    ohms: Annotated[float, "ohm"]
    amps: Annotated[float, "A"]
    watts: Annotated[float, "W"]
    rating: Annotated[float, "W"]
    apart: Annotated[float, "%"]


@dataclass(frozen=True)
class OhmsFacts(
    Facts,
    group="questions/power/ohms",
    says=(
        *("title", "prompt", "explanation", "working", "label.ohms"),
        *("here.watts-over-volts", "here.upside-down", "here.wrong-voltage"),
    ),
):
    """An element by its rating, and the resistance that follows."""

    appliance: Noun
    part: Noun
    volts: Annotated[float, "V"]
    other_volts: Annotated[float, "V"]
    watts: Annotated[float, "W"]
    amps: Annotated[float, "A"]
    ohms: Annotated[float, "ohm"]
    cold: Annotated[float, "ohm"]
    tolerance: Annotated[float, "%"]


@dataclass(frozen=True)
class AmpsFacts(
    Facts,
    group="questions/power/amps",
    says=(
        *("title", "prompt", "prompt-owner", "explanation", "working", "label.amps"),
        *("here.watts-for-amps", "here.volts-times-ohms", "here.upside-down"),
    ),
):
    """An element that was measured, and the current that follows."""

    appliance: Noun
    part: Noun
    report: Phrase
    shown: str
    volts: Annotated[float, "V"]
    ohms: Annotated[float, "ohm"]
    amps: Annotated[float, "A"]


def other_volts(appliance: Appliance, volts: float) -> float:
    """The nominal voltage that people mix up with this one: the older one, or today's where it is not that."""
    supply = appliance.region.supply
    return supply.quoted if volts == supply.nominal else supply.nominal


def watts_facts(words: Words, appliance: Appliance, branch: Branch, reading: Reading, report: Phrase) -> WattsFacts:
    """Power of a section from its reading, on the supply it is fed from."""
    volts, ohms = appliance.supply.volts, reading.value
    watts = volts**2 / ohms
    return WattsFacts(
        appliance=words.noun(appliance.title),
        part=branch_name(words, appliance, branch),
        report=report,
        shown=reading.display,
        volts=volts,
        other_volts=other_volts(appliance, volts),
        ohms=ohms,
        amps=volts / ohms,
        watts=watts,
        rating=branch.watts,
        apart=math.ceil(abs(watts / branch.watts - 1) * 100) / 100,
    )


def ohms_facts(words: Words, appliance: Appliance, branch: Branch) -> OhmsFacts:
    """Resistance of a section from its rating, hot; and what it reads cold."""
    volts, watts = appliance.plate.volts, branch.watts
    return OhmsFacts(
        appliance=words.noun(appliance.title),
        part=branch_name(words, appliance, branch),
        volts=volts,
        other_volts=other_volts(appliance, volts),
        watts=watts,
        amps=watts / volts,
        ohms=volts**2 / watts,
        cold=branch.cold_ohms,
        tolerance=branch.tolerance,
    )


def amps_facts(words: Words, appliance: Appliance, branch: Branch, reading: Reading, report: Phrase) -> AmpsFacts:
    """Current of a section from its reading, on the supply it is fed from."""
    volts, ohms = appliance.supply.volts, reading.value
    return AmpsFacts(
        appliance=words.noun(appliance.title),
        part=branch_name(words, appliance, branch),
        report=report,
        shown=reading.display,
        volts=volts,
        ohms=ohms,
        amps=volts / ohms,
    )
