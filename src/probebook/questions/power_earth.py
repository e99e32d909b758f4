"""Power questions about earth: leakage through poor insulation, and the current of a fault to metal."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.circuit import energise
from probebook.meters import Function, read
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import (
    Ask,
    Unfit,
    WrongNumber,
    WrongOption,
    choice_field,
    option_slips,
    quantity_field,
    shuffled,
)
from probebook.questions.model import Option, Question
from probebook.unit_format import format_quantity

__all__ = ["earth_fault", "leakage"]

#: A residual-current device must not act up to half of its rated residual current and must act at the whole of it
#: (IEC 61008-1; from memory).
HOLDS, ACTS = 0.5, 1.0
#: A type B circuit breaker acts at once from five times its rated current, and holds 1.13 times it for an hour
#: (IEC 60898-1; from memory).
AT_ONCE, HELD = 5.0, 1.13
#: How far from such a boundary a question stays.
ROOM = 0.12


def _near(value: float, boundary: float) -> bool:
    return abs(value / boundary - 1) < ROOM


def leakage(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The most that an insulation resistance lets through to earth, and what a residual-current device makes of it."""
    appliance = library.appliance(ask.appliance)
    rated_amps = appliance.supply.residual_amps
    if not rated_amps or not appliance.earth:
        raise Unfit(f"the {appliance.title} has no residual-current device or no earth")
    tester = library.meter("bench-multimeter")
    low, high = (2e3, 60e3) if ask.level > 1 else (2e3, 30e3)
    reading = read(tester, Function.OHMS, float(f"{low * (high / low) ** rng.random():.2g}"), nulled=True)
    ohms, volts = reading.value, appliance.supply.volts
    flow = energise(2, [[0, 1]], [ohms], {0: volts, 1: 0.0})
    amps = float(flow.amps[0])
    if any(_near(amps, share * rated_amps) for share in (HOLDS, ACTS)):
        raise Unfit("the current is too near the point at which the device may act")
    target = quantity_field("amps", "Greatest current to earth", "A", amps, tolerance=0.02)
    key = "acts" if amps > rated_amps else "may" if amps > HOLDS * rated_amps else "holds"
    i, half = f"{rated_amps * 1000:g} mA", f"{HOLDS * rated_amps * 1000:g} mA"
    does = choice_field(
        "device",
        f"The {i} residual-current device",
        (
            Option("acts", f"must trip: the current is {i} or more"),
            Option("may", f"may trip or not: the current lies between {half} and {i}"),
            Option("holds", f"must hold: the current is {half} or less"),
        ),
        key,
    )
    here = f"{format_quantity(amps, 'A', 3)} flow, and the device is rated {i}."
    slips = (
        *sc.fitting_slips(
            library,
            target,
            [
                WrongNumber(
                    "prefix-lost",
                    amps * 1000,
                    f"{reading.display} is {ohms:g} Ω, not {ohms / 1000:g} Ω.",
                ),
                WrongNumber(
                    "prefix-swapped",
                    amps / 1000,
                    f"{reading.display} is kilohms; megohms would let a thousandth of it through.",
                ),
                WrongNumber("watts-for-amps", volts**2 / ohms, f"{volts:g}² ÷ {ohms:g} is a power."),
                WrongNumber("upside-down", ohms / volts, "That is ohms divided by volts."),
            ],
        ),
        *option_slips(
            library, does, [WrongOption("rcd-misjudged", o, here) for o in ("acts", "may", "holds") if o != key]
        ),
    )
    told = {
        "acts": "The device trips, and so it should: the fault has to be found, not the device changed.",
        "may": "Such a device must trip at its rated current and must hold up to half of it; between the two either is "
        "in order. An appliance that trips one house and not another is no riddle.",
        "holds": "The device holds, and yet this is no sound appliance: judge it by the rule for insulation, not by "
        "whether something trips.",
    }[key]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="insulation",
            level=ask.level,
            title="How much leaks?",
            prompt=(
                f"{sc.opening(appliance)} Line and neutral are clipped together, the controls are on. From them to the "
                f"metalwork an ohmmeter shows **{reading.display}**. Suppose that it stays so when the {volts:g} V "
                "supply is on, and that the leak is at the line end, the worst place. How great a current can then "
                f"flow to earth, and what does a **{i}** residual-current device make of it? (IEC 61008-1: it must "
                f"trip at {i} and must hold up to {half}.)"
            ),
            fields=(target, does),
            slips=slips,
            explanation=(
                f"{volts:g} V ÷ {ohms:g} Ω = {format_quantity(amps, 'A', 3)}. {told} An ohmmeter has only "
                "a few volts; at 500 V poor insulation may read lower still."
            ),
            working=f"I = V ÷ R = {volts:g} ÷ {ohms:g} = {format_quantity(amps, 'A', 3)}",
            competences=("C17", "C35"),
        ),
        library,
        unit_changes=1,
    )


