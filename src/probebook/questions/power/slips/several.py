"""Slips about several heating circuits side by side."""

from __future__ import annotations

from probebook.questions.power.facts.several import BranchAmpsFacts, ShareFacts, TotalFacts
from probebook.questions.scene import parallel

__all__ = ["back_slips", "branch_amps_slips", "share_slips", "total_slips"]


def total_slips(facts: TotalFacts, nominal: float) -> dict[str, float]:
    """Watts that each wrong way finds for a position; ``nominal`` is the one that the other is mixed up with."""
    slips = {}
    if facts.half_watts:
        slips["whole-for-part"] = facts.watts + facts.half_watts
    slips |= {
        "part-for-whole": facts.watts - min(facts.terms),
        "watts-like-ohms": parallel(facts.terms),
        "amps-for-watts": facts.amps,
        "wrong-voltage": facts.watts * (facts.other_volts / nominal) ** 2,
    }
    if facts.resting:
        slips["all-for-some"] = facts.every
    return slips


def share_slips(facts: ShareFacts) -> dict[str, float]:
    """Shares of the heat that each wrong way finds."""
    return {
        "lost-for-left": facts.lost_share,
        "equal-shares": facts.others / facts.circuits,
        "nothing-left": 0.0,
        "others-take-over": 1.0,
        "other-way-round": facts.lost / facts.left,
    }


def branch_amps_slips(facts: BranchAmpsFacts) -> dict[str, float]:
    """Amperes that each wrong way finds in the first of two branches."""
    return {
        "equal-split": facts.both / 2,
        "fixed-current": facts.both,
        "other-part": facts.second_amps,
        "upside-down": facts.volts / facts.first_watts,
    }


def back_slips() -> dict[str, str]:
    """Options that each wrong way chooses for the current that comes back."""
    return {"current-used-up": "less", "one-wire": "none"}
