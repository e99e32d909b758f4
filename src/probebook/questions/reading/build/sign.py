"""Reading questions about the kind of fault: open, high resistance, short, leakage, or none at all."""

from __future__ import annotations

import random

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Field, Option, Question
from probebook.questions.reading.build.draws import limits_of
from probebook.questions.reading.facts.sign import (
    FAULT_KINDS,
    SIGNS,
    SignCase,
    SignKinds,
    sign_facts,
    told_broken,
    told_element,
    told_leak,
)
from probebook.questions.reading.slips.sign import effect_slips, kind_slips

__all__ = ["build_sign"]

LEAK = Form("insulation", ("C23", "C24"))
PATH = Form("continuity", ("C23", "C24"))


def build_sign(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which kind of fault a reading shows, and how such a fault shows in use (option ``fault`` names a kind)."""
    words, appliance = library.words, library.appliance(ask.appliance)
    case = _drawn(library, appliance, rng, ask.text("fault") or rng.choice(SIGNS))
    kinds = SignKinds(library.word("rcd"))
    facts = sign_facts(words, appliance, case, kinds)

    def field(key: str) -> Field:
        options = [Option(kind, words.say(kinds, f"{key}.{kind}")) for kind in SIGNS]
        return choice_field(key, words.say(kinds, f"label-{key}"), shuffled(options, rng), case.kind)

    kind, effect = field("kind"), field("effect")
    slips = (
        *option_slips(library, kind, kind_slips(words, facts, case.kind)),
        *option_slips(library, effect, effect_slips(words, kinds, case.kind)),
    )
    form = LEAK if case.kind == "leak" else PATH
    return assemble(ask, library, form, facts, Parts((kind, effect), slips, Effort()))


def _drawn(library: Library, appliance: Appliance, rng: random.Random, wanted: str) -> SignCase:
    words, meter, limits = library.words, library.meter_for("bench"), limits_of(library)
    branch = rng.choice(sc.sections(appliance))
    if wanted in ("none", "short"):
        share = rng.uniform(*(limits.sound_share if wanted == "none" else limits.short_share))
        return told_element(words, appliance, meter, branch, share)
    faults = [f for f in appliance.faults if FAULT_KINDS.get(f.kind) == wanted]
    if not faults:
        raise Unfit(f"the {appliance.title} has no fault of the kind '{wanted}'")
    fault = rng.choice(faults)
    if wanted == "leak":
        return told_leak(words, appliance, library.meter_for("insulation"), fault, library.region.test_volts)
    return told_broken(words, appliance, meter, fault, wanted, limits.good_joint)
