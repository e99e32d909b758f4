"""Wrong reasons for a verdict on insulation."""

from __future__ import annotations

from probebook.meters import Conformity
from probebook.questions.verdict.slips.reason import MEANS, Reason

__all__ = ["TEMPTS", "insulation_reasons"]

#: The slip that leads from the key to its opposite.
TEMPTS = "wrong-rule"


def insulation_reasons(conformity: Conformity, *, owner: bool) -> tuple[Reason, ...]:
    """The wrong reasons that apply here; an ``owner`` is not tempted to condemn an element."""
    other = Reason("wrong-rule")
    if conformity is Conformity.WITHIN:
        damp = () if owner else (Reason("damp-condemned"),)
        return (other, Reason("wrong-rule", thought="top-of-range"), *damp)
    if conformity is Conformity.OUTSIDE:
        return other, Reason("leak-passed"), Reason("any-reading-passes")
    return other, Reason(MEANS), Reason("leak-passed", answer="leak-passed-cannot")
