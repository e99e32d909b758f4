"""Verdicts on a meter: a known resistor against its own accuracy statement."""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.cases.library import Library
from probebook.meters import Conformity, Function, Meter, Reading, verdict
from probebook.questions.assembling import Form
from probebook.questions.frame import Ask
from probebook.questions.model import Effort, Question
from probebook.questions.verdict.assumed import CalibrationDraws
from probebook.questions.verdict.build.drawing import drawn_conformity, guard, take
from probebook.questions.verdict.build.judged import Judgement, judged
from probebook.questions.verdict.facts.calibration import calibration_facts
from probebook.questions.verdict.facts.measurement import Measurement, range_in_use
from probebook.questions.verdict.slips.calibration import calibration_reasons, calibration_tempts

__all__ = ["build_calibration"]

FORM = Form("function", ("C11",))


def build_calibration(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A meter on a resistor whose value is known."""
    draws = library.assumptions.get(CalibrationDraws)
    wanted = drawn_conformity(ask, library, rng)
    nominal = rng.choice(draws.resistors)
    tolerance = draws.poor if wanted is Conformity.CANNOT_TELL else draws.good
    meter = _drawn_meter(library, wanted, rng)
    reading = take(library, meter, Function.OHMS, nominal, rng, nulled=meter.can_null)
    measured = _measured(meter, reading, (nominal, tolerance), wanted, draws.room)
    facts = calibration_facts(library.words, nominal, tolerance, measured)
    reasons = calibration_reasons(facts, draws.no_match)
    reads = "within" if facts.miss <= facts.width else "outside"
    judgement = Judgement(facts.verdict, reasons, calibration_tempts(facts), means="resistor", true=reads)
    keys = {"prompt": "prompt-leads"} if facts.leads else {}
    if wanted is Conformity.CANNOT_TELL:
        keys["working"] = "working-cannot"
    return judged(ask, library, rng, FORM, facts, judgement, Effort(paths=2, steps=2), keys)


def _drawn_meter(library: Library, wanted: Conformity, rng: random.Random) -> Meter:
    if wanted is not Conformity.OUTSIDE:
        return library.meter_for(rng.choice(["bench", "pocket"]))
    drift = library.assumptions.get(CalibrationDraws).drift
    return replace(library.meter_for("drifted"), gain_error=rng.choice([-1, 1]) * rng.uniform(*drift))


def _measured(
    meter: Meter, reading: Reading, resistor: tuple[float, float], wanted: Conformity, room: float
) -> Measurement:
    """The verdict on a meter that shows so much on a resistor (Ω, and the share to which it is known)."""
    nominal, tolerance = resistor
    value = reading.value - meter.leads_in(Function.OHMS, nulled=reading.nulled)
    width = range_in_use(meter, Function.OHMS, reading).accuracy(reading.value)
    found = verdict(value, nominal * tolerance, (nominal - width, nominal + width))
    guard(found, wanted, room=room, limits_crossed=2)
    return Measurement(meter, Function.OHMS, reading, found.low, found.high, found)
