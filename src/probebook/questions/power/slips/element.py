"""Slips about one element at its own voltage."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from probebook.questions.power.facts.element import AmpsFacts, OhmsFacts, WattsFacts

__all__ = ["AMPS_PATHS", "DECLARED", "OHMS_PATHS", "WATTS_PATHS", "amps_slips", "ohms_slips", "watts_slips"]

#: Wrong paths that a slip may name in ``text/en/slips.toml`` without any code.
WATTS_PATHS: Mapping[str, Callable[[WattsFacts], float]] = {
    "halved": lambda facts: facts.watts / 2,
    "doubled": lambda facts: facts.watts * 2,
    "current squared": lambda facts: facts.amps**2,
    "volts squared times ohms": lambda facts: facts.volts**2 * facts.ohms,
    "ohms over volts": lambda facts: facts.ohms / facts.volts,
}
OHMS_PATHS: Mapping[str, Callable[[OhmsFacts], float]] = {
    "halved": lambda facts: facts.ohms / 2,
    "doubled": lambda facts: facts.ohms * 2,
    "volts over watts": lambda facts: facts.volts / facts.watts,
    "volts times watts": lambda facts: facts.volts * facts.watts,
}
AMPS_PATHS: Mapping[str, Callable[[AmpsFacts], float]] = {
    "halved": lambda facts: facts.amps / 2,
    "doubled": lambda facts: facts.amps * 2,
    "volts over ohms squared": lambda facts: facts.volts / facts.ohms**2,
}

#: The same by form: where a slip may be met without any code.
DECLARED: Mapping[str, Collection[str]] = {
    "power/watts": WATTS_PATHS,
    "power/ohms": OHMS_PATHS,
    "power/amps": AMPS_PATHS,
}


def watts_slips(facts: WattsFacts) -> dict[str, float]:
    """Watts that each wrong way finds from a reading."""
    return {
        "amps-for-watts": facts.amps,
        "volts-times-ohms": facts.volts * facts.ohms,
        "wrong-voltage": facts.other_volts**2 / facts.ohms,
    }


def ohms_slips(facts: OhmsFacts) -> dict[str, float]:
    """Ohms that each wrong way finds from the plate."""
    return {
        "watts-over-volts": facts.amps,
        "upside-down": facts.watts / facts.volts**2,
        "wrong-voltage": facts.other_volts**2 / facts.watts,
    }


def amps_slips(facts: AmpsFacts) -> dict[str, float]:
    """Amperes that each wrong way finds from a reading."""
    return {
        "watts-for-amps": facts.volts**2 / facts.ohms,
        "volts-times-ohms": facts.volts * facts.ohms,
        "upside-down": facts.ohms / facts.volts,
    }
