"""Meters: ranges, accuracy, display, beeper, the likelihood of a display, uncertainty budgets and verdicts."""

from __future__ import annotations

from probebook.meters.display import display_to_value
from probebook.meters.likelihood import log_likelihood, shown_values
from probebook.meters.loading import load_meter, load_meters
from probebook.meters.model import Function, Meter, Range, Reading
from probebook.meters.reading import limits, read

__all__ = [
    "Function",
    "Meter",
    "Range",
    "Reading",
    "display_to_value",
    "limits",
    "load_meter",
    "load_meters",
    "log_likelihood",
    "read",
    "shown_values",
]
