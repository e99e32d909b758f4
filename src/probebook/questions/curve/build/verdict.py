"""The field for what a record says."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.questions.curve.facts.assumed import CurveLimits
from probebook.questions.curve.facts.judging import Says, others
from probebook.questions.curve.facts.record import HeatUp
from probebook.questions.curve.facts.verdict import VerdictFacts, against, because
from probebook.questions.curve.slips.verdict import verdict_slips
from probebook.questions.frame import choice_field, option_slips, shuffled
from probebook.questions.model import Field, Option, Slip

__all__ = ["verdict_field"]


def verdict_field(
    library: Library, shown: HeatUp, says: Says, facts: VerdictFacts, rng: random.Random
) -> tuple[Field, tuple[Slip, ...]]:
    """The choice of what the record says, and its slips; Unfit where another option fits the record as well."""
    words, limits = library.words, library.assumptions.get(CurveLimits)
    rivals = others(shown, says, limits)
    options = [
        Option(
            one,
            words.say(facts, f"says.{one}"),
            words.say(facts, because(shown, says, limits) if one == says else against(shown, one, limits)),
        )
        for one in (says, *rivals)
    ]
    field = choice_field("says", words.say(facts, "label"), shuffled(options, rng), says)
    wrong = [w for w in verdict_slips(words, shown, says, facts) if w.option in rivals]
    return field, option_slips(library, field, wrong)
