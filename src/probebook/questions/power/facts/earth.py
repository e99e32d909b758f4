"""Facts about currents to earth: leakage through poor insulation, and a fault to metal.

What a residual-current device and a breaker make of a current stands in the region of the appliance.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.circuit import energise
from probebook.meters import Reading
from probebook.questions.situation_words import opening
from probebook.regions import Band
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["EarthFaultFacts", "LeakageFacts", "breaker_does", "device_does", "earth_fault_facts", "leakage_facts"]


@dataclass(frozen=True)
class LeakageFacts(
    Facts,
    group="questions/power/leakage",
    says=(
        *("title", "prompt", "explanation-acts", "explanation-may", "explanation-holds", "working"),
        *("label.amps", "label.device", "option.acts", "option.may", "option.holds"),
        *("here.prefix-lost", "here.prefix-swapped", "here.watts-for-amps", "here.upside-down", "here.rcd-misjudged"),
    ),
):
    """Poor insulation, the current it lets through, and the device: what it is rated, and up to what it must hold.

    ``rcd`` is its usual name; ``thousandth`` is what the reading would be with its prefix lost.
    """

    opening: Phrase
    shown: str
    volts: Annotated[float, "V"]
    test_volts: Annotated[float, "V"]
    ohms: Annotated[float, "ohm"]
    thousandth: Annotated[float, "ohm"]
    amps: Annotated[float, "A"]
    rated: Annotated[float, "A"]
    held: Annotated[float, "A"]
    rcd: Noun
    standard: Noun


@dataclass(frozen=True)
class EarthFaultFacts(
    Facts,
    group="questions/power/earth-fault",
    says=(
        *("title", "prompt", "prompt-poor", "prompt-volts", "explanation", "explanation-poor"),
        *("working", "working-volts", "label.amps", "label.breaker", "label.volts", "option.once", "option.never"),
        *("here.upside-down", "here.watts-for-amps", "here.volts-times-ohms", "here.joint-left-out"),
        *("here.part-for-whole", "here.breaker", "here.no-volts-on-metal", "here.other-part", "here.even-volts"),
    ),
):
    """Line on earthed metal: the loop, the earth joint, the current, the volts of the metal, and the breaker.

    ``colour`` is that of a line conductor; ``times`` and ``at_once`` say from what current on the breaker acts at once;
    ``perfect`` is the current with no joint in the way, ``even_volts`` half the supply.
    """

    appliance: Noun
    colour: Noun
    volts: Annotated[float, "V"]
    loop: Annotated[float, "ohm"]
    joint: Annotated[float, "ohm"]
    ohms: Annotated[float, "ohm"]
    amps: Annotated[float, "A"]
    touch: Annotated[float, "V"]
    device: Noun
    breaker: Annotated[float, "A"]
    times: float
    at_once: Annotated[float, "A"]
    standard: Noun
    perfect: Annotated[float, "A"]
    even_volts: Annotated[float, "V"]


def leakage_facts(words: Words, appliance: Appliance, reading: Reading, rcd: Noun) -> LeakageFacts:
    """The most that a resistance to earth lets through; ``rcd`` is what the region calls a residual-current device."""
    region, volts, ohms = appliance.region, appliance.supply.volts, reading.value
    flow = energise(2, [[0, 1]], [ohms], {0: volts, 1: 0.0})
    return LeakageFacts(
        opening=opening(words, appliance),
        shown=reading.display,
        volts=volts,
        test_volts=region.test_volts,
        ohms=ohms,
        thousandth=ohms / 1000,
        amps=float(flow.amps[0]),
        rated=appliance.supply.residual_amps,
        held=region.devices.residual.holds * appliance.supply.residual_amps,
        rcd=rcd,
        standard=words.noun(region.devices.residual.rule),
    )


def device_does(facts: LeakageFacts) -> str:
    """What a residual-current device makes of a leakage: it ``acts``, it ``may`` act, or it ``holds``."""
    return "acts" if facts.amps > facts.rated else "may" if facts.amps > facts.held else "holds"


def earth_fault_facts(words: Words, appliance: Appliance, loop: float, joint: float) -> EarthFaultFacts:
    """The current of a fault to metal through a loop and an earth joint (Ω), and the volts of the metal meanwhile."""
    volts, breaker = appliance.supply.volts, appliance.supply.breaker_amps
    band = appliance.region.devices.breaker
    flow = energise(3, [[0, 1], [1, 2]], [loop, joint], {0: volts, 2: 0.0})
    return EarthFaultFacts(
        appliance=words.noun(appliance.title),
        colour=words.noun(appliance.region.colours.flex.line),
        volts=volts,
        loop=loop,
        joint=joint,
        ohms=loop + joint,
        amps=float(flow.amps[0]),
        touch=float(flow.volts[1]),
        device=words.noun(band.title),
        breaker=breaker,
        times=band.at_once,
        at_once=band.at_once * breaker,
        standard=words.noun(band.rule),
        perfect=volts / loop,
        even_volts=volts / 2,
    )


def breaker_does(facts: EarthFaultFacts, band: Band) -> str:
    """What the breaker makes of a fault: it acts at ``once``, ``never``, or (empty) something between."""
    once, never = facts.amps > facts.at_once, facts.amps < band.holds * facts.breaker
    return "" if once == never else "once" if once else "never"
