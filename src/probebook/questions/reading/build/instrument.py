"""Reading questions about the instrument: its leads, and its beeper."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, choice_field, option_slips, quantity_field, shuffled
from probebook.questions.model import Band, Effort, Option, Question
from probebook.questions.reading.build.draws import draw_section, limits_of
from probebook.questions.reading.facts.instrument import LeadsCase, beeper_facts, leads_facts, leads_reading
from probebook.questions.reading.slips.instrument import beeper_slips, leads_slips
from probebook.words.levelling import worded

__all__ = ["build_beeper", "build_leads"]

LEADS = Form("leads", ("C14", "C34"))
BEEPER = Form("function", ("C12", "C14"))


def build_leads(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A low resistance with the leads in it: the true value from the reading, or the reading from the true value."""
    words, appliance = library.words, library.appliance(ask.appliance)
    bonds = [w for w in appliance.wires if w.is_earth]
    if not bonds:
        raise Unfit(f"the {appliance.title} has no earth bond")
    bond, limits = rng.choice(bonds), limits_of(library)
    meter = library.meter_for("insulation")
    nulled = ask.level > 1 and rng.random() < limits.nulled
    shows = not nulled and rng.random() < limits.shows
    lead = round(rng.uniform(*limits.leads), 2)
    true = round(rng.uniform(*limits.paths), 2)
    case = LeadsCase(bond, meter, lead, true, "nulled" if nulled else "shows" if shows else "true")
    reading, key = leads_reading(case)
    facts = leads_facts(words, appliance, case)
    room = limits.lead_steps * reading.resolution
    label = words.say(facts, "label-shows" if shows else "label-path")
    target = quantity_field("ohms", label, "ohm", key, accepted=Band(key - room, key + room))
    needed = ["leads-left-in"] if case.asks == "true" else []
    slips = sc.fitting_slips(library, target, leads_slips(words, case, facts), needed=needed)
    keys = {name: f"{name}-{case.asks}" for name in ("prompt", "explanation", "working")}
    return assemble(ask, library, LEADS, facts, Parts((target,), slips, Effort(paths=2)), keys=keys)


def build_beeper(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Whether the beeper sounds on a sound part, and what that says."""
    words, appliance = library.words, library.appliance(ask.appliance)
    wanted = ask.text("meter")
    meter = library.meter(wanted) if wanted else library.meter_for(rng.choice(["bench", "pocket"]))
    branch = draw_section(ask, appliance, rng)
    facts = beeper_facts(words, appliance, branch, meter)
    options = tuple(Option(key, words.say(facts, f"does.{key}")) for key in ("sounds", "silent"))
    does = choice_field("does", words.say(facts, "label-does"), options, "sounds" if facts.sounds else "silent")
    sentences = {key: f"says.{key}" for key in ("value", "open", "sound", "any")}
    texts = worded(words, facts, sentences, "value", rng, words.say(facts, "prompt"))
    why = words.say(facts, "why.value")
    claims = [Option(key, text, why if key == "value" else "") for key, text in texts.items()]
    says = choice_field("says", words.say(facts, "label-says"), shuffled(claims, rng), "value")
    wrong_does, wrong_says = beeper_slips(words, facts)
    slips = (*option_slips(library, does, wrong_does), *option_slips(library, says, wrong_says))
    return assemble(ask, library, BEEPER, facts, Parts((does, says), slips, Effort()))
