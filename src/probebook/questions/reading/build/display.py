"""Reading questions about the display itself: prefixes, and ranges set by hand."""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.meters import Function, read
from probebook.meters.display import format_count
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import (
    Ask,
    Unfit,
    choice_field,
    numeric_slips,
    option_slips,
    quantity_field,
    shuffled,
)
from probebook.questions.model import Effort, Option, Question
from probebook.questions.pictures import meter_picture
from probebook.questions.reading.build.draws import is_given, limits_of
from probebook.questions.reading.facts.display import (
    DisplayCase,
    LeadEnds,
    display_facts,
    range_case,
    range_facts,
)
from probebook.questions.reading.facts.sums import ends_of
from probebook.questions.reading.slips.display import display_slips, range_slips, step_slips

__all__ = ["build_display", "build_range"]

DISPLAY = Form("function", ("C12", "C14"))


# ---------------------------------------------------------------- prefixes


def build_display(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The ohms behind a display with a prefix."""
    words, appliance = library.words, library.appliance(ask.appliance)
    insulating = ask.level > 1 and rng.random() < 0.5
    draw = _insulation_display if insulating else _ohms_display
    case = draw(ask, library, appliance, rng)
    facts = display_facts(words, appliance, case)
    target = quantity_field("ohms", words.say(facts, "label"), "ohm", case.value, tolerance=0.004)
    target = replace(target, answer=f"{case.value:.0f} Ω")
    slips = numeric_slips(library, target, display_slips(words, facts))
    function = Function.INSULATION if insulating else Function.OHMS
    picture = meter_picture(
        words, f"{ask.id}-meter", case.shown, function, words.say(facts, f"dial-{function}"), case.ends
    )
    keys = {"prompt": f"prompt-{function}", "explanation": f"explanation-{facts.prefix}"}
    parts = Parts((target,), slips, Effort(unit_changes=1), (picture,))
    return assemble(ask, library, DISPLAY, facts, parts, keys=keys)


def _insulation_display(ask: Ask, library: Library, appliance: Appliance, rng: random.Random) -> DisplayCase:
    del ask, appliance
    meter, words = library.meter_for("insulation"), library.words
    true = float(f"{10 ** rng.uniform(4.7, 6.6):.3g}")
    shown = read(meter, Function.INSULATION, true)
    if shown.value < limits_of(library).least_steps * meter.ranges_of(Function.INSULATION)[0].resolution:
        raise Unfit("too few digits are left to read")
    ends = (words.say(LeadEnds(), "lead.supply"), words.say(LeadEnds(), "lead.metalwork"))
    return DisplayCase(meter, shown.display, shown.value, None, ends, library.region.test_volts)


def _ohms_display(ask: Ask, library: Library, appliance: Appliance, rng: random.Random) -> DisplayCase:
    meter = library.meter_for("pocket")
    branch = rng.choice(sc.sections(appliance))
    used = meter.ranges_of(Function.OHMS)[1 if is_given(ask, library) else 2]
    count = round(branch.cold_ohms / used.resolution)
    if count < limits_of(library).least_steps:
        raise Unfit("too few digits are left to read")
    shown = format_count(Function.OHMS, used, count)
    part = sw.name(library.words, appliance, branch)
    return DisplayCase(meter, shown, count * used.resolution, part, ends_of(appliance, branch), 0.0)


# ---------------------------------------------------------------- ranges


def build_range(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A meter whose range is set by hand: what it shows there, and what to do next."""
    words, wanted = library.words, ask.text("meter")
    meter = library.meter(wanted) if wanted else library.meter_for(rng.choice(["pocket", "bench"]))
    used = rng.choice(meter.ranges_of(Function.OHMS)[:3])
    case = range_case(meter, used, rng.choice(limits_of(library).resistors))
    facts = range_facts(words, case)
    displays = [Option(key, text) for key, text in case.shows.items()]
    shows = choice_field("shows", words.say(facts, "label-shows"), shuffled(displays, rng), "right")
    steps = [Option(key, words.say(facts, f"then.{key}")) for key in ("right", "up", "down", "broken")]
    then = choice_field("then", words.say(facts, "label-then"), shuffled(steps, rng), case.step)
    slips = (
        *option_slips(library, shows, range_slips(words, case, facts)),
        *option_slips(library, then, step_slips(words, case, facts)),
    )
    explanation = {"up": "over", "right": "fits", "down": "coarse"}[case.step]
    parts = Parts((shows, then), slips, Effort(unit_changes=1))
    return assemble(ask, library, DISPLAY, facts, parts, keys={"explanation": f"explanation-{explanation}"})
