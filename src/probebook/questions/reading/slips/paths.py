"""What goes wrong in measuring sound parts: alone, with others beside them, and from line to neutral."""

from __future__ import annotations

import math

from probebook.questions.assembling import wrong_numbers
from probebook.questions.frame import WrongNumber
from probebook.questions.reading.facts.paths import AcrossFacts, Alone, BesideFacts, SupplyFacts, TrapFacts
from probebook.questions.reading.facts.sums import Sum
from probebook.questions.reading.slips.sums import once_each, sum_slips
from probebook.words import Words

__all__ = ["across_slips", "beside_slips", "supply_slips"]


def across_slips(words: Words, alone: Alone, facts: AcrossFacts, trap: TrapFacts) -> list[WrongNumber]:
    """The slips of a part with one wire off: the other path first, where it waits."""
    values = {
        "lifted-is-open": math.inf,
        "watts-over-volts": facts.amps,
        "upside-down": facts.watts / facts.volts**2,
        "wrong-voltage": facts.other_volts**2 / facts.watts,
    }
    if len(alone.siblings) > 1:
        values["whole-for-part"] = facts.whole
    beside = wrong_numbers(words, trap, {"parallel-path": trap.together}) if alone.waits else []
    return [*beside, *wrong_numbers(words, facts, values)]


def beside_slips(words: Words, found: Sum, facts: BesideFacts) -> list[WrongNumber]:
    """The slips of a part with others beside it."""
    alone = wrong_numbers(words, facts, {"parallel-path": facts.own})
    return once_each([*alone, *sum_slips(words, found), *wrong_numbers(words, facts, {"ol-as-zero": 0.0})])


def supply_slips(words: Words, found: Sum, facts: SupplyFacts) -> list[WrongNumber]:
    """The slips of the whole appliance from line to neutral."""
    wrong = [*wrong_numbers(words, facts, {"part-for-whole": facts.own}), *sum_slips(words, found)]
    if not found.scene.state.calling:
        wrong += wrong_numbers(words, facts, {"contact-ignored": facts.calling})
    return once_each(wrong)
