"""Power questions about earth: leakage through poor insulation, and the current of a fault to metal."""

from __future__ import annotations

import random
from collections.abc import Iterable

from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble, wrong_numbers
from probebook.questions.frame import (
    Ask,
    Unfit,
    WrongOption,
    choice_field,
    option_slips,
    quantity_field,
    shuffled,
)
from probebook.questions.model import Effort, Field, Option, Question, Slip
from probebook.questions.power.build.drawing import bench_reading, power_draws
from probebook.questions.power.facts.earth import (
    EarthFaultFacts,
    LeakageFacts,
    breaker_does,
    device_does,
    earth_fault_facts,
    leakage_facts,
)
from probebook.questions.power.slips.earth import earth_fault_slips, leakage_slips, metal_slips
from probebook.questions.scene import fitting_slips

__all__ = ["build_earth_fault", "build_leakage"]

LEAKAGE = Form("insulation", ("C17", "C35"))
GOOD_EARTH = Form("reconnect", ("C33",))
POOR_EARTH = Form("reconnect", ("C33", "C36"))
ACTIONS = ("acts", "may", "holds")


def _near(value: float, boundaries: Iterable[float], room: float) -> bool:
    return any(abs(value / boundary - 1) < room for boundary in boundaries)


def build_leakage(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The most that an insulation resistance lets through to earth, and what a residual-current device makes of it."""
    appliance, words = library.appliance(ask.appliance), library.words
    if not appliance.supply.residual_amps or not appliance.earth:
        raise Unfit(f"the {appliance.title} has no residual-current device or no earth")
    draws = power_draws(library)
    low, high = draws.leaks_above if ask.level > 1 else draws.leaks
    reading = bench_reading(library, float(f"{low * (high / low) ** rng.random():.2g}"))
    facts = leakage_facts(words, appliance, reading, library.word("rcd"))
    band = appliance.region.devices.residual
    if _near(facts.amps, (band.holds * facts.rated, band.trips * facts.rated), draws.room):
        raise Unfit("the current is too near the point at which the device may act")
    key = device_does(facts)
    target = quantity_field(
        "amps", words.say(facts, "label.amps"), "A", facts.amps, tolerance=draws.accepted["leakage"]
    )
    does, judged = _device(library, facts, key)
    slips = fitting_slips(library, target, wrong_numbers(words, facts, leakage_slips(facts)))
    parts = Parts((target, does), (*slips, *judged), Effort(unit_changes=1))
    return assemble(ask, library, LEAKAGE, facts, parts, keys={"explanation": f"explanation-{key}"})


def _device(library: Library, facts: LeakageFacts, key: str) -> tuple[Field, tuple[Slip, ...]]:
    """What the device does, as a field, with the slip that both wrong options show."""
    words = library.words
    options = [Option(name, words.say(facts, f"option.{name}")) for name in ACTIONS]
    field = choice_field("device", words.say(facts, "label.device"), options, key)
    here = words.say(facts, "here.rcd-misjudged")
    wrong = [WrongOption("rcd-misjudged", name, here) for name in ACTIONS if name != key]
    return field, option_slips(library, field, wrong)


def build_earth_fault(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Line on metal: the current with a good or a poor earth joint, what the breaker does, from level 3 the volts."""
    appliance, words = library.appliance(ask.appliance), library.words
    if not appliance.supply.breaker_amps or not appliance.earth or appliance.supply.fuse_amps:
        raise Unfit(f"the {appliance.title} is not fed by a breaker alone, or has no earth")
    band, draws = appliance.region.devices.breaker, power_draws(library)
    loop = round(rng.uniform(*draws.loops) * (draws.loops_at_once / band.at_once), 1)
    poor = ask.level > 1 and rng.random() < draws.poor_share
    joint = float(rng.choice(draws.poor_joints)) if poor else round(rng.uniform(*draws.good_joints), 2)
    facts = earth_fault_facts(words, appliance, loop, joint)
    key = breaker_does(facts, band)
    if not key or _near(facts.amps, (facts.at_once, band.holds * facts.breaker), draws.room):
        raise Unfit("the current is too near the point at which the breaker may act")
    accepted = draws.accepted["earth-fault"]
    target = quantity_field("amps", words.say(facts, "label.amps"), "A", facts.amps, tolerance=accepted)
    acts, judged = _breaker(library, facts, key, rng, poor=poor)
    fields = [target, acts]
    slips = [*fitting_slips(library, target, wrong_numbers(words, facts, earth_fault_slips(facts, poor=poor))), *judged]
    asks_volts = poor and ask.level >= draws.volts_from
    if asks_volts:
        metal = quantity_field("volts", words.say(facts, "label.volts"), "V", facts.touch, tolerance=accepted)
        fields.append(metal)
        slips += fitting_slips(library, metal, wrong_numbers(words, facts, metal_slips(facts)))
    parts = Parts(tuple(fields), tuple(slips), Effort(paths=2, steps=3 if asks_volts else 2))
    keys = {"prompt": "prompt-poor", "explanation": "explanation-poor"} if poor else {}
    if asks_volts:
        keys |= {"prompt": "prompt-volts", "working": "working-volts"}
    return assemble(ask, library, POOR_EARTH if poor else GOOD_EARTH, facts, parts, keys=keys)


def _breaker(
    library: Library, facts: EarthFaultFacts, key: str, rng: random.Random, *, poor: bool
) -> tuple[Field, tuple[Slip, ...]]:
    """What the breaker does, as a field, with its slip."""
    words = library.words
    options = [Option(name, words.say(facts, f"option.{name}")) for name in ("once", "never")]
    field = choice_field("breaker", words.say(facts, "label.breaker"), shuffled(options, rng), key)
    slip, other = "joint-left-out" if poor else "protection-misjudged", "once" if key == "never" else "never"
    return field, option_slips(library, field, [WrongOption(slip, other, words.say(facts, "here.breaker"))])
