"""The instrument's own share: test leads in a low resistance, and the beeper's threshold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Literal

from probebook.appliances import Appliance, Branch, Wire
from probebook.meters import Function, Meter, Reading, read
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["BeeperFacts", "LeadsCase", "LeadsFacts", "beeper_facts", "leads_facts", "leads_reading", "will_beep"]

# ---------------------------------------------------------------- leads


@dataclass(frozen=True, slots=True)
class LeadsCase:
    """A low resistance and the leads it is measured with, ohms; ``asks`` is what is asked for."""

    bond: Wire
    meter: Meter
    lead: float
    true: float
    asks: Literal["shows", "nulled", "true"]


@dataclass(frozen=True)
class LeadsFacts(
    Facts,
    group="questions/reading/leads",
    says=(
        "title",
        "prompt-shows",
        "prompt-nulled",
        "prompt-true",
        "explanation-shows",
        "explanation-nulled",
        "explanation-true",
        "working-shows",
        "working-nulled",
        "working-true",
        "label-shows",
        "label-path",
        "shows.leads-ignored",
        "shows.leads-wrong-sign",
        "shows.parallel-for-series",
        "shows.prefix-lost",
        "nulled.leads-taken-twice",
        "nulled.leads-wrong-sign",
        "nulled.prefix-lost",
        "true.leads-left-in",
        "true.leads-taken-twice",
        "true.leads-wrong-sign",
        "true.prefix-lost",
    ),
):
    """An earth path and the leads it is measured with."""

    opening: Phrase
    wire: Noun
    meter: Noun
    step: Annotated[float, "ohm"]
    a: str
    b: str
    lead: Annotated[float, "ohm"]
    path: Annotated[float, "ohm"]
    shown: Annotated[float, "ohm"]
    display: str
    zero: str
    key: Annotated[float, "ohm"]
    both: Annotated[float, "ohm"]
    both_milli: Annotated[float, "mohm"]
    thousandfold: Annotated[float, "ohm"]


def leads_reading(case: LeadsCase) -> tuple[Reading, float]:
    """What the meter shows, and the ohms to be answered."""
    meter = replace(case.meter, lead_ohms=case.lead)
    nulled = case.asks == "nulled"
    reading = read(meter, Function.CONTINUITY, case.true, nulled=nulled)
    return reading, reading.value - case.lead if case.asks == "true" else reading.value


def leads_facts(words: Words, appliance: Appliance, case: LeadsCase) -> LeadsFacts:
    """What is told of an earth path and the leads it is measured with."""
    reading, key = leads_reading(case)
    both = case.true + case.lead
    return LeadsFacts(
        opening=sw.opening(words, appliance),
        wire=sw.wire_words(words, appliance, case.bond.mark),
        meter=words.noun(case.meter.title),
        step=reading.resolution,
        a=case.bond.start,
        b=case.bond.end,
        lead=case.lead,
        path=case.true,
        shown=reading.value,
        display=reading.display,
        zero=read(case.meter, Function.CONTINUITY, 0.0, nulled=True).display,
        key=key,
        both=both,
        both_milli=both * 1000,
        thousandfold=1000 * (key if case.asks == "true" else reading.value),
    )


# ---------------------------------------------------------------- beeper


@dataclass(frozen=True)
class BeeperFacts(
    Facts,
    group="questions/reading/beeper",
    says=(
        "title",
        "prompt",
        "explanation",
        "working",
        "label-does",
        "label-says",
        "does.sounds",
        "does.silent",
        "says.value",
        "says.open",
        "says.sound",
        "says.any",
        "why.value",
        "here.above",
        "here.below",
        "here.silent-when-high",
        "here.silent-when-sound",
        "here.beeper-is-sound",
        "here.any-reading-passes",
    ),
):
    """A sound element and the threshold of a beeper."""

    opening: Phrase
    part: Noun
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    meter: Phrase
    limit: Annotated[float, "ohm"]
    hot: Annotated[float, "ohm"]
    cold: Annotated[float, "ohm"]
    sounds: bool


def will_beep(meter: Meter, branch: Branch) -> bool:
    """Whether the beeper sounds on a sound part; Unfit where that depends on how the part was made."""
    readings = [
        read(
            meter,
            Function.CONTINUITY,
            branch.cold_ohms * (1 + sign * branch.tolerance),
            gain=sign,
            wobble=sign,
            nulled=meter.can_null,
        )
        for sign in (-1, 1)
    ]
    least, most = readings
    if meter.beeper_ohms is None or least.beeps is None or least.beeps is not most.beeps:
        raise Unfit("whether the beeper sounds depends on the making of the part")
    return bool(least.beeps)


def beeper_facts(words: Words, appliance: Appliance, branch: Branch, meter: Meter) -> BeeperFacts:
    """What is told of a sound element and a beeper."""
    sounds = will_beep(meter, branch)
    return BeeperFacts(
        opening=sw.opening(words, appliance),
        part=sw.name(words, appliance, branch),
        watts=branch.watts,
        volts=appliance.plate.volts,
        meter=sw.meter_words(words, meter, Function.CONTINUITY, nulled=meter.can_null),
        limit=meter.beeper_ohms or 0.0,
        hot=appliance.plate.volts**2 / branch.watts,
        cold=branch.cold_ohms,
        sounds=sounds,
    )
