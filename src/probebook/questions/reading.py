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
    Line to earth at 500 V with the controls on or off: several insulation paths beside each other.
``lamp``, ``motor``, ``neon``
    What a sound one shows on ohms, cold.
``display``
    The ohms behind a display with a prefix; from level 2 also megohms.
``range``
    A range set by hand: what shows there, and what to do next.
``sign``
    Which kind of fault a reading shows (``fault``: ``open``, ``joint``, ``short``, ``leak`` or ``none``).
``instrument``, ``connect``
    Which instrument or function for a task, and where its leads go (``item`` names one of ``knowhow.toml``).
"""

from __future__ import annotations

import random
from collections.abc import Mapping

from probebook.cases.library import Library
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.knowhow import know
from probebook.questions.model import Question
from probebook.questions.reading_display import display, ranges
from probebook.questions.reading_open import opened
from probebook.questions.reading_paths import across, beside, supply_terminals
from probebook.questions.reading_sign import sign
from probebook.questions.reading_special import beeper, cold_load, insulation, leads

__all__ = ["FORMS", "build_reading"]

FORMS: Mapping[str, Builder] = {
    "across": across,
    "parallel": beside,
    "open": opened,
    "supply-terminals": supply_terminals,
    "leads": leads,
    "beeper": beeper,
    "insulation": insulation,
    "lamp": cold_load,
    "motor": cold_load,
    "neon": cold_load,
    "display": display,
    "range": ranges,
    "sign": sign,
    "instrument": know,
    "connect": know,
}


def build_reading(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a reading question of the form that the request names (``across`` when it names none)."""
    form = ask.text("form", "across")
    if form not in FORMS:
        raise Unfit(f"there is no reading question of form '{form}'")
    return FORMS[form](ask, library, rng)
