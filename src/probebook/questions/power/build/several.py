"""Power questions about several heating circuits side by side."""

from __future__ import annotations

import math
import random

from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble, wrong_numbers, wrong_options
from probebook.questions.frame import Ask, Unfit, choice_field, option_slips, quantity_field, shuffled
from probebook.questions.model import Band, Effort, Option, Question
from probebook.questions.pictures import diagram
from probebook.questions.power.build.drawing import drawn_position, power_draws
from probebook.questions.power.facts.several import branch_amps_facts, share_facts, total_facts, watts_left
from probebook.questions.power.slips.several import back_slips, branch_amps_slips, share_slips, total_slips
from probebook.questions.scene import fitting_slips, sections
from probebook.words.levelling import worded

__all__ = ["build_branch_amps", "build_share", "build_total"]

TOTAL = Form("trace", ("C17", "C21"))
TOTAL_FROM_OHMS = Form("power", ("C17", "C21"))
SHARE = Form("combine", ("C17", "C21", "C24"))
BRANCH_AMPS = Form("combine", ("C17", "C21"))


def build_total(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The watts of all heating circuits that work in a position."""
    appliance, words = library.appliance(ask.appliance), library.words
    position, on = drawn_position(ask, appliance, rng)
    draws = power_draws(library)
    as_ohms = ask.level >= draws.ohms_from
    facts = total_facts(words, appliance, position, on, as_ohms=as_ohms)
    target = quantity_field(
        "watts", words.say(facts, "label.watts"), "W", facts.watts, tolerance=draws.accepted["total"]
    )
    wrong = wrong_numbers(words, facts, total_slips(facts, appliance.region.supply.nominal))
    effort = Effort(
        paths=len(sections(appliance)), steps=len(on) + 1 if as_ohms else 1, unit_changes=1 if as_ohms else 0
    )
    parts = Parts((target,), fitting_slips(library, target, wrong), effort, diagram(words, ask, appliance, position))
    keys = {"explanation": "explanation-resting"} if facts.resting else {}
    if as_ohms:
        keys["working"] = "working-ohms"
    return assemble(ask, library, TOTAL_FROM_OHMS if as_ohms else TOTAL, facts, parts, keys=keys)


def build_share(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Per cent of the heat that is left with one element open."""
    appliance, words = library.appliance(ask.appliance), library.words
    position, on = drawn_position(ask, appliance, rng)
    lost = rng.choice(sorted(on))
    draws = power_draws(library)
    as_ohms = ask.level >= draws.ohms_from
    facts = share_facts(words, appliance, position, on, lost, as_ohms=as_ohms)
    if not math.isclose(watts_left(appliance, position, on, lost), facts.left, rel_tol=draws.agrees):
        raise Unfit("the others do not work on as before")
    low, high = facts.share - draws.share_width, facts.share + draws.share_width
    target = quantity_field("share", words.say(facts, "label.share"), "%", facts.share, accepted=Band(low, high))
    slips = fitting_slips(library, target, wrong_numbers(words, facts, share_slips(facts)))
    effort = Effort(paths=len(on), steps=2, unit_changes=1 + as_ohms)
    parts = Parts((target,), slips, effort, diagram(words, ask, appliance, position))
    return assemble(ask, library, SHARE, facts, parts)


def build_branch_amps(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The current of one of two unequal branches side by side, and of the neutral that they share."""
    appliance, words = library.appliance(ask.appliance), library.words
    position, on = drawn_position(ask, appliance, rng)
    draws = power_draws(library)
    pairs = [(a, b) for a in on for b in on if a < b and abs(on[a] / on[b] - 1) > draws.unequal]
    if not pairs:
        raise Unfit("no two unequal heating circuits work together")
    names = list(rng.choice(pairs))
    rng.shuffle(names)
    facts = branch_amps_facts(words, appliance, position, on, (names[0], names[1]))
    tolerance = draws.accepted["branch-amps"]
    target = quantity_field("amps", words.say(facts, "label.amps"), "A", facts.first_amps, tolerance=tolerance)
    wrong = wrong_numbers(words, facts, branch_amps_slips(facts))
    slips = fitting_slips(library, target, wrong, needed=["equal-split"])
    sentences = {name: f"option.{name}" for name in ("same", "less", "none")}
    texts = worded(words, facts, sentences, "same", rng, words.say(facts, "prompt"))
    options = shuffled([Option(name, text) for name, text in texts.items()], rng)
    back = choice_field("back", words.say(facts, "label.back"), options, "same")
    returned = option_slips(library, back, wrong_options(words, facts, back_slips()))
    return assemble(ask, library, BRANCH_AMPS, facts, Parts((target, back), (*slips, *returned), Effort(paths=2)))
