"""Verdict questions: within what a named rule allows, outside it, or not to be told; and why.

Forms (option ``form``; ``verdict`` = ``within``, ``outside`` or ``cannot`` fixes the key, else 'cannot' comes from
level 3 only; ``part`` and ``rule`` narrow the draw where a form uses them):

``power``
    Cold ohms to hot watts against IEC 60335-1, clause 10.1.
``insulation``
    Insulation resistance against a named rule of ``limits.toml``.
``earth``
    Earth continuity, 0.1 Ω and the supply lead; from level 2 the test leads may be in the reading.
``conductor``
    A coil of cable against IEC 60228; from level 2 measured out and back.
``supply``
    The supply voltage against the limits of Great Britain.
``calibration``
    A meter against a known resistor and its own accuracy statement.
"""

from __future__ import annotations

import random
from collections.abc import Mapping

from probebook.cases.library import Library
from probebook.questions import verdict_power, verdict_safety
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.model import Question

__all__ = ["FORMS", "build_verdict"]

FORMS: Mapping[str, Builder] = {
    "power": verdict_power.power,
    "insulation": verdict_safety.insulation,
    "earth": verdict_safety.earth,
    "conductor": verdict_power.conductor,
    "supply": verdict_safety.supply,
    "calibration": verdict_power.calibration,
}


def build_verdict(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a verdict question of the form that the request names (``power`` when it names none)."""
    form = ask.text("form", "power")
    if form not in FORMS:
        raise Unfit(f"there is no verdict question of form '{form}'")
    return FORMS[form](ask, library, rng)
