"""Wrong ohms of a new element."""

from __future__ import annotations

from probebook.questions.replacement.facts.cold import ColdFacts, ColdOhms

__all__ = ["cold_slips"]


def cold_slips(facts: ColdFacts, ohms: ColdOhms) -> dict[str, float]:
    """What each slip computes, in ohms as the learner types it."""
    return {
        "amps-for-watts": facts.amps,
        "volts-times-ohms": facts.watts * facts.volts,
        "half-voltage": ohms.hot / 4,
    }
