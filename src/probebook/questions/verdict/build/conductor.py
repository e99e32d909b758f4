"""Verdicts on a coil of cable against the greatest resistance of IEC 60228."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.meters import Conformity, Function
from probebook.questions.assembling import Form
from probebook.questions.frame import Ask
from probebook.questions.model import Effort, Question
from probebook.questions.verdict.assumed import ConductorDraws
from probebook.questions.verdict.build.drawing import drawn_conformity, measured, take
from probebook.questions.verdict.build.judged import Judgement, judged
from probebook.questions.verdict.facts.conductor import Coil, conductor_facts
from probebook.questions.verdict.slips.conductor import conductor_reasons, conductor_tempts

__all__ = ["build_conductor"]

FORM = Form("tolerance", ("C14", "C16"))
SQUARE_MILLIMETRE = 1e-6


def build_conductor(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A coil of cable: which area and class it is sold as, and what it reads."""
    draws = library.assumptions.get(ConductorDraws)
    wanted = drawn_conformity(ask, library, rng)
    flexible = rng.random() < 0.5
    area = rng.choice(draws.areas) * SQUARE_MILLIMETRE
    coil = Coil(rng.choice(draws.lengths), area, flexible, loop=ask.level >= draws.loop_from)
    limit = library.region.rule(coil.roles[0], area=coil.area, length=coil.length)
    shares = {
        Conformity.WITHIN: draws.within,
        Conformity.OUTSIDE: draws.outside,
        Conformity.CANNOT_TELL: draws.about,
    }
    share, times = rng.uniform(*shares[wanted]), 2.0 if coil.loop else 1.0
    meter = library.meter_for("insulation")
    reading = take(library, meter, Function.CONTINUITY, limit.high * share * times, rng, nulled=True)
    found = measured(meter, reading, limit, wanted, room=draws.room, times=times)
    facts = conductor_facts(library.words, library.region, coil, found)
    reasons = conductor_reasons(facts.verdict, loop=coil.loop)
    judgement = Judgement(facts.verdict, reasons, conductor_tempts(facts.verdict, loop=coil.loop))
    keys = {key: f"{key}-loop" for key in ("prompt", "explanation", "working")} if coil.loop else {}
    effort = Effort(paths=2, steps=3 if coil.loop else 2, unit_changes=1)
    return judged(ask, library, rng, FORM, facts, judgement, effort, keys)
