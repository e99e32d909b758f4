"""Meters: ranges, accuracy, display, beeper, the likelihood of a display, uncertainty budgets, limits and verdicts."""

from __future__ import annotations

from probebook.meters.display import display_to_value
from probebook.meters.judging import Conformity, Verdict, verdict
from probebook.meters.likelihood import log_likelihood, shown_values
from probebook.meters.loading import load_meter, load_meters
from probebook.meters.model import USUAL_ROLES, Function, Meter, Range, Reading, usual_role
from probebook.meters.propagation import Propagation, propagate
from probebook.meters.reading import limits, read
from probebook.meters.uncertainty import (
    Budget,
    BudgetRow,
    Distribution,
    budget,
    power_from_cold_ohms,
    standard_uncertainty,
)
from probebook.regions.limits import Limit, Rules, load_rules

__all__ = [
    "USUAL_ROLES",
    "Budget",
    "BudgetRow",
    "Conformity",
    "Distribution",
    "Function",
    "Limit",
    "Meter",
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
    "propagate",
    "read",
    "shown_values",
    "standard_uncertainty",
    "usual_role",
    "verdict",
]
