"""What counts as carrying, working and stopped, and how often each sort of trace question is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.assumptions import Assumed

__all__ = ["TraceFigures", "figures_of"]


@dataclass(frozen=True)
class TraceFigures(Assumed, table="questions.trace"):
    """Thresholds and shares of trace questions.

    Attributes
    ----------
    carrying
        Current below which a branch counts as carrying none.
    stopped, at_work
        Shares of a load's power: up to the first it has stopped, from the second on it works; a wire that leaves
        something between them is not asked about.
    cold, warm
        Power below which a section has stopped and above which it is at work, where a part goes open.
    no_volts, none_accepted
        Most that may stand across a part behind an open contact; and most that is accepted for none.
    volts_accepted
        Tolerance of an answer in volts that is not none.
    idle
        Share of questions about a wire, from level 2 on, in which nothing stops.
    behind, contacts
        Share of questions about volts, from level 2 on, about a sound part behind a contact; and of contacts among
        the open parts of the others.
    """

    carrying: Annotated[float, "A"]
    stopped: Annotated[float, "1"]
    at_work: Annotated[float, "1"]
    cold: Annotated[float, "W"]
    warm: Annotated[float, "W"]
    no_volts: Annotated[float, "V"]
    none_accepted: Annotated[float, "V"]
    volts_accepted: Annotated[float, "1"]
    idle: Annotated[float, "1"]
    behind: Annotated[float, "1"]
    contacts: Annotated[float, "1"]


def figures_of(appliance: Appliance) -> TraceFigures:
    """The figures that hold of an appliance."""
    return appliance.assumptions.get(TraceFigures)
