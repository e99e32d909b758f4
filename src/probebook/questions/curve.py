"""Curve questions: what a heat-up record shows, and what it says of the appliance.

The record is that of the heating model with the power the faulty circuit gives. Each is read first (the temperature it
holds, the time to a temperature, the period of its cycles) and, from level 2 on, judged.
"""

from __future__ import annotations

import random

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.heating.facts import describe
from probebook.heating.installed import heated
from probebook.questions.curve_reading import FORMS, Form
from probebook.questions.curve_record import (
    Setting,
    Sheet,
    picture,
    sheet,
    table,
    words,
)
from probebook.questions.curve_verdict import Verdict, candidates, judge, verdict_field
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Question
from probebook.questions.owner import for_owner
from probebook.questions.scene import fitting_slips

__all__ = ["build_curve"]

#: From this level on the record is judged as well as read.
JUDGED_FROM = 2
#: From this level on the current of a sound appliance has to be worked out from the ratings.
WORKED_OUT_FROM = 3
#: What a knob may be set to for a record of an oven, °C.
OVEN_SETTINGS = (160.0, 170.0, 180.0, 190.0, 200.0, 210.0, 220.0)
#: A sound appliance comes to its setting within this share of the record.
SOON = 0.65


def build_curve(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a curve question.

    Options of the plan: ``form`` (``plateau``, ``time`` or ``period``: what is read), ``position``, ``fault`` (an id,
    or ``none``) and ``judge`` (false: read only). With a case its appliance and faults are used.
    """
    appliance = library.appliance(ask.case.appliance if ask.case else ask.appliance)
    if not heated(appliance):
        raise Unfit(f"the file of the {appliance.title} does not describe what it heats")
    position = ask.text("position") or rng.choice(_positions(appliance))
    setting = Setting(appliance, position, _set_point(appliance, rng), float(rng.randint(17, 23)))
    shown = sheet(setting, _faults(ask, setting, rng))
    is_judged = bool(ask.options.get("judge", ask.level >= JUDGED_FROM))
    verdict = judge(shown)
    if is_judged and verdict is None:
        raise Unfit("what is wrong does not show in a heat-up record")
    form = ask.text("form") or rng.choice([name for name in FORMS if FORMS[name].suits(shown)] or ["plateau"])
    if form not in FORMS or not FORMS[form].suits(shown):
        raise Unfit(f"this record does not suit the form '{form}'")
    return _question(ask, library, rng, shown, FORMS[form], verdict if is_judged else None)


def _positions(appliance: Appliance) -> list[str]:
    """Positions in which a sound appliance soon gets where it is meant to get: to its setting, or to the boil."""
    found = []
    for position in appliance.positions:
        places = {b.place for b in appliance.branches if b.place and b.name in position.heats}
        if places and position.duty >= 1.0:
            shown = sheet(Setting(appliance, position.name, None, 20.0), ())
            if not places <= set(shown.heating.watts):
                continue  # two cavities at once: one record and one current do not belong together
            record = shown.record
            facts = describe(record)
            reached = facts.time_to_set_point if facts.set_point is not None else facts.boils_at
            if reached is not None and reached < SOON * float(record.times[-1]):
                found.append(position.name)
    if not found:
        raise Unfit(f"no position of the {appliance.title} gets to a temperature that can be read")
    return found


def _set_point(appliance: Appliance, rng: random.Random) -> float | None:
    model = str(dict(appliance.heat).get("model", dict(appliance.heat).get("main_model", "")))
    return rng.choice(OVEN_SETTINGS) if model.endswith("oven") else None


def _faults(ask: Ask, setting: Setting, rng: random.Random) -> tuple[str, ...]:
    if ask.case is not None:
        return ask.case.truth
    wanted = ask.text("fault")
    if wanted:
        return () if wanted == "none" else (wanted,)
    if ask.level < JUDGED_FROM and rng.random() < 0.5:
        return ()
    found = candidates(setting)
    return rng.choice(found[rng.choice(sorted(found))])


def _question(
    ask: Ask, library: Library, rng: random.Random, shown: Sheet, form: Form, verdict: Verdict | None
) -> Question:
    read = form.read(shown)
    least = 2 if verdict else 3
    fields, slips = [read.field], list(fitting_slips(library, read.field, read.wrong, least=least))
    explanation, working = read.said, read.working
    if verdict is not None:
        field, more = verdict_field(library, verdict, shown, rng)
        fields.append(field)
        slips += more
        explanation = f"{read.said} {verdict.because}"
        working = f"{read.working}\n\n{verdict.because}"
    if len(slips) < 3:
        raise Unfit(f"only {len(slips)} slips apply here, 3 are wanted")
    how = words(shown, usual=ask.level < WORKED_OUT_FROM, owner=for_owner(ask))
    asks = f"{read.question} Then say what the record tells you." if verdict else read.question
    question = Question(
        id=ask.id,
        kind=ask.kind,
        outcome="controls" if verdict is None else "conclude",
        level=ask.level,
        title=form.title if verdict is None else f"{form.title}, and what the record says",
        prompt=f"{how}\n\n{table(shown.record)}\n\n{asks}",
        fields=tuple(fields),
        slips=tuple(slips),
        explanation=explanation,
        working=working,
        competences=("C24", "C31", "C42") if verdict is None else ("C18", "C24", "C31", "C32", "C42"),
        case=ask.case.id if ask.case else "",
        pictures=(picture(shown, f"{ask.id}-heat-up"),),
    )
    return rated(question, library, branches=sum(power > 0 for power in shown.sound_heating.watts.values()))