def earth_fault(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Line on metal: the current with a good or a poor earth joint, what the breaker does, from level 3 the volts."""
    appliance = library.appliance(ask.appliance)
    breaker = appliance.supply.breaker_amps
    if not breaker or not appliance.earth or appliance.supply.fuse_amps:
        raise Unfit(f"the {appliance.title} is not fed by a breaker alone, or has no earth")
    volts = appliance.supply.volts
    loop = round(rng.uniform(0.6, 1.1), 1)
    poor = ask.level > 1 and rng.random() < 0.7
    joint = float(rng.choice([18, 22, 27, 33, 39, 47, 56])) if poor else round(rng.uniform(0.03, 0.08), 2)
    flow = energise(3, [[0, 1], [1, 2]], [loop, joint], {0: volts, 2: 0.0})
    amps, touch = float(flow.amps[0]), float(flow.volts[1])
    at_once, never = amps > AT_ONCE * breaker, amps < HELD * breaker
    if at_once == never or any(_near(amps, share * breaker) for share in (AT_ONCE, HELD)):
        raise Unfit("the current is too near the point at which the breaker may act")
    b = f"{breaker:g} A"
    target = quantity_field("amps", "Current of the fault", "A", amps, tolerance=0.02)
    key = "once" if at_once else "never"
    acts = choice_field(
        "breaker",
        f"The {b} breaker",
        shuffled(
            [
                Option("once", "acts at once"),
                Option("never", "does not act: the metal stays live"),
            ],
            rng,
        ),
        key,
    )
    less = format_quantity(volts / loop, "A", 3)
    wrong = [
        WrongNumber("upside-down", (loop + joint) / volts, "That is ohms divided by volts."),
        WrongNumber("watts-for-amps", volts**2 / (loop + joint), "That is a power."),
        WrongNumber("volts-times-ohms", volts * (loop + joint), "That is not a current."),
    ]
    if poor:
        wrong = [
            WrongNumber(
                "joint-left-out", volts / loop, f"{less} would flow with a perfect earth; the joint is in the way too."
            ),
            WrongNumber("part-for-whole", volts / joint, f"The rest of the loop has {loop:g} Ω as well."),
            *wrong,
        ]
    fields = [target, acts]
    slips = [
        *sc.fitting_slips(library, target, wrong),
        *option_slips(
            library,
            acts,
            [
                WrongOption(
                    "joint-left-out" if poor else "protection-misjudged",
                    "once" if key == "never" else "never",
                    f"{format_quantity(amps, 'A', 3)} flow; it acts at once from {AT_ONCE:g} × {b} = "
                    f"{AT_ONCE * breaker:g} A and can hold {b} for ever.",
                )
            ],
        ),
    ]
    asked = ""
    if ask.level >= 3 and poor:
        metal = quantity_field("volts", "Voltage of the metal against earth", "V", touch, tolerance=0.02)
        fields.append(metal)
        slips += sc.fitting_slips(
            library,
            metal,
            [
                WrongNumber(
                    "no-volts-on-metal", 0.0, f"{format_quantity(amps, 'A', 3)} flow through {joint:g} Ω of joint."
                ),
                WrongNumber("other-part", volts - touch, "That is dropped in the rest of the loop."),
                WrongNumber(
                    "even-volts",
                    volts / 2,
                    f"{volts / 2:g} V would be right only if the rest of the loop had {joint:g} Ω too.",
                ),
            ],
        )
        asked = " And what voltage stands on the metal meanwhile?"
    standing = f" The metal stands at {format_quantity(touch, 'V', 3)} against earth." if poor else ""
    where = "a poor earth joint" if poor else "the earth joint"
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="reconnect",
            level=ask.level,
            title="A fault to metal",
            prompt=(
                f"**{appliance.title[0].upper()}{appliance.title[1:]}**, worked out on paper, never tried. A brown "
                "wire has come off and lies on the earthed metal. The whole loop, out by line and back by earth, has "
                f"**{loop:.1f} Ω**, and {where} of the appliance adds **{joint:g} Ω**. The supply is {volts:g} V, the "
                f"breaker is type B, **{b}**: it acts at once from {AT_ONCE:g} times that (IEC 60898-1). Leave "
                f"any residual-current device aside. What current flows, and what does the breaker do?{asked}"
            ),
            fields=tuple(fields),
            slips=tuple(slips),
            explanation=(
                f"{volts:g} ÷ ({loop:g} + {joint:g}) = {format_quantity(amps, 'A', 3)}; the breaker needs "
                f"{AT_ONCE * breaker:g} A to act at once. "
                + (
                    f"It never sees the fault.{standing} That is why the earth path has to be low: a few ohms too many "
                    "turn a fault that clears itself into a shock that waits for a hand."
                    if poor
                    else "It clears the fault in a fraction of a second, because the earth path is low in resistance."
                )
            ),
            working=(
                f"R = {loop:g} + {joint:g} = {loop + joint:g} Ω\nI = {volts:g} ÷ {loop + joint:g} = "
                f"{format_quantity(amps, 'A', 3)}" + (f"\nV = {amps:.4g} × {joint:g} = {touch:.3g} V" if asked else "")
            ),
            competences=("C33", "C36") if poor else ("C33",),
        ),
        library,
        branches=2,
    )
