"""The heat-up record: what a run leaves behind, and what a person reads off it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.errors import ScenarioError
from probebook.heating.controls import CutOut, Thermostat
from probebook.heating.network import Array

__all__ = [
    "Facts",
    "HeatRecord",
    "Switching",
    "cycle_period",
    "describe",
    "duty",
    "energy_kwh",
    "plateau",
    "settled",
    "time_to",
]

JOULES_PER_KWH = 3.6e6

_SETTLED_WITHIN = 2.0  # K of change over the last part of a record that counts as settled
_LAST_PART = 600.0  # s


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
    above: tuple[str, ...] = ()

    def node(self, name: str) -> Array:
        """Temperatures of a node, °C, shape (n,)."""
        if name not in self.nodes:
            raise ScenarioError(
                f"the record has no node {name!r}", remedy=f"use one of: {', '.join(self.nodes)}"
            )
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


def _closings(record: HeatRecord) -> list[float]:
    """Return the times at which what keeps the power cycling closed again."""
    names = {"thermostat", *(cut_out.name for cut_out in record.cut_outs)}
    return [s.time for s in record.switchings if s.closed and s.name in names and s.time > 0.0]


def _window(record: HeatRecord) -> tuple[float, float]:
    """Return the last whole cycles (at most five), or else the last part of the record, s."""
    closings = _closings(record)
    end = float(record.times[-1])
    if len(closings) >= 2:
        return closings[max(0, len(closings) - 6)], closings[-1]
    return max(0.0, end - min(_LAST_PART, end / 5.0)), end


def plateau(record: HeatRecord, node: str | None = None) -> float:
    """Return the temperature (°C) that a record runs at in the end.

    The mean over the last whole cycles when it cycles, or else over the last ten minutes (a fifth
    of a short record). Whether it has :func:`settled` there is another question.
    """
    start, end = _window(record)
    values = record.node(node or record.main)
    inside = (record.times >= start) & (record.times <= end)
    return float(values[inside].mean()) if inside.any() else float(values[-1])


def settled(record: HeatRecord) -> bool:
    """Whether it cycles, or moved by less than 2 K in the last ten minutes (or fifth)."""
    if len(_closings(record)) >= 2:
        return True
    start, _ = _window(record)
    values = record.node(record.main)[record.times >= start]
    return bool(values.max() - values.min() < _SETTLED_WITHIN)


def cycle_period(record: HeatRecord) -> float | None:
    """Return the mean time (s) from one closing to the next, or ``None`` with fewer than two."""
    closings = _closings(record)
    if len(closings) < 2:
        return None
    start, end = _window(record)
    return (end - start) / sum(start < time <= end for time in closings)


def duty(record: HeatRecord) -> float:
    """Return the mean power over the last cycles (or in the end) as a fraction of full power.

    With every heater behind one contact this is the fraction of the time that it is closed.
    """
    start, end = _window(record)
    full = sum(record.watts.values()) * (end - start)
    if full <= 0.0:
        return 0.0
    at = {s.time: s.energy for s in record.switchings}
    drawn = [at.get(t, float(np.interp(t, record.times, record.energy))) for t in (start, end)]
    return (drawn[1] - drawn[0]) / full


def energy_kwh(record: HeatRecord) -> float:
    """Return the energy drawn from the supply, kWh."""
    return float(record.energy[-1]) / JOULES_PER_KWH


@dataclass(frozen=True, slots=True)
class Facts:
    """What a person could notice or measure, as plain numbers; ``None`` where it did not happen.

    Attributes
    ----------
    set_point
        What the knob says, °C.
    reached_set_point, time_to_set_point
        Whether and when (s) the main node first came to the set point.
    plateau, settled, off_by
        Where it runs in the end (°C), whether it has settled, and the difference from the set
        point (K).
    hottest
        The hottest that the main node became, °C.
    swing
        Highest minus lowest over the last cycles, K.
    cycles, period, duty
        How often a contact closed again, seconds a cycle, mean part of full power.
    trips, trips_at, tripped
        Whether a cut-out opened, when first (s), and its name.
    stays_off
        Whether a cut-out that is reset by hand has opened.
    boils, boils_at
        Whether water boiled and when first (s).
    heats
        Whether any power was drawn.
    energy_kwh, mean_watts
        Energy drawn, and its mean rate.
    share_above
        Part of the energy that the elements over the food drew, 0 to 1.
    food
        Temperature of the food in the end, °C.
    """

    set_point: float | None
    reached_set_point: bool | None
    time_to_set_point: float | None
    plateau: float
    settled: bool
    off_by: float | None
    hottest: float
    swing: float
    cycles: int
    period: float | None
    duty: float
    trips: bool
    trips_at: float | None
    tripped: str | None
    stays_off: bool
    boils: bool
    boils_at: float | None
    heats: bool
    energy_kwh: float
    mean_watts: float
    share_above: float | None
    food: float | None


def describe(record: HeatRecord) -> Facts:
    """Read the facts off a record, from which a complaint is computed."""
    main = record.node(record.main)
    set_point = record.thermostat.set_point if record.thermostat else None
    reached = time_to(record, set_point) if set_point is not None else None
    level = plateau(record)
    start, end = _window(record)
    last = main[(record.times >= start) & (record.times <= end)]
    protectors = {cut_out.name: cut_out for cut_out in record.cut_outs}
    trips = [s for s in record.switchings if s.name in protectors and not s.closed]
    trip = trips[0] if trips else None
    boiling = next((s for s in record.switchings if s.name == "boiling" and s.closed), None)
    total = float(record.energy[-1])
    above = sum(record.energy_by_heater.get(name, 0.0) for name in record.above)
    return Facts(
        set_point=set_point,
        reached_set_point=None if set_point is None else reached is not None,
        time_to_set_point=reached,
        plateau=level,
        settled=settled(record),
        off_by=None if set_point is None else level - set_point,
        hottest=float(main.max()),
        swing=float(last.max() - last.min()) if last.size else 0.0,
        cycles=len(_closings(record)),
        period=cycle_period(record),
        duty=duty(record),
        trips=trip is not None,
        trips_at=trip.time if trip else None,
        tripped=trip.name if trip else None,
        stays_off=any(protectors[s.name].closes is None for s in trips),
        boils=boiling is not None,
        boils_at=boiling.time if boiling else None,
        heats=total > 0.0,
        energy_kwh=energy_kwh(record),
        mean_watts=total / float(record.times[-1]) if record.times[-1] > 0.0 else 0.0,
        share_above=above / total if total > 0.0 and record.above else None,
        food=float(record.node("food")[-1]) if "food" in record.nodes else None,
    )
