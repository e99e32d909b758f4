"""Wrong reasons for a verdict on the power of an element."""

from __future__ import annotations

from probebook.meters import Conformity
from probebook.questions.verdict.facts.power import PowerFacts
from probebook.questions.verdict.slips.reason import Reason, beyond_means

__all__ = ["power_reasons", "power_tempts"]

#: Wrong reasons that are offered at least, and at most.
FEWEST, MOST = 3, 4


def power_reasons(facts: PowerFacts, no_match: float) -> tuple[Reason, ...]:
    """The wrong reasons that apply here; a power this far from its rating is no exact match."""
    within = facts.verdict is Conformity.WITHIN
    straight = (facts.straight_side == "inside") is not within or facts.verdict is Conformity.CANNOT_TELL
    reasons = [Reason("cold-for-hot")] if straight else []
    reasons.append(Reason("any-reading-passes"))
    if abs(facts.watts / facts.rating - 1) > no_match:
        reasons.append(Reason("exact-match"))
    reasons += beyond_means(facts.verdict)
    if len(reasons) < FEWEST:
        reasons.append(Reason("wrong-rule"))
    return tuple(reasons[:MOST])


def power_tempts(facts: PowerFacts) -> str:
    """The slip that leads from the key to its opposite."""
    return "exact-match" if facts.verdict is Conformity.WITHIN else "any-reading-passes"
