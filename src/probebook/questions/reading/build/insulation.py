"""Reading questions about insulation: line to earth, several parts at once."""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.cases.library import Library
from probebook.meters import Function, read
from probebook.questions import scene as sc
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, quantity_field
from probebook.questions.model import Effort, Question
from probebook.questions.pictures import diagram
from probebook.questions.reading.build.draws import ReadingLabel, limits_of
from probebook.questions.reading.facts.insulation import (
    insulation_band,
    insulation_facts,
    insulation_paths,
    tested_in,
)
from probebook.questions.reading.slips.insulation import insulation_slips

__all__ = ["build_insulation"]

INSULATION = Form("insulation", ("C17", "C35"))


def build_insulation(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Line to earth at the test voltage: which insulations are tested in this position, and what they read together."""
    words, appliance = library.words, library.appliance(ask.appliance)
    paths = insulation_paths(appliance)
    if len(paths) < 2 or not appliance.earth:
        raise Unfit(f"the {appliance.title} has fewer than two insulation paths to metalwork")
    meter, limits = library.meter_for("insulation"), limits_of(library)
    own = {b.name: rng.choice(limits.megohms) * 1e6 for b in paths}
    if ask.level == 1:
        own = dict.fromkeys(own, rng.choice(limits.equal_megohms) * 1e6)
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    found = tested_in(appliance, names, own, library.region.test_volts)
    band = insulation_band(found, meter)
    label = words.say(ReadingLabel(), "reading")
    target = quantity_field("shows", label, "ohm", found.total, accepted=band, allow_open=True)
    target = replace(target, answer=read(meter, Function.INSULATION, found.total).display)
    facts = insulation_facts(words, found, meter)
    slips = sc.fitting_slips(library, target, insulation_slips(words, facts))
    pictures = diagram(words, ask, appliance, found.scene.state.position)
    parts = Parts((target,), slips, Effort(paths=len(found.paths), unit_changes=1), pictures)
    keys = {"prompt": "prompt-plug"} if appliance.supply.kind == "plug" else None
    return assemble(ask, library, INSULATION, facts, parts, keys=keys)
