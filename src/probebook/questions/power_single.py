"""Power questions about one part: another voltage, hot and cold, and parts whose ohms give no watts."""

from __future__ import annotations

import math
import random

from probebook.appliances import BranchKind
from probebook.cases.library import Library
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
from probebook.questions.power_frame import (
    branch_of,
    title_of,
)

__all__ = ["hot_cold", "no_element", "other_voltage"]


def other_voltage(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The power of a section at a voltage that is not the rated one."""
    appliance = library.appliance(ask.appliance)
    wanted = ask.text("part")
    branch = branch_of(appliance, wanted) if wanted else rng.choice(sc.sections(appliance))
    volts = appliance.plate.volts
    other = rng.choice([v for v in (207.0, 216.0, 220.0, 240.0, 253.0) if v != volts])
    ratio = other / volts
    watts = branch.watts * ratio**2
    target = quantity_field("watts", f"Power at {other:g} V", "W", watts, tolerance=0.012)
    name = sc.name(appliance, branch)
    slips = sc.fitting_slips(
        library,
        target,
        [
            WrongNumber(
                "linear-in-volts",
                branch.watts * ratio,
                f"{branch.watts:g} × {other:g} ÷ {volts:g} counts the change once only.",
            ),
            WrongNumber("rating-at-other-voltage", branch.watts, f"{branch.watts:g} W holds at {volts:g} V."),
            WrongNumber(
                "other-way-round",
                branch.watts / ratio**2,
                f"{other:g} V is {'less' if ratio < 1 else 'more'} than {volts:g} V, and so the power is "
                f"{'less' if ratio < 1 else 'more'} too.",
            ),
            WrongNumber("amps-for-watts", watts / other, f"{watts / other:.3g} A is the current at {other:g} V."),
        ],
        needed=["linear-in-volts", "rating-at-other-voltage"],
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="power",
            level=ask.level,
            title="At another voltage",
            prompt=(
                f"{title_of(appliance)} The {name} is rated **{sc.watts(branch.watts)} at {volts:g} V**. The supply is "
                f"**{other:g} V**. What power does it take there, its hot resistance being the same?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"The resistance stays at {branch.hot_ohms:.3g} Ω, so volts and amperes both change by "
                f"{other:g} ÷ {volts:g} = {ratio:.3f}, and the power by its square, {ratio**2:.3f}: {watts:.0f} W. "
                f"That is {abs(1 - ratio**2) * 100:.0f} % {'less' if ratio < 1 else 'more'}, with nothing wrong in the "
                "appliance."
            ),
            working=f"{branch.watts:g} × ({other:g} ÷ {volts:g})² = {watts:.0f} W",
            competences=("C16", "C17"),
        ),
        library,
    )


def hot_cold(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Hot watts from a cold reading and the factor of the alloy."""
    appliance = library.appliance(ask.appliance)
    wanted = ask.text("part")
    branch = branch_of(appliance, wanted) if wanted else rng.choice(sc.sections(appliance))
    factor = round(branch.hot_ohms / branch.cold_ohms, 3)
    if factor < 1.03:
        raise Unfit("the alloy hardly changes with heat")
    part = appliance.part(branch.part)
    working = part.fact("working")
    celsius = float(working) - 273.15 if isinstance(working, (int, float)) else math.nan
    cold = branch.cold_ohms * (1 + rng.uniform(-0.6, 0.6) * branch.tolerance)
    shown = read(library.meter("bench-multimeter"), Function.OHMS, cold, nulled=True)
    volts, r = appliance.plate.volts, shown.value
    watts = volts**2 / (factor * r)
    target = quantity_field("watts", "Power at working temperature", "W", watts, tolerance=0.011)
    slips = sc.fitting_slips(
        library,
        target,
        [
            WrongNumber(
                "cold-for-hot", volts**2 / r, f"{volts:g}² ÷ {r:.4g} is the power at the moment of switching on."
            ),
            WrongNumber(
                "other-way-round", volts**2 * factor / r, f"Hot it has more resistance, not less: {factor * r:.3g} Ω."
            ),
            WrongNumber("amps-for-watts", volts / (factor * r), f"{volts / (factor * r):.3g} A is the current, hot."),
            WrongNumber("volts-times-ohms", volts * factor * r, f"{volts:g} V × {factor * r:.3g} Ω is not a power."),
        ],
        needed=["cold-for-hot"],
    )
    name = sc.name(appliance, branch)
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="power",
            level=ask.level,
            title="Cold ohms, hot watts",
            prompt=(
                f"{title_of(appliance)} The {name} by itself reads **{shown.display}** at 20 °C (leads nulled). At its "
                f"working temperature of {celsius:.0f} °C its alloy has **{factor:.3f} times** the cold resistance. "
                f"The supply is {volts:g} V. What power does it take at working temperature?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"Hot it has {factor:.3f} × {r:.4g} = {factor * r:.3g} Ω and takes {watts:.0f} W. Reckoned straight "
                f"from the cold reading it would be {volts**2 / r:.0f} W, {(factor - 1) * 100:.0f} % too much: that is "
                "why a sound element reads a little low against its plate."
            ),
            working=(
                f"R hot = {factor:.3f} × {r:.4g} = {factor * r:.3g} Ω\n"
                f"P = {volts:g}² ÷ {factor * r:.3g} = {watts:.0f} W"
            ),
            competences=("C16", "C17", "C30"),
        ),
        library,
    )


