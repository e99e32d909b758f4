"""Verdicts on the supply voltage, against the limits of the region."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.meters import Conformity, Function, Limit
from probebook.questions.assembling import Form
from probebook.questions.frame import Ask
from probebook.questions.model import Effort, Question
from probebook.questions.verdict.assumed import SupplyDraws
from probebook.questions.verdict.build.drawing import drawn_conformity, measured, take
from probebook.questions.verdict.build.judged import Judgement, judged
from probebook.questions.verdict.facts.supply import supply_facts
from probebook.questions.verdict.slips.supply import supply_reasons, supply_tempts

__all__ = ["build_supply"]

FORM = Form("tolerance", ("C14", "C18"))
NOW, BEFORE = "supply.now", "supply.before"


def build_supply(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The supply voltage where an appliance is connected."""
    appliance, region = library.appliance(ask.appliance), library.region
    limit = region.rule(NOW)
    draws = library.assumptions.get(SupplyDraws)
    wanted = drawn_conformity(ask, library, rng)
    meter = library.meter_for("bench")
    reading = take(library, meter, Function.AC_VOLTS, _true_volts(draws, limit, wanted, rng), rng)
    older = region.rule(BEFORE) if region.has(BEFORE) else None
    found = measured(meter, reading, limit, wanted, room=draws.room)
    facts = supply_facts(library.words, appliance, limit, older, found)
    reasons = supply_reasons(facts.verdict, older=older is not None)
    judgement = Judgement(facts.verdict, reasons, supply_tempts(facts.verdict))
    return judged(ask, library, rng, FORM, facts, judgement, Effort(paths=2, steps=2), {})


def _true_volts(draws: SupplyDraws, limit: Limit, wanted: Conformity, rng: random.Random) -> float:
    low, high = limit.low, limit.high
    if wanted is Conformity.WITHIN:
        return rng.uniform(low + draws.within[0], high + draws.within[1])
    spans = (draws.below, draws.above) if wanted is Conformity.OUTSIDE else (draws.about, draws.about)
    return rng.choice([edge + rng.uniform(*span) for edge, span in zip((low, high), spans, strict=True)])
