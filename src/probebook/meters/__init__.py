"""Meters: ranges, accuracy, display, beeper, the likelihood of a display, uncertainty budgets, limits and verdicts."""

from __future__ import annotations

from probebook.meters.display import display_to_value
from probebook.meters.likelihood import log_likelihood, shown_values
from probebook.meters.loading import load_meter, load_meters
from probebook.meters.model import Function, Meter, Range, Reading
from probebook.meters.propagation import Propagation, propagate
from probebook.meters.reading import limits, read
from probebook.meters.rules import Limit, Rules, load_rules, power_limits, standard_rules
from probebook.meters.uncertainty import (
    Budget,
    BudgetRow,
    Distribution,
    budget,
    power_from_cold_ohms,
    standard_uncertainty,
)
from probebook.meters.verdict import Outcome, Verdict, verdict

__all__ = [
    "Budget",
    "BudgetRow",
    "Distribution",
    "Function",
    "Limit",
    "Meter",
    "Outcome",
    "Propagation",
    "Range",
    "Reading",
    "Rules",
    "Verdict",
    "budget",
    "display_to_value",
    "limits",
    "load_meter",
    "load_meters",
    "load_rules",
    "log_likelihood",
    "power_from_cold_ohms",
    "power_limits",
    "propagate",
    "read",
    "shown_values",
    "standard_rules",
    "standard_uncertainty",
    "verdict",
]
