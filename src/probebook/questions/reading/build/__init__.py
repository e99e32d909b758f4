"""Reading questions: what the meter will show between two points, in a stated state of the appliance.

Forms (option ``form``; ``part``, ``position`` and ``meter`` narrow the draw where a form uses them):

``across``
    A section with one wire lifted; from level 2 in a position in which a parallel path waits when the wire stays on.
``parallel``
    A part with every wire on, in a position in which another path lies beside it. Up to level 2 the ohms of each part
    are given, from level 3 only the ratings of the elements.
``open``
    A fault that opens a path: OL with the wire off (level 1), and from level 2 the number that another path leaves.
``supply-terminals``
    Line to neutral at the incoming terminals; from level 3 the thermostat may be satisfied.
``leads``
    A low resistance with the test leads in the reading: what shows, or what the true value is.
``beeper``
    Whether the continuity beeper sounds on a sound part, and what that says.
``insulation``
    Line to earth at the test voltage with the controls on or off: several insulation paths beside each other.
``lamp``, ``motor``, ``neon``
    What a sound one shows on ohms, cold.
``display``
    The ohms behind a display with a prefix; from level 2 also megohms.
``range``
    A range set by hand: what shows there, and what to do next.
``sign``
    Which kind of fault a reading shows (``fault``: ``open``, ``joint``, ``short``, ``leak`` or ``none``).
``instrument``, ``connect``
    Which instrument or function for a task, and where its leads go (``item`` names one of the knowledge items).
"""

from __future__ import annotations

import random
from collections.abc import Mapping

from probebook.cases.library import Library
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.knowhow import know
from probebook.questions.model import Question
from probebook.questions.reading.build.cold_load import build_cold_load
from probebook.questions.reading.build.display import build_display, build_range
from probebook.questions.reading.build.instrument import build_beeper, build_leads
from probebook.questions.reading.build.insulation import build_insulation
from probebook.questions.reading.build.opened import build_opened
from probebook.questions.reading.build.paths import build_across, build_beside, build_supply
from probebook.questions.reading.build.sign import build_sign

__all__ = ["FORMS", "build_reading"]

FORMS: Mapping[str, Builder] = {
    "across": build_across,
    "parallel": build_beside,
    "open": build_opened,
    "supply-terminals": build_supply,
    "leads": build_leads,
    "beeper": build_beeper,
    "insulation": build_insulation,
    "lamp": build_cold_load,
    "motor": build_cold_load,
    "neon": build_cold_load,
    "display": build_display,
    "range": build_range,
    "sign": build_sign,
    "instrument": know,
    "connect": know,
}


def build_reading(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a reading question of the form that the request names (``across`` when it names none)."""
    form = ask.text("form", "across")
    if form not in FORMS:
        raise Unfit(f"there is no reading question of form '{form}'")
    return FORMS[form](ask, library, rng)
