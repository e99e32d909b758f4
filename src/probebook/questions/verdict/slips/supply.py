"""Wrong reasons for a verdict on the supply voltage."""

from __future__ import annotations

from probebook.meters import Conformity
from probebook.questions.verdict.slips.reason import MEANS, Reason

__all__ = ["supply_reasons", "supply_tempts"]


def supply_reasons(conformity: Conformity, *, older: bool) -> tuple[Reason, ...]:
    """The wrong reasons that apply here; ``older`` says that other limits held before."""
    before = (Reason("wrong-rule"),) if older else ()
    last = MEANS if conformity is Conformity.CANNOT_TELL else "any-reading-passes"
    return (Reason("exact-match"), *before, Reason(last))


def supply_tempts(conformity: Conformity) -> str:
    """The slip that leads from the key to its opposite."""
    return "exact-match" if conformity is Conformity.WITHIN else "any-reading-passes"
