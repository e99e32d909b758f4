"""Power questions: watts from ohms, ohms from the plate, amperes, totals and shares.

The exemplar of a question builder: draw, work out the key with the core, let each slip work out its own number, explain
with the case's own figures.

Forms (option ``form``; ``part`` names a section such as ``E2.heater`` and ``position`` a position where a form uses
them):

``watts``, ``ohms``, ``amps``
    From a reading, or from the rating plate.
``total``
    The watts of a position; from level 3 from hot ohms.
``share``
    Per cent of the heat left with one element open.
``other-voltage``
    The power of a section at a voltage that is not the rated one.
``branch-amps``
    The current of one of two unequal branches, and of its return.
``series``
    Sections one after the other, as a seven-heat switch joins them, or by mistake.
``hot-cold``
    Hot watts from a cold reading and the alloy's factor.
``lamp``, ``motor``
    The trap: cold ohms that give no watts.
``leakage``
    The current that poor insulation lets through to earth, and what a residual-current device makes of it.
``earth-fault``
    Line on earthed metal: the current with a good or a poor earth joint, and what the breaker does.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.cases.library import Library
from probebook.meters import Function, Reading, read
from probebook.questions import power_single, power_sums
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Builder, Unfit, WrongNumber, quantity_field
from probebook.questions.model import Question
from probebook.questions.owner import for_owner, report
from probebook.questions.power_earth import earth_fault, leakage
from probebook.unit_format import format_quantity

__all__ = ["FORMS", "build_power"]

#: Voltages between which learners slip: the nominal one and the older one still quoted in the trade.
NOMINAL, OLDER = 230.0, 240.0


def build_power(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a power question of the form that the request names (``watts`` when it names none)."""
    form = ask.text("form", "watts")
    if form not in FORMS:
        raise Unfit(f"there is no power question of form '{form}'")
    return FORMS[form](ask, library, rng)


def _section(ask: Ask, appliance: Appliance, rng: random.Random) -> Branch:
    sections = [b for b in appliance.branches if b.kind is BranchKind.ELEMENT]
    wanted = ask.text("part")
    return appliance.branches[appliance.branch(wanted)] if wanted else rng.choice(sections)


def _reading(library: Library, branch: Branch, rng: random.Random) -> Reading:
    made = branch.hot_ohms * (1 + rng.uniform(-0.6, 0.6) * branch.tolerance)
    return read(library.meter("bench-multimeter"), Function.OHMS, made, gain=rng.uniform(-1, 1), nulled=True)


def _watts(ask: Ask, library: Library, rng: random.Random) -> Question:
    appliance = library.appliance(ask.appliance)
    branch = _section(ask, appliance, rng)
    name = sc.name(appliance, branch)
    shown = _reading(library, branch, rng)
    volts, ohms = appliance.supply.volts, shown.value
    other = OLDER if volts == NOMINAL else NOMINAL
    watts = volts**2 / ohms
    target = quantity_field("watts", "Power", "W", watts, tolerance=0.01 + 0.5 * shown.resolution / ohms)
    v, r = f"{volts:g} V", shown.display
    slips = sc.fitting_slips(
        library,
        target,
        [
            WrongNumber(
                "amps-for-watts",
                volts / ohms,
                f"{v} ÷ {r} = {format_quantity(volts / ohms, 'A')} is the current, not the power.",
            ),
            WrongNumber("volts-times-ohms", volts * ohms, f"{v} × {r} is not a power."),
            WrongNumber(
                "wrong-voltage",
                other**2 / ohms,
                f"That is the power at {other:g} V; this supply is {v}.",
                marks=1.0,
            ),
        ],
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="power",
            level=ask.level,
            title="Watts from ohms",
            prompt=(
                (
                    report(library, appliance, f"{name}, one wire off: {r}.")
                    if for_owner(ask)
                    else f"With one wire lifted, the {name} of the {appliance.title} reads **{r}** (leads nulled)."
                )
                + f" The supply is {v}. What power would it take, going by this reading?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"Power is volts squared over ohms: {volts:g}² ÷ {ohms:.4g} = {watts:.0f} W. The plate says "
                f"{sc.watts(branch.watts)}, so they agree within {math.ceil(abs(watts / branch.watts - 1) * 100)} %. "
                "An element has a little less resistance cold than hot, and it is made to a tolerance, so exact "
                "agreement is not to be expected."
            ),
            working=f"P = V² ÷ R = {volts:g} × {volts:g} ÷ {ohms:.4g} = {watts:.0f} W",
            competences=("C16", "C17"),
        ),
        library,
    )


