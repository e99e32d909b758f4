"""Wrong reasons for a verdict on a meter."""

from __future__ import annotations

from probebook.meters import Conformity
from probebook.questions.verdict.facts.calibration import CalibrationFacts
from probebook.questions.verdict.slips.reason import MEANS, Reason

__all__ = ["calibration_reasons", "calibration_tempts"]


def calibration_reasons(facts: CalibrationFacts, no_match: float) -> tuple[Reason, ...]:
    """The wrong reasons that apply here; a value that misses by so much (Ω) is no exact match."""
    if facts.verdict is Conformity.CANNOT_TELL:
        label = Reason("label-trusted", answer="label-trusted-cannot")
        return label, Reason("any-reading-passes", answer="any-reading-passes-cannot"), Reason(MEANS)
    reasons = [Reason("label-trusted"), Reason("any-reading-passes")]
    if facts.miss >= no_match:
        reasons.append(Reason("exact-match"))
    if facts.leads:
        reasons.append(Reason("leads-left-in"))
    return tuple(reasons)


def calibration_tempts(facts: CalibrationFacts) -> str:
    """The slip that leads from the key to its opposite."""
    return "exact-match" if facts.verdict is Conformity.WITHIN else "label-trusted"
