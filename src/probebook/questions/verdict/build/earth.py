"""Verdicts on earth continuity: 0.1 Ω, plus the resistance of the supply lead where the rule adds it."""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.meters import Conformity, Function, Limit
from probebook.questions.assembling import Form
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Effort, Question
from probebook.questions.owner import closing, for_owner, report
from probebook.questions.verdict.assumed import EarthDraws
from probebook.questions.verdict.build.drawing import drawn_conformity, measured, take
from probebook.questions.verdict.build.judged import Judgement, judged, suffixed
from probebook.questions.verdict.facts.earth import Cord, EarthFacts, EarthLine, cord_of, earth_facts
from probebook.questions.verdict.slips.earth import earth_reasons, earth_tempts

__all__ = ["build_earth"]

NULLED = Form("reconnect", ("C33", "C34", "C36"))
WITH_LEADS = Form("reconnect", ("C14", "C34", "C36"))


def build_earth(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Earth continuity of an appliance."""
    appliance = library.appliance(ask.appliance)
    if not any(w.is_earth for w in appliance.wires):
        raise Unfit(f"the {appliance.title} has no earth bond")
    owner, draws = for_owner(ask), library.assumptions.get(EarthDraws)
    wanted = drawn_conformity(ask, library, rng)
    cord = cord_of(appliance)
    limit = _limit(appliance, cord)
    nulled = ask.level < draws.leads_from or owner or rng.random() < draws.nulled_share
    meter = replace(library.meter_for("insulation"), lead_ohms=round(rng.uniform(*draws.leads), 2))
    reading = take(library, meter, Function.CONTINUITY, _true_ohms(draws, limit, wanted, rng), rng, nulled=nulled)
    found = measured(meter, reading, limit, wanted, room=draws.room)
    facts = earth_facts(library.words, appliance, cord, limit, found)
    if owner:
        facts = _for_owner(library, appliance, facts, cord)
    reasons = earth_reasons(facts.verdict, owner=owner, nulled=nulled, cord=cord is not None)
    judgement = Judgement(facts.verdict, reasons, earth_tempts(facts.verdict, nulled=nulled))
    keys = {
        "prompt": suffixed(ask, leads=not nulled, key="prompt-plug" if cord else "prompt"),
        "explanation": suffixed(ask, leads=not nulled, key="explanation"),
        "working": "working" if nulled else "working-leads",
    }
    form = NULLED if nulled else WITH_LEADS
    return judged(ask, library, rng, form, facts, judgement, Effort(paths=2, steps=2), keys)


def _limit(appliance: Appliance, cord: Cord | None) -> Limit:
    """What the rule allows, the supply lead added where the path leads through it."""
    if cord is None:
        return appliance.region.rule("earth.metalwork")
    return appliance.region.rule("earth.through-lead", lead_ohms=cord.ohms)


def _true_ohms(draws: EarthDraws, limit: Limit, wanted: Conformity, rng: random.Random) -> float:
    if wanted is Conformity.WITHIN:
        return rng.uniform(draws.least, limit.high - draws.below)
    return limit.high + rng.uniform(*(draws.above if wanted is Conformity.OUTSIDE else draws.about))


def _for_owner(library: Library, appliance: Appliance, facts: EarthFacts, cord: Cord | None) -> EarthFacts:
    """The facts with what an owner is told of the reading and of the verdict."""
    line = EarthLine(facts.metal, facts.path, facts.least, facts.most)
    said = library.words.say(line, "earth-plug" if cord else "earth-terminal")
    return replace(facts, report=report(library, appliance, said), closing=closing(library.words, facts.verdict))