def _ohms(ask: Ask, library: Library, rng: random.Random) -> Question:
    appliance = library.appliance(ask.appliance)
    branch = _section(ask, appliance, rng)
    name = sc.name(appliance, branch)
    volts, watts = appliance.plate.volts, branch.watts
    other = OLDER if volts == NOMINAL else NOMINAL
    ohms = volts**2 / watts
    w = sc.watts(watts)
    target = quantity_field("ohms", "Resistance", "ohm", ohms, tolerance=0.02)
    slips = sc.fitting_slips(
        library,
        target,
        [
            WrongNumber(
                "watts-over-volts",
                watts / volts,
                f"{w} ÷ {volts:g} V = {format_quantity(watts / volts, 'A')} is the current.",
            ),
            WrongNumber("upside-down", watts / volts**2, f"{watts:g} ÷ {volts:g}² is the wrong way up."),
            WrongNumber("wrong-voltage", other**2 / watts, f"That is for {other:g} V, not {volts:g} V.", 1.0),
        ],
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="power",
            level=ask.level,
            title="Ohms from the plate",
            prompt=(
                f"The {name} of the {appliance.title} is rated **{w}** at **{volts:g} V**. What resistance should it "
                "have at working temperature?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"Resistance is volts squared over watts: {volts:g}² ÷ {watts:g} = {ohms:.3g} Ω hot. "
                f"Cold, this one would read about {branch.cold_ohms:.3g} Ω, and the making tolerance is "
                f"±{branch.tolerance * 100:.0f} %."
            ),
            working=f"R = V² ÷ P = {volts:g} × {volts:g} ÷ {watts:g} = {ohms:.3g} Ω",
            competences=("C16", "C17"),
        ),
        library,
    )


def _amps(ask: Ask, library: Library, rng: random.Random) -> Question:
    appliance = library.appliance(ask.appliance)
    branch = _section(ask, appliance, rng)
    name = sc.name(appliance, branch)
    shown = _reading(library, branch, rng)
    volts, ohms = appliance.supply.volts, shown.value
    amps = volts / ohms
    target = quantity_field("amps", "Current", "A", amps, tolerance=0.015)
    slips = sc.fitting_slips(
        library,
        target,
        [
            WrongNumber("watts-for-amps", volts**2 / ohms, "That figure is the power in watts, not the current."),
            WrongNumber("volts-times-ohms", volts * ohms, f"{volts:g} V × {shown.display} is not a current."),
            WrongNumber("upside-down", ohms / volts, "That is ohms divided by volts."),
        ],
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="power",
            level=ask.level,
            title="Amperes from ohms",
            prompt=(
                (
                    report(library, appliance, f"{name}, one wire off: {shown.display}.")
                    if for_owner(ask)
                    else f"With one wire lifted, the {name} of the {appliance.title} reads **{shown.display}** "
                    "(leads nulled)."
                )
                + f" What current will it take from {volts:g} V, going by this reading?"
            ),
            fields=(target,),
            slips=slips,
            explanation=f"Current is volts over ohms: {volts:g} ÷ {ohms:.4g} = {amps:.3g} A.",
            working=f"I = V ÷ R = {volts:g} ÷ {ohms:.4g} = {amps:.3g} A",
            competences=("C16", "C17"),
        ),
        library,
    )


FORMS: Mapping[str, Builder] = {
    "watts": _watts,
    "ohms": _ohms,
    "amps": _amps,
    "total": power_sums.total,
    "share": power_sums.share,
    "other-voltage": power_single.other_voltage,
    "branch-amps": power_sums.branch_amps,
    "series": power_sums.series,
    "hot-cold": power_single.hot_cold,
    "lamp": power_single.no_element,
    "motor": power_single.no_element,
    "leakage": leakage,
    "earth-fault": earth_fault,
}
