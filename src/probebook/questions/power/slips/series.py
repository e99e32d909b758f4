"""Slips about sections one after the other."""

from __future__ import annotations

from probebook.questions.power.facts.series import SeriesFacts

__all__ = ["series_slips"]


def series_slips(facts: SeriesFacts) -> dict[str, float]:
    """Watts that each wrong way finds for sections one after the other."""
    return {
        "parallel-for-series": facts.side_by_side,
        "even-volts": facts.side_by_side / len(facts.parts) ** 2,
        "part-for-whole": facts.heaviest_watts,
        "amps-for-watts": facts.amps,
        "volts-times-ohms": facts.volts * facts.ohms,
    }
