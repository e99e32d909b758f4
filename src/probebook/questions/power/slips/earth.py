"""Slips about currents to earth."""

from __future__ import annotations

from probebook.questions.power.facts.earth import EarthFaultFacts, LeakageFacts

__all__ = ["earth_fault_slips", "leakage_slips", "metal_slips"]


def leakage_slips(facts: LeakageFacts) -> dict[str, float]:
    """Amperes that each wrong way finds for a leakage."""
    return {
        "prefix-lost": facts.amps * 1000,
        "prefix-swapped": facts.amps / 1000,
        "watts-for-amps": facts.volts**2 / facts.ohms,
        "upside-down": facts.ohms / facts.volts,
    }


def earth_fault_slips(facts: EarthFaultFacts, *, poor: bool) -> dict[str, float]:
    """Amperes that each wrong way finds for a fault to metal, through a ``poor`` joint or a good one."""
    slips = {"joint-left-out": facts.perfect, "part-for-whole": facts.volts / facts.joint} if poor else {}
    return {
        **slips,
        "upside-down": facts.ohms / facts.volts,
        "watts-for-amps": facts.volts**2 / facts.ohms,
        "volts-times-ohms": facts.volts * facts.ohms,
    }


def metal_slips(facts: EarthFaultFacts) -> dict[str, float]:
    """Volts that each wrong way finds on the metal."""
    return {"no-volts-on-metal": 0.0, "other-part": facts.volts - facts.touch, "even-volts": facts.even_volts}
