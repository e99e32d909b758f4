"""Power questions about one part that is not simply at its rating."""

from __future__ import annotations

import random

from probebook.appliances import BranchKind
from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble, wrong_numbers, wrong_options
from probebook.questions.frame import Ask, Unfit, choice_field, option_slips, quantity_field, shuffled
from probebook.questions.model import Effort, Option, Question
from probebook.questions.power.build.drawing import bench_reading, drawn_section, made, power_draws
from probebook.questions.power.facts.single import (
    alloy_factor,
    hot_cold_facts,
    no_element_facts,
    other_voltage_facts,
)
from probebook.questions.power.slips.single import hot_cold_slips, no_element_slips, other_voltage_slips
from probebook.questions.scene import fitting_slips
from probebook.words.levelling import worded

__all__ = ["build_hot_cold", "build_no_element", "build_other_voltage"]

OTHER_VOLTAGE = Form("power", ("C16", "C17"))
HOT_COLD = Form("power", ("C16", "C17", "C30"))
NO_ELEMENT = Form("power", ("C17", "C29"))


def build_other_voltage(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The power of a section at a voltage that is not the rated one."""
    appliance, words = library.appliance(ask.appliance), library.words
    branch = drawn_section(ask, appliance, rng)
    other = rng.choice([v for v in appliance.region.supply.met if v != appliance.plate.volts])
    facts = other_voltage_facts(words, appliance, branch, other)
    tolerance = power_draws(library).accepted["other-voltage"]
    target = quantity_field("watts", words.say(facts, "label.watts"), "W", facts.watts, tolerance=tolerance)
    slips = fitting_slips(
        library,
        target,
        wrong_numbers(words, facts, other_voltage_slips(facts)),
        needed=["linear-in-volts", "rating-at-other-voltage"],
    )
    return assemble(ask, library, OTHER_VOLTAGE, facts, Parts((target,), slips, Effort()))


def build_hot_cold(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Hot watts from a cold reading and the factor of the alloy."""
    appliance, words = library.appliance(ask.appliance), library.words
    branch, draws = drawn_section(ask, appliance, rng), power_draws(library)
    if alloy_factor(branch) < draws.least_factor:
        raise Unfit("the alloy hardly changes with heat")
    cold = made(library, branch.cold_ohms, branch.tolerance, rng)
    facts = hot_cold_facts(words, appliance, branch, bench_reading(library, cold))
    tolerance = draws.accepted["hot-cold"]
    target = quantity_field("watts", words.say(facts, "label.watts"), "W", facts.watts, tolerance=tolerance)
    wrong = wrong_numbers(words, facts, hot_cold_slips(facts))
    slips = fitting_slips(library, target, wrong, needed=["cold-for-hot"])
    return assemble(ask, library, HOT_COLD, facts, Parts((target,), slips, Effort(steps=2)))


def build_no_element(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A lamp or motor whose cold reading tempts to a sum that does not hold."""
    appliance, words = library.appliance(ask.appliance), library.words
    kind = BranchKind(ask.text("form"))
    found = [b for b in appliance.branches if b.kind is kind]
    if not found:
        raise Unfit(f"the {appliance.title} has no {kind}")
    branch = rng.choice(found)
    facts = no_element_facts(words, appliance, branch.name, bench_reading(library, branch.cold_ohms))
    if facts.sum < power_draws(library).tempts * branch.watts:
        raise Unfit("the cold reading does not tempt")
    names = ("rating", "sum", "amps", "faulty")
    texts = worded(words, facts, {name: f"option.{name}" for name in names}, "rating", rng, words.say(facts, "prompt"))
    options = [Option(name, text) for name, text in texts.items()]
    label = words.say(facts, "label.power")
    target = choice_field("power", label, shuffled(options, rng), "rating")
    chosen, keys = no_element_slips(kind)
    slips = option_slips(library, target, wrong_options(words, facts, chosen, keys=keys))
    said = {"explanation": f"explanation-{kind}", "working": f"working-{kind}"}
    return assemble(ask, library, NO_ELEMENT, facts, Parts((target,), slips, Effort()), keys=said)
