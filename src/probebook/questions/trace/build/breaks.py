"""Which parts stop when a wire breaks."""

from __future__ import annotations

import random

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, shuffled
from probebook.questions.model import Effort, Option, Question
from probebook.questions.pictures import diagram
from probebook.questions.trace.build.drawing import positions, ticks_field
from probebook.questions.trace.facts.breaks import Break, break_facts, explanation_of, find_break
from probebook.questions.trace.figures import figures_of
from probebook.questions.trace.slips.breaks import NONE, break_slips
from probebook.questions.trace.slips.ticks import tick_slips

__all__ = ["build_break"]

FORM = Form("trace", ("C19", "C21", "C23"))


def build_break(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which parts stop when a wire breaks."""
    words = library.words
    appliance = library.appliance(ask.appliance)
    found = _drawn(ask, appliance, rng)
    facts = break_facts(words, found)
    loads = [Option(b.name, str(sw.name(words, appliance, b))) for b in sc.loads(appliance)]
    options = [*shuffled(loads, rng), Option(NONE, words.say(facts, "option-none"))]
    field = ticks_field(ask, library, ("stops", words.say(facts, "label")), options, found.lost or {NONE})
    slips = tick_slips(library, field, break_slips(words, found, facts))
    effort = Effort(paths=len(found.on) + 1)
    parts = Parts((field,), slips, effort, diagram(words, ask, appliance, found.position))
    working = "working.stops" if found.lost else "working.nothing"
    return assemble(ask, library, FORM, facts, parts, keys={"explanation": explanation_of(found), "working": working})


def _drawn(ask: Ask, appliance: Appliance, rng: random.Random) -> Break:
    idle = ask.level > 1 and rng.random() < figures_of(appliance).idle
    wanted = ask.text("wire")
    wires = [w for w in appliance.wires if not w.is_earth and (not wanted or w.mark == wanted)]
    rng.shuffle(wires)
    found = find_break(appliance, positions(ask, appliance, rng), wires, idle=idle)
    if found is None:
        raise Unfit(f"no wire of the {appliance.title} fits")
    return found
