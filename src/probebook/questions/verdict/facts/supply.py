"""Facts about the supply voltage, against the limits of the region."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.appliances import Appliance
from probebook.meters import Conformity, Limit
from probebook.questions.verdict.facts.measurement import Measurement, accuracy_said, span_said
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["SupplyFacts", "supply_facts"]


@dataclass(frozen=True)
class SupplyFacts(
    Facts,
    group="questions/verdict/supply",
    says=(
        *("title", "prompt", "explanation", "working", "right.within", "right.outside", "right.cannot"),
        *("why.exact-match", "why.wrong-rule", "why.any-reading-passes", "why.meter-beyond-its-means"),
        *("here.exact-match", "here.wrong-rule", "here.any-reading-passes", "here.meter-beyond-its-means"),
    ),
):
    """A measured supply voltage, what is allowed, and what was allowed before (empty where nothing is known of that).

    ``plus`` and ``minus`` are the deviations from ``nominal``, ``upper`` and ``lower`` what it is multiplied by.
    """

    appliance: Noun
    country: Noun
    meter: Noun
    accuracy: Phrase
    digit: Annotated[float, "V"]
    rule: Noun
    nominal: Annotated[float, "V"]
    plus: Annotated[float, "%"]
    minus: Annotated[float, "%"]
    upper: float
    lower: float
    allowed: Phrase
    allowed_least: Annotated[float, "V"]
    allowed_most: Annotated[float, "V"]
    older: Phrase
    older_rule: Noun
    shown: str
    least: Annotated[float, "V"]
    most: Annotated[float, "V"]
    side: Literal["within", "outside"]
    verdict: Conformity


def supply_facts(
    words: Words, appliance: Appliance, limit: Limit, older: Limit | None, measured: Measurement
) -> SupplyFacts:
    """What a reading says of the supply; ``older`` are the limits before, where there were others."""
    reading, nominal = measured.reading, appliance.region.supply.nominal
    upper, lower = limit.high / nominal, limit.low / nominal
    return SupplyFacts(
        appliance=words.noun(appliance.title),
        country=words.noun(appliance.region.title),
        meter=words.noun(measured.meter.title),
        accuracy=accuracy_said(words, measured),
        digit=reading.resolution,
        rule=words.noun(limit.rule),
        nominal=nominal,
        plus=upper - 1,
        minus=1 - lower,
        upper=upper,
        lower=lower,
        allowed=span_said(words, "V", limit.low, limit.high),
        allowed_least=limit.low,
        allowed_most=limit.high,
        older=span_said(words, "V", older.low, older.high) if older else Phrase(""),
        older_rule=words.noun(older.rule if older else ""),
        shown=reading.display,
        least=measured.low,
        most=measured.high,
        side="within" if limit.low <= reading.value <= limit.high else "outside",
        verdict=measured.verdict.conformity,
    )
