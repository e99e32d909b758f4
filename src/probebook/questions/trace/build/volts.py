"""The voltage across an open part, or across a sound part behind an open contact."""

from __future__ import annotations

import math
import random

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, quantity_field
from probebook.questions.model import Band, Effort, Field, Question
from probebook.questions.pictures import diagram
from probebook.questions.trace.build.drawing import positions
from probebook.questions.trace.facts.volts import OpenPart, find_open_part, volts_across, volts_facts
from probebook.questions.trace.figures import figures_of
from probebook.questions.trace.slips.volts import volts_slips

__all__ = ["build_volts"]

FORM = Form("trace", ("C21", "C24"))


def build_volts(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The voltage across an open part, or across a sound part behind an open contact."""
    words = library.words
    appliance = library.appliance(ask.appliance)
    figures = figures_of(appliance)
    behind = ask.level > 1 and rng.random() < figures.behind
    found = _drawn(ask, appliance, rng, contacts=behind or rng.random() < figures.contacts)
    asked = found.load if behind else found.opened
    across = volts_across(found, asked)
    if math.isnan(across):
        raise Unfit("one side of the part floats")
    facts = volts_facts(words, found, asked)
    target = _field(words.say(facts, "label"), appliance, across, behind=behind)
    wrong = volts_slips(words, facts, behind=behind, other=other_supply(appliance))
    slips = sc.fitting_slips(library, target, wrong)
    parts = Parts((target,), slips, Effort(paths=2), diagram(words, ask, appliance, found.position))
    return assemble(
        ask, library, FORM, facts, parts, keys={"explanation": f"explanation.{'behind' if behind else 'across'}"}
    )


def _drawn(ask: Ask, appliance: Appliance, rng: random.Random, *, contacts: bool) -> OpenPart:
    wanted = ask.text("part")
    kinds = (BranchKind.CONTACT, BranchKind.FUSE) if contacts else (BranchKind.ELEMENT, BranchKind.LAMP)
    parts: list[Branch] = [b for b in appliance.branches if (b.name == wanted if wanted else b.kind in kinds)]
    rng.shuffle(parts)
    found = find_open_part(appliance, positions(ask, appliance, rng), parts, rng)
    if found is None:
        raise Unfit(f"nothing in the {appliance.title} fits")
    return found


def other_supply(appliance: Appliance) -> float:
    """The supply voltage that the one on the plate is mistaken for, V."""
    supply = appliance.region.supply
    return supply.quoted if appliance.plate.volts == supply.nominal else supply.nominal


def _field(label: str, appliance: Appliance, across: float, *, behind: bool) -> Field:
    supply, figures = appliance.plate.volts, figures_of(appliance)
    if behind:
        if across > figures.no_volts:
            raise Unfit("another path feeds the part")
        return quantity_field("volts", label, "V", 0.0, accepted=Band(0.0, figures.none_accepted))
    if not math.isclose(across, supply, rel_tol=0.01):
        raise Unfit("not the whole supply stands across the open part")
    return quantity_field("volts", label, "V", supply, tolerance=figures.volts_accepted)
