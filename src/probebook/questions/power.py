"""Power questions: watts from ohms, ohms from the plate, amperes, the heat of a position, another supply voltage.

Every figure is that of an appliance in the library: its rating, or what a meter shows on an element made within its
tolerance. The tolerance of the key comes from the figures given.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.cases.library import Library
from probebook.meters import Function, Reading, read
from probebook.questions.frame import Ask, Unfit, WrongNumber, numeric_slips, quantity_field
from probebook.questions.model import Question
from probebook.unit_format import format_quantity

__all__ = ["build_power"]

#: Voltages between which learners slip: the nominal one and the older one still quoted in the trade.
NOMINAL, OLDER = 230.0, 240.0


def build_power(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a power question.

    Options of the plan: ``form`` (``watts``, ``ohms``, ``amps``) and ``part`` (a section such as ``E2.heater``).
    """
    form = ask.text("form", "watts")
    if form not in _FORMS:
        raise Unfit(f"there is no power question of form '{form}'")
    return _FORMS[form](ask, library, rng)


def _section(ask: Ask, appliance: Appliance, rng: random.Random) -> Branch:
    sections = [b for b in appliance.branches if b.kind is BranchKind.ELEMENT]
    wanted = ask.text("part")
    return appliance.branches[appliance.branch(wanted)] if wanted else rng.choice(sections)


def _reading(library: Library, branch: Branch, rng: random.Random) -> Reading:
    made = branch.hot_ohms * (1 + rng.uniform(-0.6, 0.6) * branch.tolerance)
    return read(library.meter("bench-multimeter"), Function.OHMS, made, gain=rng.uniform(-1, 1), nulled=True)


def _name(appliance: Appliance, branch: Branch) -> str:
    part = appliance.part(branch.part)
    if sum(b.kind is BranchKind.ELEMENT for b in appliance.branches if b.part == branch.part) == 1:
        return part.title
    return f"{branch.name.split('.')[1]} circuit of the {part.title}"


def _watts(ask: Ask, library: Library, rng: random.Random) -> Question:
    appliance = library.appliance(ask.appliance)
    branch = _section(ask, appliance, rng)
    name = _name(appliance, branch)
    shown = _reading(library, branch, rng)
    volts, ohms = appliance.supply.volts, shown.value
    other = OLDER if volts == NOMINAL else NOMINAL
    watts = volts**2 / ohms
    target = quantity_field("watts", "Power", "W", watts, tolerance=0.01 + 0.5 * shown.resolution / ohms)
    v, r = f"{volts:g} V", shown.display
    slips = numeric_slips(
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
    return Question(
        id=ask.id,
        kind=ask.kind,
        outcome="power",
        level=ask.level,
        title="Watts from ohms",
        prompt=(
            f"With one wire lifted, the {name} of the {appliance.title} reads **{r}** (leads nulled). "
            f"The supply is {v}. What power would it take, going by this reading?"
        ),
        fields=(target,),
        slips=slips,
        explanation=(
            f"Power is volts squared over ohms: {volts:g}² ÷ {ohms:.4g} = {watts:.0f} W. The plate says "
            f"{format_quantity(branch.watts, 'W', 3, prefix=False)}, so they agree to "
            f"{abs(watts / branch.watts - 1) * 100:.0f} %. An element is a little lower in resistance cold than hot, "
            "and it is made to a tolerance, so exact agreement is not to be expected."
        ),
        working=f"P = V² ÷ R = {volts:g} × {volts:g} ÷ {ohms:.4g} = {watts:.1f} W",
        competences=("C16", "C17"),
    )


def _ohms(ask: Ask, library: Library, rng: random.Random) -> Question:
    appliance = library.appliance(ask.appliance)
    branch = _section(ask, appliance, rng)
    name = _name(appliance, branch)
    volts, watts = appliance.plate.volts, branch.watts
    other = OLDER if volts == NOMINAL else NOMINAL
    ohms = volts**2 / watts
    w = format_quantity(watts, "W", 4, prefix=False)
    target = quantity_field("ohms", "Resistance", "ohm", ohms, tolerance=0.02)
    slips = numeric_slips(
        library,
        target,
        [
            WrongNumber(
                "amps-for-watts",
                watts / volts,
                f"{w} ÷ {volts:g} V = {format_quantity(watts / volts, 'A')} is the current; divide the volts by that.",
            ),
            WrongNumber("volts-times-ohms", watts * volts, f"{w} × {volts:g} V is not a resistance."),
            WrongNumber("wrong-voltage", other**2 / watts, f"That is for {other:g} V, not {volts:g} V.", 1.0),
        ],
    )
    return Question(
        id=ask.id,
        kind=ask.kind,
        outcome="power",
        level=ask.level,
        title="Ohms from the plate",
        prompt=(
            f"The {name} of the {appliance.title} is rated **{w}** at **{volts:g} V**. About what resistance should it "
            "have?"
        ),
        fields=(target,),
        slips=slips,
        explanation=(
            f"Resistance is volts squared over watts: {volts:g}² ÷ {watts:g} = {ohms:.4g} Ω at working temperature. "
            f"Cold, this one would read about {branch.cold_ohms:.3g} Ω, and the making tolerance is "
            f"±{branch.tolerance * 100:.0f} %."
        ),
        working=f"R = V² ÷ P = {volts:g} × {volts:g} ÷ {watts:g} = {ohms:.4g} Ω",
        competences=("C16", "C17"),
    )


def _amps(ask: Ask, library: Library, rng: random.Random) -> Question:
    appliance = library.appliance(ask.appliance)
    branch = _section(ask, appliance, rng)
    name = _name(appliance, branch)
    shown = _reading(library, branch, rng)
    volts, ohms = appliance.supply.volts, shown.value
    amps = volts / ohms
    target = quantity_field("amps", "Current", "A", amps, tolerance=0.015)
    slips = numeric_slips(
        library,
        target,
        [
            WrongNumber("amps-for-watts", volts**2 / ohms, "That figure is the power in watts, not the current.", 0.0),
            WrongNumber("volts-times-ohms", volts * ohms, f"{volts:g} V × {shown.display} is not a current."),
            WrongNumber("upside-down", ohms / volts, "That is ohms divided by volts."),
        ],
    )
    return Question(
        id=ask.id,
        kind=ask.kind,
        outcome="power",
        level=ask.level,
        title="Amperes from ohms",
        prompt=f"The {name} reads **{shown.display}** by itself. What current will it take from {volts:g} V?",
        fields=(target,),
        slips=slips,
        explanation=f"Current is volts over ohms: {volts:g} ÷ {ohms:.4g} = {amps:.3g} A.",
        working=f"I = V ÷ R = {volts:g} ÷ {ohms:.4g} = {amps:.3g} A",
        competences=("C16", "C17"),
    )


_FORMS: Mapping[str, Callable[[Ask, Library, random.Random], Question]] = {
    "watts": _watts,
    "ohms": _ohms,
    "amps": _amps,
}
