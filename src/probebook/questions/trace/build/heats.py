"""Which parts carry current in a position."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.questions import situation_words as sw
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, shuffled
from probebook.questions.model import Effort, Option, Question
from probebook.questions.pictures import diagram
from probebook.questions.trace.build.drawing import positions, ticks_field
from probebook.questions.trace.facts.heats import find_heats, heats_facts
from probebook.questions.trace.slips.heats import heats_slips
from probebook.questions.trace.slips.ticks import tick_slips

__all__ = ["build_heats"]

FORM = Form("trace", ("C19", "C21", "C31"))


def build_heats(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which parts carry current in a position."""
    words = library.words
    appliance = library.appliance(ask.appliance)
    found = find_heats(appliance, positions(ask, appliance, rng), with_controls=ask.level > 1)
    if found is None:
        raise Unfit(f"no position of the {appliance.title} feeds some parts and not others")
    facts = heats_facts(words, found)
    options = shuffled([Option(b.name, str(sw.name(words, appliance, b))) for b in found.shown], rng)
    field = ticks_field(ask, library, ("parts", words.say(facts, "label")), options, found.key)
    slips = tick_slips(library, field, heats_slips(words, found, facts))
    parts = Parts((field,), slips, Effort(paths=len(found.shown)), diagram(words, ask, appliance, found.position))
    keys = {} if facts.off else {"explanation": "explanation-all-on"}
    return assemble(ask, library, FORM, facts, parts, keys=keys)