def no_element(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A lamp or motor whose cold reading tempts to a sum that does not hold."""
    appliance = library.appliance(ask.appliance)
    kind = BranchKind(ask.text("form"))
    parts = [b for b in appliance.branches if b.kind is kind]
    if not parts:
        raise Unfit(f"the {appliance.title} has no {kind}")
    branch = rng.choice(parts)
    volts, lamp = appliance.plate.volts, kind is BranchKind.LAMP
    shown = read(library.meter("bench-multimeter"), Function.OHMS, branch.cold_ohms, nulled=True)
    sum_watts, amps = volts**2 / shown.value, volts / shown.value
    if sum_watts < 1.5 * branch.watts:
        raise Unfit("the cold reading does not tempt")
    name = sc.name(appliance, branch)
    options = [
        Option("rating", f"about {branch.watts:g} W, as it is rated: by its cold ohms nothing can be told"),
        Option("sum", f"about {float(f'{sum_watts:.3g}'):g} W, because {volts:g}² ÷ {shown.value:.4g} comes to that"),
        Option("amps", f"about {amps:.2g} W, because {volts:g} ÷ {shown.value:.4g} comes to that"),
        Option("faulty", "it cannot be sound: its ohms do not fit its watts"),
    ]
    target = choice_field("power", "Power it takes when working", shuffled(options, rng), "rating", marks=2.0)
    slips = option_slips(
        library,
        target,
        [
            WrongOption(
                "lamp-for-element" if lamp else "motor-for-element",
                "sum",
                f"It is rated {branch.watts:g} W: a sum that gives {float(f'{sum_watts:.3g}'):g} W does not hold.",
            ),
            WrongOption(
                "amps-for-watts", "amps", f"{volts:g} ÷ {shown.value:.4g} would be a current, and not even its own."
            ),
            WrongOption(
                "exact-match",
                "faulty",
                f"{shown.display} cold is in order for it: "
                + ("a filament has many times more when it glows." if lamp else "a winding is not a heater."),
            ),
        ],
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="power",
            level=ask.level,
            title="Ohms that give no watts",
            prompt=(
                f"{sc.opening(appliance)} With one wire off, the {name} reads **{shown.display}** cold (leads nulled). "
                f"It is sound and rated **{sc.watts(branch.watts)} at {volts:g} V**. What power does it take when it "
                "works?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"{volts:g}² ÷ {shown.value:.4g} = {sum_watts:.0f} W holds for a heating element only. "
                + (
                    f"The filament has {branch.hot_ohms / branch.cold_ohms:.0f} times this resistance when it glows"
                    if lamp
                    else "On a.c. most of what limits the current of a motor is not the resistance of its winding"
                )
                + f", so it takes the {branch.watts:g} W of its rating."
            ),
            working=f"Rating: {branch.watts:g} W; cold ohms give no power for a {kind}",
            competences=("C17", "C29"),
        ),
        library,
    )
