"""Power questions: watts from ohms, ohms from the plate, amperes, totals and shares.

The exemplar of a question builder: draw, let the facts be worked out by the core, let each slip work out its own
number, and say it all from the text ``questions/power.toml``.

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

import random
from collections.abc import Mapping

from probebook.cases.library import Library
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.model import Question
from probebook.questions.power.build.earth import build_earth_fault, build_leakage
from probebook.questions.power.build.element import build_amps, build_ohms, build_watts
from probebook.questions.power.build.series import build_series
from probebook.questions.power.build.several import build_branch_amps, build_share, build_total
from probebook.questions.power.build.single import build_hot_cold, build_no_element, build_other_voltage

__all__ = ["FORMS", "build_power"]

FORMS: Mapping[str, Builder] = {
    "watts": build_watts,
    "ohms": build_ohms,
    "amps": build_amps,
    "total": build_total,
    "share": build_share,
    "other-voltage": build_other_voltage,
    "branch-amps": build_branch_amps,
    "series": build_series,
    "hot-cold": build_hot_cold,
    "lamp": build_no_element,
    "motor": build_no_element,
    "leakage": build_leakage,
    "earth-fault": build_earth_fault,
}


def build_power(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a power question of the form that the request names (``watts`` when it names none)."""
    form = ask.text("form", "watts")
    if form not in FORMS:
        raise Unfit(f"there is no power question of form '{form}'")
    return FORMS[form](ask, library, rng)
