"""What goes wrong in reading several insulations at once."""

from __future__ import annotations

import math

from probebook.questions.assembling import wrong_numbers
from probebook.questions.frame import WrongNumber
from probebook.questions.reading.facts.insulation import InsulationFacts
from probebook.words import Words

__all__ = ["insulation_slips"]


def insulation_slips(words: Words, facts: InsulationFacts) -> list[WrongNumber]:
    """The slips of insulations side by side."""
    values = {
        "series-for-parallel": facts.series,
        "part-for-whole": facts.smallest,
        "switch-left-off": math.inf,
        "prefix-lost": facts.total / 1000,
        "one-over-n": facts.smallest / facts.count,
    }
    return wrong_numbers(words, facts, values)
