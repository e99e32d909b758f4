"""Wrong reasons for a verdict on a coil of cable."""

from __future__ import annotations

from probebook.meters import Conformity
from probebook.questions.verdict.slips.reason import Reason, beyond_means

__all__ = ["conductor_reasons", "conductor_tempts"]


def conductor_reasons(conformity: Conformity, *, loop: bool) -> tuple[Reason, ...]:
    """The wrong reasons that apply here; ``loop`` says that it was read out and back."""
    whole = (Reason("loop-for-single"),) if loop else ()
    return (*whole, Reason("wrong-rule"), Reason("any-reading-passes"), *beyond_means(conformity))


def conductor_tempts(conformity: Conformity, *, loop: bool) -> str:
    """The slip that leads from the key to its opposite."""
    if loop and conformity is Conformity.WITHIN:
        return "loop-for-single"
    return "any-reading-passes" if conformity is Conformity.OUTSIDE else "wrong-rule"
