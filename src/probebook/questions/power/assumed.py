"""Assumptions of power questions: what is drawn, what is asked from which level on, what is accepted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["PowerDraws"]


@dataclass(frozen=True)
class PowerDraws(Assumed, table="questions.power"):
    """What power questions draw and accept.

    ``made`` is the share of its making tolerance that a part may be off. ``accepted`` is the relative half-width of an
    answer by form, ``share_width`` that of a share; ``voltage_marks`` a right sum with the wrong of two voltages earns.
    ``least_factor`` and ``tempts`` are what makes hot and cold, and a sum that does not hold, worth asking; ``unequal``
    parts the watts of two branches, ``agrees`` is how closely the core has to agree with a sum of ratings.
    ``carries`` is what a section that carries current takes at least; one within ``as_rated`` of its rating works as
    rated, one that takes less than the share ``works`` of it does not; currents that agree to ``one_current`` are one.
    ``leaks`` and ``leaks_above`` bound insulation at level 1 and above. ``loops`` bound a loop whose breaker acts at
    once from ``loops_at_once`` times its rating; ``room`` is how far from a device's boundaries a current stays.
    """

    made: Annotated[float, "1"]
    accepted: Annotated[Mapping[str, float], "1"]
    share_width: Annotated[float, "1"]
    voltage_marks: Annotated[float, "1"]
    ohms_from: Annotated[int, "1"]
    volts_from: Annotated[int, "1"]
    least_factor: Annotated[float, "1"]
    tempts: Annotated[float, "1"]
    unequal: Annotated[float, "1"]
    agrees: Annotated[float, "1"]
    carries: Annotated[float, "W"]
    as_rated: Annotated[float, "1"]
    works: Annotated[float, "1"]
    one_current: Annotated[float, "1"]
    leaks: Annotated[tuple[float, ...], "ohm"]
    leaks_above: Annotated[tuple[float, ...], "ohm"]
    loops: Annotated[tuple[float, ...], "ohm"]
    loops_at_once: Annotated[float, "1"]
    poor_joints: Annotated[tuple[float, ...], "ohm"]
    good_joints: Annotated[tuple[float, ...], "ohm"]
    poor_share: Annotated[float, "1"]
    room: Annotated[float, "1"]
