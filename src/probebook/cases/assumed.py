"""What the making of cases takes for granted: gates, draws, and how a good investigation goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.assumptions import Assumed

__all__ = ["Complaining", "Drawing", "Gates", "Investigating", "further_limit", "trial_limit"]


@dataclass(frozen=True)
class Gates(Assumed, table="cases.gates"):
    """What a draw has to pass before it is issued."""

    complaint_alone: Annotated[float, "1"]
    usual_cause: Annotated[float, "1"]
    sure: Annotated[float, "1"]
    rival: Annotated[float, "1"]
    steady: Annotated[float, "1"]
    corners: Annotated[int, "1"]
    range_change: Annotated[float, "1"]
    misleads: Annotated[float, "1"]
    trial_limits: Annotated[tuple[float, ...], "1"]
    further: Annotated[tuple[float, ...], "1"]


@dataclass(frozen=True)
class Drawing(Assumed, table="cases.drawing"):
    """How a case is drawn.

    ``lead_share`` is the most, as a share of the digits of a meter's statement, by which leads that are not nulled read
    high: once for an instrument, the same with the probes together as in every reading.
    """

    within: Annotated[float, "1"]
    within_tolerance: Annotated[float, "1"]
    rarer_power: Annotated[float, "1"]
    pairs: Annotated[float, "1"]
    settings: Annotated[float, "1"]
    rivals: Annotated[int, "1"]
    lead_share: Annotated[float, "1"]


@dataclass(frozen=True)
class Complaining(Assumed, table="cases.complaining"):
    """How much a customer says."""

    most: Annotated[int, "1"]
    usual_position: Annotated[float, "1"]
    elsewhere: Annotated[float, "1"]
    works: Annotated[float, "1"]
    since: Annotated[float, "1"]
    remark: Annotated[float, "1"]


@dataclass(frozen=True)
class Investigating(Assumed, table="cases.investigating"):
    """How a good investigation chooses and ends, and what else stands in the record."""

    left: Annotated[float, "1"]
    other: Annotated[float, "1"]
    verge: Annotated[float, "1"]
    nearly: Annotated[float, "1"]
    worthless: Annotated[float, "bit"]
    otherwise: Annotated[float, "1"]
    otherwise_verge: Annotated[float, "1"]
    alike: Annotated[float, "1"]
    few_at_three: Annotated[float, "1"]
    one_before: Annotated[float, "1"]
    telling: Annotated[float, "1"]
    safety_recorded: Annotated[float, "1"]
    extra: Annotated[tuple[float, ...], "1"]


def trial_limit(appliance: Appliance, level: int) -> int:
    """Trials in which a good investigation must be able to settle a case of a level."""
    return int(appliance.assumptions.get(Gates).trial_limits[level - 1])


def further_limit(appliance: Appliance, level: int) -> int:
    """Readings that a case of a level may need beside those: to part its key from what no file lists."""
    return int(appliance.assumptions.get(Gates).further[level - 1])
