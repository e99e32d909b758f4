"""Verdict questions: within what a named rule allows, outside it, or not to be told; and why.

Forms (option ``form``; ``verdict`` = ``within``, ``outside`` or ``cannot`` fixes the key, else it is drawn,
'cannot' from the level that the assumptions name; ``part`` and ``rule`` narrow the draw where a form uses them):

``power``
    Cold ohms to hot watts against IEC 60335-1, clause 10.1.
``insulation``
    Insulation resistance against a named rule; ``rule`` is its role in the region, such as ``insulation.class-i``.
``earth``
    Earth continuity, 0.1 Ω and the supply lead; from level 2 the test leads may be in the reading.
``conductor``
    A coil of cable against IEC 60228; from level 2 measured out and back.
``supply``
    The supply voltage against the limits of the region.
``calibration``
    A meter against a known resistor and its own accuracy statement.
"""

from __future__ import annotations

import random
from collections.abc import Mapping

from probebook.cases.library import Library
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.model import Question
from probebook.questions.verdict.build.calibration import build_calibration
from probebook.questions.verdict.build.conductor import build_conductor
from probebook.questions.verdict.build.earth import build_earth
from probebook.questions.verdict.build.insulation import build_insulation
from probebook.questions.verdict.build.power import build_power_verdict
from probebook.questions.verdict.build.supply import build_supply

__all__ = ["FORMS", "build_verdict"]

FORMS: Mapping[str, Builder] = {
    "power": build_power_verdict,
    "insulation": build_insulation,
    "earth": build_earth,
    "conductor": build_conductor,
    "supply": build_supply,
    "calibration": build_calibration,
}


def build_verdict(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a verdict question of the form that the request names (``power`` when it names none)."""
    form = ask.text("form", "power")
    if form not in FORMS:
        raise Unfit(f"there is no verdict question of form '{form}'")
    return FORMS[form](ask, library, rng)
