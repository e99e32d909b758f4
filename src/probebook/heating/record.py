"""The heat-up record: what a run leaves behind, and what a person reads off it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.errors import ScenarioError
from probebook.heating.assumed import Settling
from probebook.heating.controls import CutOut, Thermostat
from probebook.heating.network import Array

__all__ = [
    "HeatRecord",
    "Switching",
    "closings",
    "cycle_period",
    "duty",
    "energy_kwh",
    "last_cycles",
    "plateau",
    "settled",
    "time_to",
]

JOULES_PER_KWH = 3.6e6


@dataclass(frozen=True, slots=True)
class Switching:
    """One movement of a contact (or a node that starts or stops boiling) at an exact time, s.

    ``closed`` is the state afterwards; for ``"boiling"`` it is whether it boils. ``energy`` is
    what had been drawn by then, J.
    """

    time: float
    name: str
    closed: bool
    energy: float


@dataclass(frozen=True, slots=True)
class HeatRecord:
    """Temperatures, contacts and energy at equal steps of time.

    Attributes
    ----------
    times
        Seconds, shape (n,).
    nodes, temperatures
        Names, and °C with shape (n, nodes). Sensors that lag are nodes as well.
    main
        The node that the record is about (``air``, ``water`` …).
    heaters
        The nodes that elements of the space are, in order.
    on
        Whether any power flows just before each time (at time 0: from the start), shape (n,).
    thermostat_closed
        State of the thermostat's contact (true without a thermostat), shape (n,).
    cut_outs, cut_outs_closed
        The cut-outs that were used, and whether each is closed, shape (n, cut-outs).
    energy
        Joules drawn since the start, shape (n,).
    watts, energy_by_heater
        The power of each heater when on (W), and the joules that it drew in all.
    switchings
        Every movement of a contact, in order, at its exact time.
    thermostat, bulb_node
        The thermostat that was used, and the node its bulb's temperature is found under.
    ambient
        Room temperature, °C.
    settling
        What counts as its end.
    above
        The heaters that lie over the food.
    """

    times: Array
    nodes: tuple[str, ...]
    temperatures: Array
    main: str
    heaters: tuple[str, ...]
    on: NDArray[np.bool_]
    thermostat_closed: NDArray[np.bool_]
    cut_outs: tuple[CutOut, ...]
    cut_outs_closed: NDArray[np.bool_]
    energy: Array
    watts: Mapping[str, float]
    energy_by_heater: Mapping[str, float]
    switchings: tuple[Switching, ...]
    thermostat: Thermostat | None
    bulb_node: str | None
    ambient: float
    settling: Settling
    above: tuple[str, ...] = ()

    def node(self, name: str) -> Array:
        """Temperatures of a node, °C, shape (n,)."""
        if name not in self.nodes:
            raise ScenarioError(f"the record has no node {name!r}", remedy=f"use one of: {', '.join(self.nodes)}")
        return np.asarray(self.temperatures[:, self.nodes.index(name)])

    @property
    def air(self) -> Array:
        """Temperatures of the air, °C, shape (n,)."""
        return self.node("air")

    @property
    def wall(self) -> Array:
        """Temperatures of the wall, °C, shape (n,)."""
        return self.node("wall")

    @property
    def bulb(self) -> Array:
        """Temperatures of the thermostat's bulb (of the main node without one), °C, shape (n,)."""
        return self.node(self.bulb_node or self.main)

    @property
    def elements(self) -> Array:
        """Temperatures of the elements, °C, shape (n, elements), in the order of ``heaters``."""
        columns = [self.nodes.index(name) for name in self.heaters]
        return np.asarray(self.temperatures[:, columns])


def time_to(record: HeatRecord, celsius: float, node: str | None = None) -> float | None:
    """Return the first time (s) at which a node (the main one) reaches a temperature, or ``None``.

    Between samples the temperature is taken as straight.
    """
    values = record.node(node or record.main)
    reached = values >= celsius
    if not reached.any():
        return None
    i = int(np.argmax(reached))
    if i == 0:
        return float(record.times[0])
    part = (celsius - values[i - 1]) / (values[i] - values[i - 1])
    return float(record.times[i - 1] + part * (record.times[i] - record.times[i - 1]))


def closings(record: HeatRecord) -> list[float]:
    """Return the times at which what keeps the power cycling closed again."""
    names = {"thermostat", *(cut_out.name for cut_out in record.cut_outs)}
    return [s.time for s in record.switchings if s.closed and s.name in names and s.time > 0.0]


def last_cycles(record: HeatRecord) -> tuple[float, float]:
    """Return when the last whole cycles begin and end, or else the last part of the record, s."""
    times, settling = closings(record), record.settling
    end = float(record.times[-1])
    if len(times) >= 2:
        return times[max(0, len(times) - settling.cycles - 1)], times[-1]
    return max(0.0, end - min(settling.part, end / settling.parts)), end


def plateau(record: HeatRecord, node: str | None = None) -> float:
    """Return the temperature (°C) that a record runs at in the end.

    The mean over the last whole cycles when it cycles, or else where it stands at the end, so that a table, a graph
    and a sentence agree. Whether it has :func:`settled` there is another question.
    """
    values = record.node(node or record.main)
    if len(closings(record)) < 2:
        return float(values[-1])
    start, end = last_cycles(record)
    inside = (record.times >= start) & (record.times <= end)
    return float(values[inside].mean()) if inside.any() else float(values[-1])


def settled(record: HeatRecord) -> bool:
    """Whether it cycles, or has come to rest in its last part."""
    if len(closings(record)) >= 2:
        return True
    start, _ = last_cycles(record)
    values = record.node(record.main)[record.times >= start]
    return bool(values.max() - values.min() < record.settling.within)


def cycle_period(record: HeatRecord) -> float | None:
    """Return the mean time (s) from one closing to the next, or ``None`` with fewer than two."""
    times = closings(record)
    if len(times) < 2:
        return None
    start, end = last_cycles(record)
    return (end - start) / sum(start < time <= end for time in times)


def duty(record: HeatRecord) -> float:
    """Return the mean power over the last cycles (or in the end) as a fraction of full power.

    With every heater behind one contact this is the fraction of the time that it is closed.
    """
    start, end = last_cycles(record)
    full = math.fsum(record.watts.values()) * (end - start)
    if full <= 0.0:
        return 0.0
    at = {s.time: s.energy for s in record.switchings}
    drawn = [at.get(t, float(np.interp(t, record.times, record.energy))) for t in (start, end)]
    return (drawn[1] - drawn[0]) / full


def energy_kwh(record: HeatRecord) -> float:
    """Return the energy drawn from the supply, kWh."""
    return float(record.energy[-1]) / JOULES_PER_KWH
