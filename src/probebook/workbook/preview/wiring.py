"""Colours of the fixed wiring that feeds a three-phase appliance: now, before, and which mean something else since."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from probebook.appliances import Appliance
from probebook.words import Noun, Phrase, Words
from probebook.workbook.preview import facts as told

if TYPE_CHECKING:
    from probebook.regions.region import LineConductors

__all__ = ["wiring_words"]


def wiring_words(appliance: Appliance, words: Words) -> tuple[Phrase, ...]:
    """Sentences on colours of fixed wiring; none on one phase, with a plug, or where the region names no colours."""
    colours = appliance.region.colours
    if not appliance.other_lines or appliance.supply.kind != "fixed" or colours.three_phase is None:
        return ()
    now = _by_conductor(colours.three_phase, words)
    said = [words.say(told.WiringFacts(_each(now, words)), "wiring")]
    if colours.three_phase_before is None:
        return tuple(said)
    before = _by_conductor(colours.three_phase_before, words)
    said.append(words.say(told.WiringFacts(_each(before, words)), "wiring-before"))
    means = {colour: conductor for conductor, colour in now.items()}
    moved = tuple(
        words.say(told.MovedFacts(words.noun(colour), conductor, means[colour]), "moved")
        for conductor, colour in before.items()
        if means.get(colour, conductor) != conductor
    )
    return (*said, words.say(told.WiringFacts(moved), "wiring-moved")) if moved else tuple(said)


def _by_conductor(colours: LineConductors, words: Words) -> Mapping[Noun, str]:
    """The colour of L1, L2, L3 and neutral."""
    lines = {Noun(f"L{k}", f"L{k}"): colour for k, colour in enumerate(colours.lines, 1)}
    return {**lines, words.noun("neutral"): colours.neutral}


def _each(colours: Mapping[Noun, str], words: Words) -> tuple[Phrase, ...]:
    return tuple(words.say(told.CoreFacts(core, words.noun(colour)), "core") for core, colour in colours.items())
