"""What goes wrong in measuring an open part."""

from __future__ import annotations

import math

from probebook.appliances import BranchKind
from probebook.questions.assembling import wrong_numbers
from probebook.questions.frame import WrongNumber
from probebook.questions.reading.facts.opened import OpenFacts, OpenPart, StillJoinedFacts
from probebook.questions.reading.facts.sums import Sum
from probebook.questions.reading.slips.sums import once_each, sum_slips
from probebook.words import Words

__all__ = ["open_slips", "still_joined_slips"]


def still_joined_slips(words: Words, found: Sum, facts: StillJoinedFacts) -> list[WrongNumber]:
    """The slips of an open part that other paths bridge."""
    values = {
        "open-means-ol": math.inf,
        "fault-left-out": facts.healthy,
        "ol-as-zero": 0.0,
        "parallel-path": facts.own,
    }
    return once_each([*wrong_numbers(words, facts, values), *sum_slips(words, found)])


def open_slips(words: Words, case: OpenPart, facts: OpenFacts) -> list[WrongNumber]:
    """The slips of an open part by itself."""
    branch, volts = case.branch, facts.volts
    values = {"ol-as-zero": 0.0, "fault-left-out": branch.cold_ohms, "parallel-path": case.together}
    if branch.watts:
        if branch.kind is BranchKind.LAMP:
            values["lamp-for-element"] = volts**2 / branch.watts
        if branch.kind is BranchKind.MOTOR:
            values["motor-for-element"] = volts**2 / branch.watts
        values["watts-over-volts"] = branch.watts / volts
    return wrong_numbers(words, facts, values)
