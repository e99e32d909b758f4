"""Facts about the earth path of an appliance, against what a rule allows it, the supply lead added where it says so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, PartKind, Wire
from probebook.meters import Conformity, Limit
from probebook.questions.situation_words import opening
from probebook.questions.verdict.facts.measurement import Measurement, accuracy_said, edge_said
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Cord", "EarthFacts", "EarthLine", "cord_of", "earth_facts", "earthed_metal"]

#: Ohms in a milliohm.
MILLIOHM = 1e-3
#: How a file notes a core of the supply lead.
FLEX = "flex"


@dataclass(frozen=True, slots=True)
class Cord:
    """The supply lead of a plug-in appliance: length (m), area (m²), ohms per metre, ohms, and the rule for them."""

    length: float
    area: float
    per_metre: float
    ohms: float
    rule: str


@dataclass(frozen=True)
class EarthLine(Facts, group="questions/verdict/line", says=("earth-terminal", "earth-plug")):
    """What a report says of the earth path: the metal it ends on, its ohms, and between what they lie."""

    metal: Noun
    path: Annotated[float, "ohm"]
    least: Annotated[float, "ohm"]
    most: Annotated[float, "ohm"]


@dataclass(frozen=True)
class EarthFacts(
    Facts,
    group="questions/verdict/earth",
    says=(
        *("title", "prompt", "prompt-leads", "prompt-owner", "prompt-plug", "prompt-plug-leads", "prompt-plug-owner"),
        *("explanation", "explanation-leads", "explanation-owner", "working", "working-leads"),
        *("right.within", "right.outside", "right.cannot"),
        *("why.beeper-is-sound", "why.leads-left-in", "why.lead-left-out", "why.wrong-rule"),
        "why.meter-beyond-its-means",
        *("here.beeper-is-sound", "here.leads-left-in", "here.lead-left-out", "here.wrong-rule"),
        "here.meter-beyond-its-means",
    ),
):
    """A reading of the earth path and what is allowed.

    ``ohms`` are shown, of which ``test_leads`` are the test leads where these are not nulled; ``path`` is left. The
    rule allows ``base`` and, with a supply lead (``cord`` m long, ``area``, ``per_metre`` mΩ), ``lead`` besides:
    ``asked`` in all. ``generous`` is what some other rule allows.
    """

    opening: Phrase
    report: Phrase
    closing: Phrase
    terminal: str
    metal: Noun
    meter: Noun
    accuracy: Phrase
    digit: Annotated[float, "ohm"]
    beeper: Annotated[float, "ohm"]
    rule: Noun
    base: Annotated[float, "ohm"]
    lead: Annotated[float, "ohm"]
    cord: Annotated[float, "m"]
    area: Annotated[float, "m2"]
    per_metre: Annotated[float, "mohm"]
    cord_rule: Noun
    asked: Phrase
    generous: Annotated[float, "ohm"]
    shown: str
    shown_more: bool
    ohms: Annotated[float, "ohm"]
    test_leads: Annotated[float, "ohm"]
    path: Annotated[float, "ohm"]
    path_more: bool
    least: Annotated[float, "ohm"]
    most: Annotated[float, "ohm"]
    verdict: Conformity


def cord_of(appliance: Appliance) -> Cord | None:
    """The supply lead of a plug-in appliance as its file has it; None where the file has none."""
    wire = next((w for w in appliance.wires if w.is_earth and w.note == FLEX), None)
    if wire is None or appliance.supply.kind != "plug":
        return None
    limit = appliance.region.rule("conductor.flexible", area=wire.area)
    return Cord(wire.length, wire.area, limit.high, round(limit.high * wire.length, 3), limit.rule.partition(",")[0])


def earthed_metal(appliance: Appliance) -> str:
    """Title of the metalwork that the first earth wire ends on that ends on any."""
    return next(title for w in appliance.wires if w.is_earth if (title := _metal(appliance, w)))


def _metal(appliance: Appliance, wire: Wire) -> str:
    """Title of the metalwork that an earth wire ends on; empty where it ends on a terminal block."""
    part = appliance.part(wire.end.partition(".")[0])
    return part.title if part.kind is PartKind.METALWORK else ""


def earth_facts(
    words: Words, appliance: Appliance, cord: Cord | None, limit: Limit, measured: Measurement
) -> EarthFacts:
    """What a reading says of the earth path of an appliance, through its ``cord`` where it has one."""
    reading, region = measured.reading, appliance.region
    path = reading.value - measured.leads
    lead = cord or Cord(0.0, 0.0, 0.0, 0.0, "")
    base = region.rule("earth.metalwork").high
    return EarthFacts(
        opening=opening(words, appliance),
        report=Phrase(""),
        closing=Phrase(""),
        terminal=appliance.earth,
        metal=words.noun(earthed_metal(appliance)),
        meter=words.noun(measured.meter.title),
        accuracy=accuracy_said(words, measured),
        digit=reading.resolution,
        beeper=measured.meter.beeper_ohms or 0.0,
        rule=words.noun(limit.rule),
        base=base,
        lead=lead.ohms,
        cord=lead.length,
        area=lead.area,
        per_metre=lead.per_metre / MILLIOHM,
        cord_rule=words.noun(lead.rule),
        asked=edge_said(words, limit.high),
        generous=region.rule("earth.in-service").high,
        shown=reading.display,
        shown_more=reading.value > limit.high,
        ohms=reading.value,
        test_leads=measured.meter.lead_ohms,
        path=path,
        path_more=path > base,
        least=measured.low,
        most=measured.high,
        verdict=measured.verdict.conformity,
    )
