"""Lines for the same sort of part that are wrong in rating, in voltage, in fit, or are no part but a bridge."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from probebook.appliances import Appliance, BranchKind, Fault, FaultKind, Part, PartKind
from probebook.questions.replacement.facts import why
from probebook.questions.replacement.facts.question import Plain
from probebook.questions.replacement.facts.rating import rating_words
from probebook.questions.replacement.items import Item, Respect, fitted_otherwise, part_wanted, rated_otherwise
from probebook.questions.replacement.ratings import (
    Amperes,
    Load,
    OvenLamp,
    Pattern,
    Rating,
    StockFigures,
    Whole,
    control_rating,
    rating_of,
)
from probebook.questions.replacement.slips.line import LINK, Line, line_of
from probebook.questions.replacement.stock import Stock, fit_of
from probebook.words import Noun, Phrase, Words

__all__ = ["lines_of_its_kind"]

#: Kinds of which a wrong pattern shows in the contacts.
SWITCHING = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR, PartKind.RELAY)
RESPECTS: tuple[Respect, ...] = ("fixing", "size", "terminals")


@dataclass(frozen=True, slots=True, eq=False)
class _Wanted:
    """The part to be replaced, with the right line for it."""

    words: Words
    appliance: Appliance
    part: Part
    source: Stock
    right: Item
    figures: StockFigures

    def otherwise(self, slip: str, rating: Rating, because: Phrase) -> Line:
        """A line that fits and is rated otherwise."""
        return line_of(self.words, slip, rated_otherwise(self.right, self.source, rating), because)

    def plain(self, key: str) -> Phrase:
        """A reason without figures."""
        return self.words.say(why.PlainWhy(), key)

    def calls(self, key: str) -> Phrase:
        """A reason that names the rating that is called for."""
        return self.words.say(why.OtherRating(rating_words(self.words, self.right.rating)), key)


def lines_of_its_kind(
    words: Words, appliance: Appliance, part: Part, fault: Fault | None, source: Stock
) -> Iterator[Line]:
    """The wrong lines, what a named slip leads to first."""
    right = part_wanted(words, appliance, part, source)
    wanted = _Wanted(words, appliance, part, source, right, appliance.assumptions.get(StockFigures))
    if any(b.part == part.mark and b.watts > 0 and b.kind is BranchKind.ELEMENT for b in appliance.branches):
        yield from _elements(wanted, fault)
    elif part.kind is PartKind.LAMP:
        yield from _lamps(wanted)
    elif part.kind is PartKind.FUSE:
        yield from _fuses(wanted)
        yield _link(wanted)
    elif control_rating(part):
        yield from _controls(wanted)
        yield _link(wanted)
    else:
        key = "other-model-contacts" if part.kind in SWITCHING else "other-model"
        yield wanted.otherwise("fit-by-look", Pattern(part.mark, ""), wanted.plain(key))
    yield _misfit(wanted)


def _elements(wanted: _Wanted, fault: Fault | None) -> Iterator[Line]:
    appliance, part, right = wanted.appliance, wanted.part, wanted.right
    if fault and fault.kind in (FaultKind.WRONG_PART, FaultKind.DRIFT):
        old = rating_of(appliance, part, scale=1.0 / next(c.factor for c in fault.changes))
        if old != right.rating:
            yield wanted.otherwise("copied-old-part", old, wanted.plain("copied-old"))
    for scale in wanted.figures.other_watts:
        because = wanted.calls("too-little" if scale < 1 else "too-much")
        yield wanted.otherwise("fit-by-look", rating_of(appliance, part, scale=scale), because)
    volts = appliance.plate.volts
    loads = [b for b in appliance.branches if b.part == part.mark and b.watts > 0]
    total = math.fsum(b.watts for b in loads)
    for made in wanted.source.other_volts:
        told = why.OtherVolts(made, volts, total * (volts / made) ** 2, total)
        because = wanted.words.say(told, "other-voltage")
        yield wanted.otherwise("rating-at-other-voltage", rating_of(appliance, part, volts=made), because)
    if len(loads) > 1:
        yield wanted.otherwise("whole-for-part", Whole(total, volts), wanted.plain("circuits"))


def _lamps(wanted: _Wanted) -> Iterator[Line]:
    figures, rating = wanted.figures, wanted.right.rating
    load = rating.load if isinstance(rating, OvenLamp) else rating
    if isinstance(load, Load):
        household = OvenLamp(load, "household", figures.household_lamp)
        yield wanted.otherwise("fit-by-look", household, wanted.plain("household"))
    low = rating_of(wanted.appliance, wanted.part, volts=figures.lamp_volts)
    told = why.LampVolts(figures.lamp_volts, wanted.appliance.plate.volts)
    yield wanted.otherwise("rating-at-other-voltage", low, wanted.words.say(told, "low-voltage"))


def _fuses(wanted: _Wanted) -> Iterator[Line]:
    for number, amps in enumerate(wanted.figures.fuses):
        yield wanted.otherwise("" if number else "fit-by-look", Amperes(amps), wanted.calls("fuse-small"))


def _controls(wanted: _Wanted) -> Iterator[Line]:
    cooler = control_rating(wanted.part, warmer=-wanted.figures.cooler)
    warmer = control_rating(wanted.part, warmer=wanted.figures.warmer)
    assert cooler is not None
    assert warmer is not None
    yield wanted.otherwise("fit-by-look", cooler, wanted.calls("other-temperature"))
    if wanted.part.kind is PartKind.CUT_OUT:
        yield wanted.otherwise("no-cause-sought", warmer, wanted.plain("opens-later"))


def _link(wanted: _Wanted) -> Line:
    return Line("bypass", LINK, wanted.words.say(Plain(), "link"), wanted.plain("link"), critical=True)


def _misfit(wanted: _Wanted) -> Line:
    """A line that is rated right and fits otherwise in one respect."""
    words, right = wanted.words, wanted.right
    respect, fit = _elsewhere(wanted)
    because = words.say(why.Misfit(fit, right.fit(respect)), "misfit")
    return line_of(words, "ohms-alone", fitted_otherwise(right, wanted.source, respect, fit), because)


def _elsewhere(wanted: _Wanted) -> tuple[Respect, Noun]:
    """Another fit than the right one, in one respect."""
    fit = fit_of(wanted.appliance, wanted.part, wanted.source)
    for respect, choices in zip(RESPECTS, (fit.fixings, fit.sizes, fit.terminals), strict=True):
        rest = [c for c in choices if c != wanted.right.fit(respect)]
        if rest:
            return respect, rest[0]
    return "size", Noun(OTHER_SIZE, wanted.words.say(Plain(), "another-size"))


#: What a size that is not listed is keyed by.
OTHER_SIZE = "another size"
