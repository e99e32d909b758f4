"""Reading questions about parts that are no elements: a lamp, a motor, a neon, cold."""

from __future__ import annotations

import random
from collections.abc import Mapping

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.cases.library import Library
from probebook.meters import Meter
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Option, Question
from probebook.questions.reading.build.draws import limits_of
from probebook.questions.reading.facts.cold_load import ColdFacts, neon_facts, rated_facts
from probebook.questions.reading.slips.cold_load import neon_slips, rated_slips
from probebook.words import Words
from probebook.words.levelling import worded

__all__ = ["build_cold_load"]

NEON = Form("continuity", ("C14", "C31"))
RATED = Form("power", ("C17", "C29"))


def build_cold_load(ask: Ask, library: Library, rng: random.Random) -> Question:
    """What a sound lamp, motor or neon shows on ohms, cold."""
    words, appliance = library.words, library.appliance(ask.appliance)
    kind = BranchKind(ask.text("form"))
    parts = [b for b in appliance.branches if b.kind is kind]
    if not parts:
        raise Unfit(f"the {appliance.title} has no {kind}")
    branch = rng.choice(parts)
    wanted = ask.text("meter")
    meter = library.meter(wanted) if wanted else library.meter_for("bench")
    facts, ids, wrong, keys = _told(words, appliance, branch, meter, limits_of(library).apart)
    texts = worded(words, facts, {key: f"option.{key}" for key in ids}, "cold", rng, words.say(facts, "prompt"))
    why = words.say(facts, "why.cold")
    options = [Option(key, text, why if key == "cold" else "") for key, text in texts.items()]
    target = choice_field("shows", words.say(facts, "label"), shuffled(options, rng), "cold")
    form = NEON if kind is BranchKind.NEON else RATED
    parts_of = Parts((target,), option_slips(library, target, wrong), Effort())
    return assemble(ask, library, form, facts, parts_of, keys=keys)


def _told(
    words: Words, appliance: Appliance, branch: Branch, meter: Meter, apart: float
) -> tuple[ColdFacts, tuple[str, ...], list[WrongOption], Mapping[str, str]]:
    """The facts, the options in order, the slips, and the sentences that differ from the usual."""
    if branch.kind is BranchKind.NEON:
        neon = neon_facts(words, appliance, branch, meter)
        keys = {"prompt": "prompt-rated"} if branch.watts else {}
        return neon, ("cold", "resistor", "zero", "broken"), neon_slips(words, neon), keys
    rated = rated_facts(words, appliance, branch, meter, apart)
    wrong = rated_slips(words, rated, branch.kind)
    return rated, ("cold", "rated", "ratio", "open"), wrong, {"explanation": f"explanation-{branch.kind}"}
