"""Facts about the power of an element by its cold reading, against what IEC 60335-1 allows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.appliances import Appliance, Branch
from probebook.appliances.naming import branch_name
from probebook.meters import Conformity, Limit
from probebook.questions.situation_words import opening
from probebook.questions.verdict.facts.measurement import Measurement, accuracy_said, span_said
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["PowerFacts", "PowerLine", "power_facts"]


@dataclass(frozen=True)
class PowerLine(Facts, group="questions/verdict/line", says=("power",)):
    """What a report says of an element: its cold reading and the watts it comes to."""

    part: Noun
    shown: str
    span: Phrase
    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class PowerFacts(
    Facts,
    group="questions/verdict/power",
    says=(
        *("title", "prompt", "prompt-leads", "prompt-owner", "explanation", "working", "working-leads"),
        *("right.within", "right.outside", "right.cannot"),
        *("why.any-reading-passes", "why.exact-match", "why.cold-for-hot", "why.meter-beyond-its-means"),
        "why.wrong-rule",
        *("here.any-reading-passes", "here.exact-match", "here.cold-for-hot", "here.meter-beyond-its-means"),
        "here.wrong-rule",
    ),
):
    """A cold reading, the watts it comes to hot, and the watts that are allowed.

    ``ohms`` are shown, ``cold`` are left without the leads, ``hot`` at working temperature; ``cold_least`` to
    ``cold_most`` and ``least`` to ``most`` is what the meter's statement makes of them. ``straight`` are the watts of
    the cold ohms. ``side`` and ``straight_side`` say where ``watts`` and ``straight`` lie.
    """

    opening: Phrase
    report: Phrase
    part: Noun
    meter: Noun
    accuracy: Phrase
    rule: Noun
    allowed: Phrase
    span: Phrase
    shown: str
    leads: Annotated[float, "ohm"]
    rating: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    factor: float
    ohms: Annotated[float, "ohm"]
    cold: Annotated[float, "ohm"]
    cold_least: Annotated[float, "ohm"]
    cold_most: Annotated[float, "ohm"]
    hot: Annotated[float, "ohm"]
    watts: Annotated[float, "W"]
    least: Annotated[float, "W"]
    most: Annotated[float, "W"]
    straight: Annotated[float, "W"]
    side: Literal["inside", "outside"]
    straight_side: Literal["inside", "outside"]
    verdict: Conformity


def power_facts(
    words: Words, appliance: Appliance, branch: Branch, factor: float, limit: Limit, measured: Measurement
) -> PowerFacts:
    """What a cold reading says of the power of a section; ``measured`` holds the ohms and the verdict on the watts."""
    volts, reading = appliance.plate.volts, measured.reading
    cold = reading.value - measured.leads
    watts, straight = volts**2 / (factor * cold), volts**2 / cold
    least, most = volts**2 / (factor * measured.high), volts**2 / (factor * measured.low)
    return PowerFacts(
        opening=opening(words, appliance),
        report=Phrase(""),
        part=branch_name(words, appliance, branch),
        meter=words.noun(measured.meter.title),
        accuracy=accuracy_said(words, measured),
        rule=words.noun(limit.rule),
        allowed=span_said(words, "W", limit.low, limit.high),
        span=span_said(words, "W", least, most),
        shown=reading.display,
        leads=measured.leads,
        rating=branch.watts,
        volts=volts,
        factor=factor,
        ohms=reading.value,
        cold=cold,
        cold_least=measured.low,
        cold_most=measured.high,
        hot=cold * factor,
        watts=watts,
        least=least,
        most=most,
        straight=straight,
        side="inside" if limit.low <= watts <= limit.high else "outside",
        straight_side="inside" if limit.low <= straight <= limit.high else "outside",
        verdict=measured.verdict.conformity,
    )
