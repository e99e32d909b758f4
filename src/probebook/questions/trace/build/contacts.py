"""Which switch contacts must be closed for exactly these parts to work."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Effort, Option, Question
from probebook.questions.pictures import diagram
from probebook.questions.trace.build.drawing import positions, ticks_field
from probebook.questions.trace.facts.contacts import ContactOption, contacts_facts, find_contacts, switch_contacts
from probebook.questions.trace.slips.contacts import contacts_slips
from probebook.questions.trace.slips.ticks import tick_slips

__all__ = ["build_contacts"]

FORM = Form("controls", ("C19", "C21", "C31"))
#: Switch contacts that an appliance must have, and those that can still be kept in mind.
FEWEST, MOST = 3, 10


def build_contacts(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which switch contacts must be closed for exactly these parts to work."""
    words = library.words
    appliance = library.appliance(ask.appliance)
    switching = switch_contacts(appliance)
    if not FEWEST <= len(switching) <= MOST:
        raise Unfit(f"the {appliance.title} has {len(switching)} switch contacts")
    found = find_contacts(appliance, positions(ask, appliance, rng), switching)
    if found is None:
        raise Unfit("no position is fixed by what works in it")
    facts = contacts_facts(words, found)
    options = [
        Option(b.name, words.say(ContactOption(b.name, tuple(appliance.terminals[i] for i in b.ends)), "option"))
        for b in switching
    ]
    field = ticks_field(ask, library, ("contacts", words.say(facts, "label")), options, found.key)
    slips = tick_slips(library, field, contacts_slips(words, found, facts))
    parts = Parts((field,), slips, Effort(paths=len(switching)), diagram(words, ask, appliance))
    keys = {} if facts.others else {"prompt": "prompt-all-on"}
    return assemble(ask, library, FORM, facts, parts, keys=keys)
