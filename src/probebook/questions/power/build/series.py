"""Power questions about sections one after the other."""

from __future__ import annotations

import random

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble, wrong_numbers
from probebook.questions.frame import Ask, Unfit, quantity_field
from probebook.questions.model import Effort, Question
from probebook.questions.pictures import diagram
from probebook.questions.power.build.drawing import power_draws
from probebook.questions.power.facts.series import joined_in_series, series_facts
from probebook.questions.power.slips.series import series_slips
from probebook.questions.scene import fitting_slips, sections

__all__ = ["build_series"]

BY_SWITCH = Form("combine", ("C17", "C21", "C31"))
BY_MISTAKE = Form("combine", ("C17",))


def build_series(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Sections one after the other: in a position that does so, else as a wiring mistake would join them."""
    appliance, words = library.appliance(ask.appliance), library.words
    position, names = _joined(appliance, ask, rng)
    draws = power_draws(library)
    as_ohms = ask.level >= draws.ohms_from
    facts = series_facts(words, appliance, names, position, as_ohms=as_ohms)
    target = quantity_field(
        "watts", words.say(facts, "label.watts"), "W", facts.watts, tolerance=draws.accepted["series"]
    )
    wrong = wrong_numbers(words, facts, series_slips(facts))
    parts = Parts(
        (target,),
        fitting_slips(library, target, wrong, needed=["parallel-for-series"]),
        Effort(paths=len(names), steps=2 if as_ohms else len(names) + 2, unit_changes=1),
        diagram(words, ask, appliance, position) if position else (),
    )
    keys = {} if as_ohms else {"working": "working-ratings"}
    if not position:
        keys["prompt"] = "prompt-mistake"
    return assemble(ask, library, BY_SWITCH if position else BY_MISTAKE, facts, parts, keys=keys)


def _joined(appliance: Appliance, ask: Ask, rng: random.Random) -> tuple[str, list[str]]:
    """A position that joins sections in series and which they are, else two sections and no position."""
    positions = [ask.text("position")] if ask.text("position") else [p.name for p in appliance.positions]
    rng.shuffle(positions)
    for position in positions:
        names = joined_in_series(appliance, position)
        if names:
            return position, names
    every = sections(appliance)
    if len(every) < 2:
        raise Unfit(f"the {appliance.title} has a single section")
    return "", sorted(b.name for b in rng.sample(every, 2))
