"""Curve questions: what a heat-up record shows, and what it says of the appliance.

The record is that of the heating model with the power the faulty circuit gives. Each is read first (the temperature it
holds, the time to a temperature, the period of its cycles) and, from level 2 on, judged.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.heating.installed import heated
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.curve.build.reading import READINGS
from probebook.questions.curve.build.verdict import verdict_field
from probebook.questions.curve.facts.assumed import CurveLimits
from probebook.questions.curve.facts.judging import Says, candidates, judge
from probebook.questions.curve.facts.presenting import record_picture, record_table, record_taken
from probebook.questions.curve.facts.reading import SUITS, Presented
from probebook.questions.curve.facts.record import HeatUp, Setting, heat_up
from probebook.questions.curve.facts.verdict import because, verdict_facts
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Effort, Question
from probebook.questions.owner import for_owner
from probebook.questions.scene import fitting_slips
from probebook.words import Phrase

__all__ = ["build_curve"]

READ_ONLY = Form("controls", ("C24", "C31", "C42"))
JUDGED = Form("conclude", ("C18", "C24", "C31", "C32", "C42"))


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a record: how it is read, and what it says where that is asked too."""

    shown: HeatUp
    form: str
    says: Says | None


def build_curve(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a curve question.

    Options of the plan: ``form`` (``plateau``, ``time`` or ``period``: what is read), ``position``, ``fault`` (an id,
    or ``none``) and ``judge`` (false: read only). With a case its appliance and faults are used.
    """
    limits = library.assumptions.get(CurveLimits)
    appliance = library.appliance(ask.case.appliance if ask.case else ask.appliance)
    if not heated(appliance):
        raise Unfit(f"the file of the {appliance.title} does not describe what it heats")
    position = ask.text("position") or rng.choice(_positions(appliance, limits))
    setting = Setting(appliance, position, _set_point(appliance, limits, rng), float(rng.randint(17, 23)))
    shown = heat_up(setting, _faults(ask, setting, limits, rng))
    is_judged = bool(ask.options.get("judge", ask.level >= limits.judged_from))
    says = judge(shown, limits) if is_judged else None
    if is_judged and says is None:
        raise Unfit("what is wrong does not show in a heat-up record")
    suited = [name for name, suits in SUITS.items() if suits(shown, limits)]
    form = ask.text("form") or rng.choice(suited or ["plateau"])
    if form not in suited:
        raise Unfit(f"this record does not suit the form '{form}'")
    return _question(ask, library, rng, Asked(shown, form, says), limits)


def _positions(appliance: Appliance, limits: CurveLimits) -> list[str]:
    """Positions in which a sound appliance soon gets where it is meant to get: to its setting, or to the boil."""
    found = []
    for position in appliance.positions:
        places = {b.place for b in appliance.branches if b.place and b.name in position.heats}
        if places and position.duty >= 1.0:
            shown = heat_up(Setting(appliance, position.name, None, 20.0), ())
            if not places <= set(shown.heating.watts):
                continue  # two cavities at once: one record and one current do not belong together
            facts = shown.facts
            reached = facts.time_to_set_point if facts.set_point is not None else facts.boils_at
            if reached is not None and reached < limits.soon * float(shown.record.times[-1]):
                found.append(position.name)
    if not found:
        raise Unfit(f"no position of the {appliance.title} gets to a temperature that can be read")
    return found


def _set_point(appliance: Appliance, limits: CurveLimits, rng: random.Random) -> float | None:
    model = str(dict(appliance.heat).get("model", dict(appliance.heat).get("main_model", "")))
    return rng.choice(limits.oven_settings) if model.endswith("oven") else None


def _faults(ask: Ask, setting: Setting, limits: CurveLimits, rng: random.Random) -> tuple[str, ...]:
    if ask.case is not None:
        return ask.case.truth
    wanted = ask.text("fault")
    if wanted:
        return () if wanted == "none" else (wanted,)
    if ask.level < limits.judged_from and rng.random() < 0.5:
        return ()
    found = candidates(setting, limits)
    return rng.choice(found[rng.choice(sorted(found))])


def _question(ask: Ask, library: Library, rng: random.Random, asked: Asked, limits: CurveLimits) -> Question:
    words, shown, says = library.words, asked.shown, asked.says
    usual = ask.level < limits.worked_out_from
    taken = record_taken(words, shown, usual=usual, owner=for_owner(ask))
    told, judged = Presented(taken, record_table(words, shown.record)), None
    if says is not None:
        judged = verdict_facts(words, shown, limits)
        why = words.say(judged, because(shown, says, limits))
        then = words.say(judged, "then")
        told = Presented(taken, told.table, Phrase(f" {then}"), Phrase(f" {why}"), Phrase(f"\n\n{why}"))
    read = READINGS[asked.form](words, shown, told, limits)
    fields, slips = [read.field], list(fitting_slips(library, read.field, read.wrong, least=2 if judged else 3))
    if says is not None and judged is not None:
        field, more = verdict_field(library, shown, says, judged, rng)
        fields.append(field)
        slips += more
    if len(slips) < 3:
        raise Unfit(f"only {len(slips)} slips apply here, 3 are wanted")
    heaters = sum(power > 0 for power in shown.sound_heating.watts.values())
    picture = record_picture(words, shown, f"{ask.id}-heat-up")
    parts = Parts(tuple(fields), tuple(slips), Effort(heaters, 2 if judged else 1), (picture,))
    keys = {**read.keys, **({"title": "title-judged"} if judged else {})}
    return assemble(ask, library, JUDGED if judged else READ_ONLY, read.facts, parts, keys=keys)
