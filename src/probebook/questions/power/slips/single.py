"""Slips about one part that is not simply at its rating."""

from __future__ import annotations

from probebook.questions.power.facts.single import HotColdFacts, OtherVoltageFacts

__all__ = ["hot_cold_slips", "no_element_slips", "other_voltage_slips"]


def other_voltage_slips(facts: OtherVoltageFacts) -> dict[str, float]:
    """Watts that each wrong way finds for another voltage."""
    return {
        "linear-in-volts": facts.rating * facts.ratio,
        "rating-at-other-voltage": facts.rating,
        "other-way-round": facts.rating / facts.square,
        "amps-for-watts": facts.amps,
    }


def hot_cold_slips(facts: HotColdFacts) -> dict[str, float]:
    """Watts that each wrong way finds from a cold reading and the factor of the alloy."""
    return {
        "cold-for-hot": facts.cold_watts,
        "other-way-round": facts.volts**2 * facts.factor / facts.ohms,
        "amps-for-watts": facts.amps,
        "volts-times-ohms": facts.volts * facts.factor * facts.ohms,
    }


def no_element_slips(kind: str) -> tuple[dict[str, str], dict[str, str]]:
    """Options that each wrong way chooses for a ``lamp`` or ``motor``, and the sentences that differ by which it is."""
    options = {f"{kind}-for-element": "sum", "amps-for-watts": "amps", "exact-match": "faulty"}
    keys = {slip: f"here.{slip}-{kind}" for slip in ("amps-for-watts", "exact-match")}
    return options, keys
