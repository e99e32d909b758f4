"""What several forms of reading question draw: the ohmmeter, the position; and the field that a reading goes into."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace

from probebook.appliances import Appliance, Branch
from probebook.cases.library import Library
from probebook.meters import Function, Meter, read
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.frame import Ask, Unfit, quantity_field
from probebook.questions.model import Band, Field
from probebook.questions.reading.facts.assumed import ReadingLimits
from probebook.questions.reading.facts.sums import Shown
from probebook.words import Facts, Phrase, Words

__all__ = [
    "Ohmmeter",
    "ReadingLabel",
    "draw_ohmmeter",
    "draw_positions",
    "draw_section",
    "is_given",
    "limits_of",
    "shows_field",
]


@dataclass(frozen=True, slots=True)
class Ohmmeter:
    """A meter on ohms, and whether its leads are nulled."""

    meter: Meter
    nulled: bool

    def told(self, words: Words) -> Phrase:
        """Which meter it is and how its leads stand."""
        return sw.meter_words(words, self.meter, Function.OHMS, nulled=self.nulled)

    @property
    def lead_ohms(self) -> float:
        """Ohms of the leads that it shows as well."""
        return self.meter.leads_in(Function.OHMS, nulled=self.nulled)

    def shown(self, words: Words, value: float, band: Band) -> Shown:
        """What it shows, with the field to answer."""
        return Shown(self.told(words), self.lead_ohms, shows_field(words, self, value, band))


def limits_of(library: Library) -> ReadingLimits:
    """Levels, widths and draws of reading questions."""
    return library.assumptions.get(ReadingLimits)


def is_given(ask: Ask, library: Library) -> bool:
    """Whether the level asked for gives the ohms of each part."""
    return ask.level <= limits_of(library).given_up_to


def draw_ohmmeter(ask: Ask, library: Library, rng: random.Random) -> Ohmmeter:
    """The ohmmeter: the good one up to level 2, any sound one above."""
    wanted = ask.text("meter")
    if wanted:
        meter = library.meter(wanted)
    elif is_given(ask, library):
        meter = library.meter_for("bench")
    else:
        meter = library.meter_for(rng.choice(["bench", "pocket"]))
    return Ohmmeter(meter, meter.can_null)


def draw_positions(ask: Ask, appliance: Appliance, rng: random.Random) -> list[str]:
    """Names of the positions to try: the one asked for, or all in a drawn order."""
    wanted = ask.text("position")
    if wanted:
        return [appliance.position(wanted).name]
    names = [p.name for p in appliance.positions]
    rng.shuffle(names)
    return names


def draw_section(ask: Ask, appliance: Appliance, rng: random.Random) -> Branch:
    """The part that is asked for, or any section of an element."""
    wanted = ask.text("part")
    return appliance.branches[appliance.branch(wanted)] if wanted else rng.choice(sc.sections(appliance))


@dataclass(frozen=True)
class ReadingLabel(Facts, group="questions/reading/label", says=("reading",)):
    """What stands before the field for a reading."""


def shows_field(words: Words, ohmmeter: Ohmmeter, value: float, band: Band) -> Field:
    """The field for a reading: the key is typed as the meter displays it."""
    label = words.say(ReadingLabel(), "reading")
    field = quantity_field("shows", label, "ohm", value, accepted=band, allow_open=True)
    shown = read(ohmmeter.meter, Function.OHMS, value, nulled=ohmmeter.nulled)
    if shown.overload != math.isinf(value):
        raise Unfit(f"the {ohmmeter.meter.title} cannot show {value:.3g} ohms")
    return replace(field, answer=shown.display)
