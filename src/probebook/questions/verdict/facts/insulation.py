"""Facts about insulation resistance against a named rule."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.appliances import Appliance
from probebook.meters import Conformity, Limit
from probebook.questions.situation_words import opening
from probebook.questions.verdict.facts.measurement import Measurement, accuracy_said
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["InsulationFacts", "InsulationLine", "insulation_facts"]

MEGOHM = 1e6


@dataclass(frozen=True)
class InsulationLine(Facts, group="questions/verdict/line", says=("insulation",)):
    """What a report says of the insulation: the reading, and between what it lies."""

    test_volts: Annotated[float, "V"]
    shown: str
    least: Annotated[float, "Mohm"]
    most: Annotated[float, "Mohm"]


@dataclass(frozen=True)
class InsulationFacts(
    Facts,
    group="questions/verdict/insulation",
    says=(
        *("title", "prompt", "prompt-college", "prompt-owner", "explanation", "explanation-owner", "working"),
        *("right.within", "right.outside", "right.cannot"),
        *("why.wrong-rule", "why.top-of-range", "why.damp-condemned", "why.leak-passed", "why.any-reading-passes"),
        *("why.meter-beyond-its-means", "here.meter-beyond-its-means", "here.wrong-rule", "here.top-of-range"),
        *("here.damp-condemned", "here.leak-passed", "here.leak-passed-cannot", "here.any-reading-passes"),
    ),
):
    """An insulation reading and the rule it is judged by; ``other`` is what another rule asks for.

    ``plug`` says that the tester is on a plug; ``closing`` what the verdict means for an owner.
    """

    opening: Phrase
    report: Phrase
    closing: Phrase
    meter: Noun
    accuracy: Phrase
    digit: Annotated[float, "ohm"]
    test_volts: Annotated[float, "V"]
    plug: bool
    rule: Noun
    rule_title: Noun
    asked: Annotated[float, "Mohm"]
    other: Annotated[float, "Mohm"]
    other_rule: Noun
    shown: str
    least: Annotated[float, "Mohm"]
    most: Annotated[float, "Mohm"]
    side: Literal["above", "below", "just"]
    verdict: Conformity


def insulation_facts(
    words: Words, appliance: Appliance, limit: Limit, other: Limit, measured: Measurement
) -> InsulationFacts:
    """What a reading says of the insulation of an appliance, by a limit and not by the ``other``."""
    value = measured.reading.value
    return InsulationFacts(
        opening=opening(words, appliance),
        report=Phrase(""),
        closing=Phrase(""),
        meter=words.noun(measured.meter.title),
        accuracy=accuracy_said(words, measured),
        digit=measured.reading.resolution,
        test_volts=appliance.region.test_volts,
        plug=appliance.supply.kind == "plug",
        rule=words.noun(limit.rule),
        rule_title=words.noun(limit.title),
        asked=limit.low / MEGOHM,
        other=other.low / MEGOHM,
        other_rule=words.noun(other.rule),
        shown=measured.reading.display,
        least=measured.low / MEGOHM,
        most=measured.high / MEGOHM,
        side="just" if value == limit.low else "above" if value > limit.low else "below",
        verdict=measured.verdict.conformity,
    )
