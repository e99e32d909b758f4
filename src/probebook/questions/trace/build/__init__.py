"""Trace questions: where current flows, what a break stops, what stands across an open part, which contacts are closed.

Forms (option ``form``; ``position``, ``wire`` and ``part`` narrow the draw where a form uses them):

``heats``
    Which parts carry current in a position; from level 2 the controls in the path are among the options.
``wires``
    Which of some wires carry current in a position.
``break``
    Which parts stop when a wire breaks.
``volts``
    The voltage across an open part, and from level 2 also across a sound part behind an open contact.
``contacts``
    Which switch contacts must be closed for exactly these parts to work.
``symbol``
    What a symbol stands for and what the part does (``part`` names one of ``symbols.toml``).
``colour``, ``drawing``
    What a conductor's colour says, which drawing or data serves (``item`` names one of ``knowhow.toml``).

The key comes from the energised solution at working temperature.
"""

from __future__ import annotations

import random
from collections.abc import Mapping

from probebook.cases.library import Library
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.knowhow import know
from probebook.questions.model import Question
from probebook.questions.trace.build.breaks import build_break
from probebook.questions.trace.build.contacts import build_contacts
from probebook.questions.trace.build.heats import build_heats
from probebook.questions.trace.build.symbols import build_symbol
from probebook.questions.trace.build.volts import build_volts
from probebook.questions.trace.build.wires import build_wires

__all__ = ["FORMS", "build_trace"]

FORMS: Mapping[str, Builder] = {
    "heats": build_heats,
    "wires": build_wires,
    "break": build_break,
    "volts": build_volts,
    "contacts": build_contacts,
    "symbol": build_symbol,
    "colour": know,
    "drawing": know,
}


def build_trace(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a trace question of the form that the request names (``heats`` when it names none)."""
    form = ask.text("form", "heats")
    if form not in FORMS:
        raise Unfit(f"there is no trace question of form '{form}'")
    return FORMS[form](ask, library, rng)
