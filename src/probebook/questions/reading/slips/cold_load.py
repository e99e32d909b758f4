"""What goes wrong with a cold lamp, motor or neon: the option that each slip leads to."""

from __future__ import annotations

from probebook.appliances import BranchKind
from probebook.questions.assembling import wrong_options
from probebook.questions.frame import WrongOption
from probebook.questions.reading.facts.cold_load import NeonFacts, RatedFacts
from probebook.words import Words

__all__ = ["neon_slips", "rated_slips"]


def neon_slips(words: Words, facts: NeonFacts) -> list[WrongOption]:
    """The slips of a neon."""
    return wrong_options(words, facts, {"neon-resistor": "resistor", "ol-as-zero": "zero", "neon-open": "broken"})


def rated_slips(words: Words, facts: RatedFacts, kind: BranchKind) -> list[WrongOption]:
    """The slips of a lamp or a motor."""
    formula = "lamp-for-element" if kind is BranchKind.LAMP else "motor-for-element"
    return wrong_options(
        words,
        facts,
        {formula: "rated", "upside-down": "ratio", "sound-part-open": "open"},
        keys={formula: "here.from-rating"},
    )
