"""What several forms of power question draw: a section, its reading, a position with heating circuits."""

from __future__ import annotations

import random

from probebook.appliances import Appliance, Branch
from probebook.cases.library import Library
from probebook.meters import Function, Reading, read
from probebook.questions.frame import Ask, Unfit
from probebook.questions.power.assumed import PowerDraws
from probebook.questions.power.facts.circuits import heating_in
from probebook.questions.scene import sections

__all__ = ["bench_reading", "drawn_position", "drawn_section", "made", "power_draws"]


def drawn_section(ask: Ask, appliance: Appliance, rng: random.Random) -> Branch:
    """The section that the request names (option ``part``), else any."""
    wanted = ask.text("part")
    return appliance.branches[appliance.branch(wanted)] if wanted else rng.choice(sections(appliance))


def power_draws(library: Library) -> PowerDraws:
    """What power questions draw and accept."""
    return library.assumptions.get(PowerDraws)


def made(library: Library, ohms: float, tolerance: float, rng: random.Random) -> float:
    """The resistance of a part that is made to a tolerance."""
    most = power_draws(library).made
    return ohms * (1 + rng.uniform(-most, most) * tolerance)


def bench_reading(library: Library, ohms: float, *, gain: float = 0.0) -> Reading:
    """What a good multimeter shows of a resistance, its leads nulled; ``gain`` as :func:`probebook.meters.read`."""
    return read(library.meter_for("bench"), Function.OHMS, ohms, gain=gain, nulled=True)


def drawn_position(
    ask: Ask, appliance: Appliance, rng: random.Random, *, at_least: int = 2
) -> tuple[str, dict[str, float]]:
    """A position and the rated watts of its heating circuits, by name; Unfit when no position has so many."""
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    for name in names:
        on = heating_in(appliance, name)
        if len(on) >= at_least:
            return name, on
    raise Unfit(f"no position of the {appliance.title} has {at_least} heating circuits at their rating")
