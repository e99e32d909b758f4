"""Reading questions about open parts: OL with the wire off, and the number that another path leaves."""

from __future__ import annotations

import math
import random

from probebook.appliances import Branch, Fault, State
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Band, Effort, Question
from probebook.questions.reading.build.draws import Ohmmeter, draw_ohmmeter, draw_positions, is_given, limits_of
from probebook.questions.reading.build.paths import slip_width, sum_parts, sum_shown
from probebook.questions.reading.facts.opened import (
    closes,
    open_facts,
    open_part,
    opening_faults,
    still_joined_facts,
)
from probebook.questions.reading.facts.sums import ends_of, sum_facts, sum_of
from probebook.questions.reading.slips.opened import open_slips, still_joined_slips

__all__ = ["build_opened"]

STILL_JOINED = Form("parallel", ("C15", "C21", "C24"))
OPEN = Form("continuity", ("C14", "C24"))

Found = tuple[Fault, Branch]


def build_opened(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A stated fault that opens a path, with the wire off or with everything on."""
    appliance = library.appliance(ask.appliance)
    faults = opening_faults(appliance, ask.text("fault"))
    rng.shuffle(faults)
    tried = draw_positions(ask, appliance, rng)
    ohmmeter = draw_ohmmeter(ask, library, rng)
    if ask.level > 1:
        for position in tried:
            for found in faults:
                try:
                    return _still_joined(ask, library, found, position, ohmmeter)
                except Unfit:
                    continue
    for found in faults:
        places = [p for p in tried if closes(appliance, found[1], p)]
        try:
            if places:
                return _open_alone(ask, library, found, rng.choice(places), ohmmeter)
        except Unfit:
            continue
    raise Unfit(f"the {appliance.title} has no open fault that makes a fair question here")


def _still_joined(ask: Ask, library: Library, case: Found, position: str, ohmmeter: Ohmmeter) -> Question:
    words, appliance = library.words, library.appliance(ask.appliance)
    fault, branch = case
    if not closes(appliance, branch, position):
        raise Unfit("the contact is open here, sound or not")
    state = State(position, faults=frozenset({fault.id}))
    found = sum_of(sc.Scene(appliance, state, ends_of(appliance, branch)))
    shown = sum_shown(ask, library, found, ohmmeter)
    told = sum_facts(words, found, shown, given=is_given(ask, library))
    facts = still_joined_facts(words, told, found, fault, branch)
    wrong = still_joined_slips(words, found, facts)
    slips = sc.fitting_slips(library, shown.field, wrong, needed=["open-means-ol"], widest=slip_width(ask, library))
    return assemble(ask, library, STILL_JOINED, facts, sum_parts(ask, library, found, shown, slips))


def _open_alone(ask: Ask, library: Library, case: Found, position: str, ohmmeter: Ohmmeter) -> Question:
    words, appliance = library.words, library.appliance(ask.appliance)
    found = open_part(appliance, *case, position)
    target = ohmmeter.shown(words, math.inf, Band(math.inf, math.inf)).field
    facts = open_facts(words, found, ohmmeter.told(words), limits_of(library).good_joint)
    slips = sc.fitting_slips(library, target, open_slips(words, found, facts))
    parts = Parts((target,), slips, Effort(paths=1 if math.isinf(found.together) else 2))
    return assemble(ask, library, OPEN, facts, parts, keys={"prompt": "prompt-rated"} if facts.watts else None)
