"""Wrong reasons for a verdict on the earth path."""

from __future__ import annotations

from probebook.meters import Conformity
from probebook.questions.verdict.slips.reason import Reason, beyond_means

__all__ = ["earth_reasons", "earth_tempts"]

#: Wrong reasons that are offered at most.
MOST = 4


def earth_reasons(conformity: Conformity, *, owner: bool, nulled: bool, cord: bool) -> tuple[Reason, ...]:
    """The wrong reasons that apply: to an owner, with test leads in the reading, with a supply lead in the rule."""
    reasons = [] if nulled else [Reason("leads-left-in")]
    if cord:
        reasons.append(Reason("wrong-rule", thought="lead-left-out"))
    reasons += beyond_means(conformity)
    if not owner:
        reasons.append(Reason("beeper-is-sound"))
    reasons.append(Reason("wrong-rule"))
    return tuple(reasons[:MOST])


def earth_tempts(conformity: Conformity, *, nulled: bool) -> str:
    """The slip that leads from the key to its opposite."""
    return "leads-left-in" if not nulled and conformity is Conformity.WITHIN else "wrong-rule"
