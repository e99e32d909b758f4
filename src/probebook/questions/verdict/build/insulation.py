"""Verdicts on insulation resistance: a named rule; what another rule would say is a trap."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.meters import Conformity, Function, Limit
from probebook.questions.assembling import Form
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Effort, Question
from probebook.questions.owner import closing, for_owner, report
from probebook.questions.verdict.assumed import InsulationDraws
from probebook.questions.verdict.build.drawing import drawn_conformity, measured, take
from probebook.questions.verdict.build.judged import Judgement, judged
from probebook.questions.verdict.facts.insulation import InsulationFacts, InsulationLine, insulation_facts
from probebook.questions.verdict.slips.insulation import TEMPTS, insulation_reasons

__all__ = ["build_insulation"]

FORM = Form("insulation", ("C35", "C36"))
CLASS_ONE, CLASS_TWO, CONCESSION = "insulation.class-i", "insulation.class-ii", "insulation.heating-element"


def build_insulation(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Insulation resistance of an appliance against the rule that the prompt names."""
    appliance, words = library.appliance(ask.appliance), library.words
    draws = library.assumptions.get(InsulationDraws)
    wanted = drawn_conformity(ask, library, rng)
    role = _role(ask, appliance, wanted, rng)
    limit = appliance.region.rule(role)
    other = appliance.region.rule(CLASS_ONE if role == CONCESSION else CONCESSION)
    true = _true_ohms(draws, limit, wanted, rng)
    if role == CONCESSION:
        if wanted is not Conformity.WITHIN:
            raise Unfit("this tester cannot show less than that rule asks")
        true = rng.uniform(*draws.conceded)
    meter = library.meter_for("insulation")
    reading = take(library, meter, Function.INSULATION, true, rng)
    room = draws.room_across if wanted is Conformity.CANNOT_TELL else draws.room
    facts = insulation_facts(words, appliance, limit, other, measured(meter, reading, limit, wanted, room=room))
    if for_owner(ask):
        facts = _for_owner(library, appliance, facts)
    judgement = Judgement(facts.verdict, insulation_reasons(facts.verdict, owner=for_owner(ask)), TEMPTS)
    keys = {"prompt": "prompt-college"} if role == CLASS_ONE else {}
    if for_owner(ask):
        keys = {"prompt": "prompt-owner", "explanation": "explanation-owner"}
    return judged(ask, library, rng, FORM, facts, judgement, Effort(paths=2, unit_changes=1), keys)


def _role(ask: Ask, appliance: Appliance, wanted: Conformity, rng: random.Random) -> str:
    """The role of the rule: as the plan says (a role, or the id of a limit that has one), or drawn.

    The concession is drawn where the reading keeps to the rule: the tester cannot show less than it asks.
    """
    class_one = appliance.plate.protection.strip().lower() != "class ii"
    named = ask.text("rule")
    if not named:
        drawn = [CLASS_ONE, CONCESSION] if wanted is Conformity.WITHIN else [CLASS_ONE]
        return rng.choice(drawn if class_one else [CLASS_TWO])
    roles = appliance.region.roles
    if named in roles:
        return named
    found = [role for role in (CLASS_ONE, CLASS_TWO, CONCESSION) if roles.get(role) == named]
    if not found:
        raise Unfit(f"no insulation rule '{named}' is in use in {appliance.region.title}")
    return found[0]


def _true_ohms(draws: InsulationDraws, limit: Limit, wanted: Conformity, rng: random.Random) -> float:
    """The true resistance; all three are drawn, whichever is wanted."""
    low, high = draws.within
    within = math.exp(rng.uniform(math.log(low), math.log(high)))
    low, high = draws.outside
    outside = math.exp(rng.uniform(math.log(low), math.log(high)))
    across = rng.uniform(*draws.about)
    times = {Conformity.WITHIN: within, Conformity.OUTSIDE: outside, Conformity.CANNOT_TELL: across}
    return limit.low * times[wanted]


def _for_owner(library: Library, appliance: Appliance, facts: InsulationFacts) -> InsulationFacts:
    """The facts with what an owner is told of the reading and of the verdict."""
    line = library.words.say(InsulationLine(facts.test_volts, facts.shown, facts.least, facts.most), "insulation")
    return replace(facts, report=report(library, appliance, line), closing=closing(library.words, facts.verdict))
