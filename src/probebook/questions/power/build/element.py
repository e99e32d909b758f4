"""Power questions about one element at its own voltage."""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.appliances import Appliance, Branch
from probebook.appliances.naming import branch_name
from probebook.cases.library import Library
from probebook.meters import Reading
from probebook.questions.assembling import Form, Parts, assemble, declared_numbers, wrong_numbers
from probebook.questions.frame import Ask, quantity_field
from probebook.questions.model import Effort, Question
from probebook.questions.owner import for_owner, report
from probebook.questions.power.build.drawing import bench_reading, drawn_section, made, power_draws
from probebook.questions.power.facts.element import ReadingLine, amps_facts, ohms_facts, watts_facts
from probebook.questions.power.slips.element import (
    AMPS_PATHS,
    OHMS_PATHS,
    WATTS_PATHS,
    amps_slips,
    ohms_slips,
    watts_slips,
)
from probebook.questions.scene import fitting_slips
from probebook.words import Phrase

__all__ = ["build_amps", "build_ohms", "build_watts"]

ELEMENT = Form("power", ("C16", "C17"))


def build_watts(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Watts from a reading."""
    appliance, words = library.appliance(ask.appliance), library.words
    branch = drawn_section(ask, appliance, rng)
    shown = _reading(library, branch, rng)
    facts = watts_facts(words, appliance, branch, shown, _report(ask, library, appliance, branch, shown))
    draws = power_draws(library)
    tolerance = draws.accepted["watts"] + 0.5 * shown.resolution / facts.ohms
    target = quantity_field("watts", words.say(facts, "label.watts"), "W", facts.watts, tolerance=tolerance)
    wrong = wrong_numbers(words, facts, watts_slips(facts) | declared_numbers(library, facts, WATTS_PATHS))
    wrong = [replace(w, marks=draws.voltage_marks) if w.slip == "wrong-voltage" else w for w in wrong]
    parts = Parts((target,), fitting_slips(library, target, wrong), Effort())
    return assemble(ask, library, ELEMENT, facts, parts, keys=_prompt(ask))


def build_ohms(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Ohms from the rating plate."""
    appliance, words = library.appliance(ask.appliance), library.words
    facts = ohms_facts(words, appliance, drawn_section(ask, appliance, rng))
    draws = power_draws(library)
    tolerance = draws.accepted["ohms"]
    target = quantity_field("ohms", words.say(facts, "label.ohms"), "ohm", facts.ohms, tolerance=tolerance)
    wrong = wrong_numbers(words, facts, ohms_slips(facts) | declared_numbers(library, facts, OHMS_PATHS))
    wrong = [replace(w, marks=draws.voltage_marks) if w.slip == "wrong-voltage" else w for w in wrong]
    parts = Parts((target,), fitting_slips(library, target, wrong), Effort())
    return assemble(ask, library, ELEMENT, facts, parts)


def build_amps(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Amperes from a reading."""
    appliance, words = library.appliance(ask.appliance), library.words
    branch = drawn_section(ask, appliance, rng)
    shown = _reading(library, branch, rng)
    facts = amps_facts(words, appliance, branch, shown, _report(ask, library, appliance, branch, shown))
    tolerance = power_draws(library).accepted["amps"]
    target = quantity_field("amps", words.say(facts, "label.amps"), "A", facts.amps, tolerance=tolerance)
    wrong = wrong_numbers(words, facts, amps_slips(facts) | declared_numbers(library, facts, AMPS_PATHS))
    slips = fitting_slips(library, target, wrong)
    return assemble(ask, library, ELEMENT, facts, Parts((target,), slips, Effort()), keys=_prompt(ask))


def _reading(library: Library, branch: Branch, rng: random.Random) -> Reading:
    ohms = made(library, branch.hot_ohms, branch.tolerance, rng)
    return bench_reading(library, ohms, gain=rng.uniform(-1, 1))


def _report(ask: Ask, library: Library, appliance: Appliance, branch: Branch, shown: Reading) -> Phrase:
    """What an owner is told of the reading; empty for everybody else."""
    if not for_owner(ask):
        return Phrase("")
    words = library.words
    line = words.say(ReadingLine(branch_name(words, appliance, branch), shown.display), "reading")
    return report(library, appliance, line)


def _prompt(ask: Ask) -> dict[str, str]:
    return {"prompt": "prompt-owner"} if for_owner(ask) else {}
