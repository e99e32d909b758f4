"""Verdicts on the power of an element, from cold ohms through the alloy's factor to watts."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from probebook.cases.library import Library
from probebook.meters import Conformity, Function, Limit, Meter, Reading, budget, limits, verdict
from probebook.questions.assembling import Form
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Effort, Question
from probebook.questions.owner import for_owner, report
from probebook.questions.scene import sections
from probebook.questions.verdict.assumed import PowerVerdictDraws
from probebook.questions.verdict.build.drawing import drawn_conformity, guard, take
from probebook.questions.verdict.build.judged import Judgement, judged, suffixed
from probebook.questions.verdict.facts.measurement import Measurement, stated
from probebook.questions.verdict.facts.power import PowerFacts, PowerLine, power_facts
from probebook.questions.verdict.slips.power import power_reasons, power_tempts

__all__ = ["build_power_verdict"]

FORM = Form("tolerance", ("C16", "C17", "C30"))


def build_power_verdict(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Power input against the standard, from a cold reading."""
    appliance, words = library.appliance(ask.appliance), library.words
    draws = library.assumptions.get(PowerVerdictDraws)
    wanted = drawn_conformity(ask, library, rng)
    chosen = ask.text("part")
    branch = appliance.branches[appliance.branch(chosen)] if chosen else rng.choice(sections(appliance))
    limit = appliance.region.rule("power-input", watts=branch.watts)
    good = ask.level < draws.pocket_from if wanted is not Conformity.CANNOT_TELL else rng.random() < draws.good_share
    meter = library.meter_for("bench" if good else "pocket")
    volts, factor = appliance.plate.volts, round(branch.hot_ohms / branch.cold_ohms, 3)
    true = volts**2 / _true_watts(draws, limit, wanted, rng) / factor
    reading = take(library, meter, Function.OHMS, true, rng, nulled=meter.can_null)
    measured = _measured(meter, reading, limit, wanted, draws.room, volts=volts, factor=factor)
    facts = power_facts(words, appliance, branch, factor, limit, measured)
    if any(math.isclose(facts.straight, edge, rel_tol=draws.straight_room) for edge in (limit.low, limit.high)):
        raise Unfit("the power reckoned from the cold reading falls on the limit")
    if for_owner(ask):
        line = words.say(PowerLine(facts.part, facts.shown, facts.span, facts.volts), "power")
        facts = replace(facts, report=report(library, appliance, line))
    judgement = Judgement(facts.verdict, power_reasons(facts, draws.no_match), power_tempts(facts))
    keys = _keys(ask, facts)
    effort = Effort(paths=2, steps=4 if facts.leads else 3, unit_changes=1)
    return judged(ask, library, rng, FORM, facts, judgement, effort, keys)


def _keys(ask: Ask, facts: PowerFacts) -> dict[str, str]:
    leads = bool(facts.leads)
    return {"prompt": suffixed(ask, leads=leads), "working": "working-leads" if leads else "working"}


def _true_watts(draws: PowerVerdictDraws, limit: Limit, wanted: Conformity, rng: random.Random) -> float:
    if wanted is Conformity.WITHIN:
        return rng.uniform(limit.low * draws.within[0], limit.high * draws.within[1])
    if wanted is Conformity.OUTSIDE:
        return rng.choice([rng.uniform(*draws.below) * limit.low, rng.uniform(*draws.above) * limit.high])
    return rng.choice([limit.low, limit.high]) * rng.uniform(*draws.about)


def _measured(
    meter: Meter, reading: Reading, limit: Limit, wanted: Conformity, room: float, *, volts: float, factor: float
) -> Measurement:
    """The ohms with their interval and the verdict on the watts; Unfit unless every way to reckon agrees on it."""
    low, high = stated(meter, Function.OHMS, reading)

    def watts(ohms: float) -> float:
        return volts**2 / (factor * ohms)

    middle = watts(reading.value - meter.leads_in(Function.OHMS, nulled=reading.nulled))
    found = verdict(middle, (watts(high), watts(low)), limit)
    guard(found, wanted, room=room)
    wide = limits(meter, Function.OHMS, reading.value, resolution=reading.resolution, nulled=reading.nulled)
    gum = budget(meter, reading, volts, factor_low=factor, factor_high=factor)
    others = (gum.interval, (watts(wide[1]), watts(wide[0])))
    if any(verdict(middle, span, limit).conformity is not wanted for span in others):
        raise Unfit("the accuracy statement, the worst case and the uncertainty budget disagree")
    return Measurement(meter, Function.OHMS, reading, low, high, found)
