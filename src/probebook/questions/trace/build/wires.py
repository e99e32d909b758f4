"""Which of some wires carry current in a position."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Effort, Option, Question
from probebook.questions.pictures import diagram
from probebook.questions.trace.build.drawing import positions, ticks_field
from probebook.questions.trace.facts.wires import WireOption, choose_wires, wires_facts
from probebook.questions.trace.slips.ticks import tick_slips
from probebook.questions.trace.slips.wires import wires_slips

__all__ = ["build_wires"]

FORM = Form("trace", ("C19", "C21"))
#: Wires asked about beyond one for each level.
WIRES = 4


def build_wires(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which of some wires carry current."""
    words = library.words
    appliance = library.appliance(ask.appliance)
    found = choose_wires(appliance, positions(ask, appliance, rng), WIRES + ask.level, rng)
    if found is None:
        raise Unfit(f"no position of the {appliance.title} leaves two wires idle")
    facts = wires_facts(words, found)
    options = [
        Option(w.mark, words.say(WireOption(w.mark, w.start, w.end, words.noun(w.colour)), "option"))
        for w in found.asked
    ]
    field = ticks_field(ask, library, ("wires", words.say(facts, "label")), options, found.key)
    slips = tick_slips(library, field, wires_slips(words, found, facts))
    effort = Effort(paths=len(found.asked))
    parts = Parts((field,), slips, effort, diagram(words, ask, appliance, found.position))
    return assemble(ask, library, FORM, facts, parts)
