"""What is wrong with what an appliance's file says of its heat, found by reckoning with it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from probebook.appliances import Appliance
from probebook.errors import ProbebookError, ScenarioError
from probebook.heating.installed import feeds_of, record_of
from probebook.heating.stated import models_of, wrong_figures

__all__ = ["wrong_heat"]


def wrong_heat(appliance: Appliance) -> list[ScenarioError]:
    """Every mistake in the [heat] table of an appliance; where it holds none, each position that heats is run."""
    if not appliance.heat:
        return []
    return list(wrong_figures(appliance)) or list(_unheated(appliance)) or list(_runs(appliance))


def _unheated(appliance: Appliance) -> Iterator[ScenarioError]:
    """Models that no element of the appliance heats."""
    places = sorted({branch.place for branch in appliance.branches if branch.place})
    for key, model in models_of(appliance).items():
        feeds = feeds_of(appliance, model)
        if not set(feeds) & set(places):
            yield ScenarioError(
                f"the model '{model}' is heated at {' or '.join(feeds)}, and no element has that place",
                where=f"heat.{key}",
                remedy=f"choose another model, or give an element such a place; here are {', '.join(places) or 'none'}",
            )


def _runs(appliance: Appliance) -> Iterator[ScenarioError]:
    """Positions that heat and cannot be run: whatever it is, it is told."""
    for position in appliance.positions:
        if not any(branch.place for branch in appliance.branches if branch.name in position.heats):
            continue
        try:
            finite = bool(np.isfinite(record_of(appliance, position.name).temperatures).all())
        except ProbebookError as error:
            yield ScenarioError(error.message, where="heat", remedy=error.remedy)
            return
        except (ArithmeticError, ValueError, MemoryError):
            finite = False
        if not finite:
            yield ScenarioError(
                f"the figures give no heat-up in position '{position.name}'",
                where="heat",
                remedy="write figures of the order of those of the appliances that came with Probebook",
            )
            return
