"""A heat-up record put before a learner: what it was made from, and what can be measured on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from probebook.appliances import Appliance
from probebook.heating.figures import RecordFigures, figures_of
from probebook.heating.installed import Heating, heating_of
from probebook.heating.record import HeatRecord, cycle_period, time_to
from probebook.heating.simulate import run

__all__ = [
    "HeatUp",
    "Setting",
    "cycles",
    "first_reached",
    "heat_up",
    "last_swings",
    "main_at",
    "never_off",
    "on_spans",
    "other",
    "read_alike",
    "rows_at",
    "table_time",
    "values_at",
]

#: Steps a table of readings goes by, minutes.
_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0)
#: Most rows of equal step in a table.
_ROWS = 16
#: Where it cycles, the last cycles of a table are read at least so many times each; its other rows would fall on like
#: places of the cycles and show no swing.
_LAST_CYCLES = 2
_TIMES_A_CYCLE = 3


@dataclass(frozen=True, slots=True)
class Setting:
    """How an appliance was set: position, knob (°C, the file's own when None), temperature of the room (°C)."""

    appliance: Appliance
    position: str
    set_point: float | None
    ambient: float


@dataclass(frozen=True, slots=True)
class HeatUp:
    """A record with what it was made from, and the record of the same appliance with nothing wrong."""

    setting: Setting
    faults: tuple[str, ...]
    heating: Heating
    record: HeatRecord
    sound_heating: Heating
    sound: HeatRecord

    @property
    def facts(self) -> RecordFigures:
        """What a person could notice or measure."""
        return figures_of(self.record)


def heat_up(setting: Setting, faults: Sequence[str]) -> HeatUp:
    """The record of an appliance with these faults, and that of the sound one; UsageError where nothing heats."""
    here = heating_of(setting.appliance, setting.position, faults, set_point=setting.set_point)
    usual = heating_of(setting.appliance, setting.position, (), set_point=setting.set_point)
    return HeatUp(setting, tuple(faults), here, _run(here, setting), usual, _run(usual, setting))


def _run(found: Heating, setting: Setting) -> HeatRecord:
    step = 1.0 if found.seconds <= 5000.0 else 20.0
    return run(
        found.space,
        found.watts,
        found.thermostat,
        found.cut_outs,
        seconds=found.seconds,
        step=step,
        ambient=setting.ambient,
        fan=found.fan,
    )


# ---------------------------------------------------------------- when the heaters are on


def on_spans(record: HeatRecord) -> list[tuple[float, float]]:
    """When the heaters are on, in minutes: (from, to), exact; the last span ends with the record."""
    end = float(record.times[-1])
    names = {"thermostat", *(c.name for c in record.cut_outs)}
    is_open: set[str] = set()
    spans: list[tuple[float, float]] = []
    since: float | None = 0.0 if math.fsum(record.watts.values()) > 0 and bool(record.on[0]) else None
    for moved in record.switchings:
        if moved.name not in names:
            continue
        (is_open.discard if moved.closed else is_open.add)(moved.name)
        if is_open and since is not None:
            spans.append((since, moved.time))
            since = None
        elif not is_open and since is None:
            since = moved.time
    if since is not None:
        spans.append((since, end))
    return [(a / 60.0, b / 60.0) for a, b in spans if b > a]


def never_off(record: HeatRecord) -> bool:
    """Whether the heaters are on from their first moment to the end of the record, a second more or less."""
    spans = on_spans(record)
    return len(spans) == 1 and spans[0][1] * 60.0 > float(record.times[-1]) - 1.0


def cycles(record: HeatRecord) -> list[float]:
    """Minutes from each switching on to the next, the first warm-up included."""
    starts = [a for a, _ in on_spans(record)]
    return [b - a for a, b in pairwise(starts)]


# ---------------------------------------------------------------- temperatures


def other(record: HeatRecord) -> str:
    """The second curve of the record: the walls of an oven; empty where there is none worth showing."""
    return "wall" if record.main == "air" and "wall" in record.nodes else ""


def rows_at(record: HeatRecord) -> list[float]:
    """The minutes at which the table gives readings: closer together while an oven warms up and in its last cycles."""
    end = float(record.times[-1]) / 60.0
    coarse = next((s for s in _STEPS if end / s <= _ROWS), _STEPS[-1])
    minutes = list(np.arange(0.0, end + 1e-9, coarse))
    if record.main == "air" and coarse == 5.0:
        minutes = [*np.arange(0.0, 20.1, 2.0), *(m for m in minutes if m > 20.0)]
    if (period := cycle_period(record)) is not None:
        fine = next((s for s in reversed(_STEPS) if s <= period / 60.0 / _TIMES_A_CYCLE), _STEPS[0])
        since = end - _LAST_CYCLES * period / 60.0
        if fine < coarse:
            minutes = sorted({*minutes, *(m for m in np.arange(0.0, end + 1e-9, fine) if m >= since)})
    return [float(m) for m in minutes]


def last_swings(record: HeatRecord) -> tuple[float, float]:
    """The lowest and the highest (°C) of the last cycles that the table shows closely; where it stands at the end."""
    values, period = record.node(record.main), cycle_period(record)
    if period is None:
        return float(values[-1]), float(values[-1])
    last = values[record.times >= record.times[-1] - _LAST_CYCLES * period]
    return float(last.min()), float(last.max())


def values_at(record: HeatRecord, minutes: Sequence[float], node: str) -> list[float]:
    """The temperatures (°C) of a node at some minutes."""
    return [float(v) for v in np.interp(np.array(minutes) * 60.0, record.times, record.node(node))]


def main_at(record: HeatRecord, minute: float) -> float:
    """The temperature (°C) that the record is about, at a minute."""
    return float(np.interp(minute * 60.0, record.times, record.node(record.main)))


def table_time(record: HeatRecord, celsius: float) -> float | None:
    """Minutes at which the table's own readings, joined by straight lines, first reach a temperature."""
    minutes = rows_at(record)
    shown = np.round(values_at(record, minutes, record.main))
    above = np.flatnonzero(shown >= celsius)
    if not len(above) or above[0] == 0:
        return None
    i = int(above[0])
    part = (celsius - shown[i - 1]) / (shown[i] - shown[i - 1])
    return float(minutes[i - 1] + part * (minutes[i] - minutes[i - 1]))


def read_alike(record: HeatRecord, celsius: float) -> bool:
    """Whether the table and the curve come to a temperature between the same two rows: it is passed, not grazed."""
    minutes, exact = rows_at(record), first_reached(record, celsius)
    shown = np.round(values_at(record, minutes, record.main))
    above = np.flatnonzero(shown >= celsius)
    if exact is None or not len(above) or above[0] == 0:
        return False
    return bool(minutes[above[0] - 1] < exact <= minutes[above[0]])


def first_reached(record: HeatRecord, celsius: float, node: str | None = None) -> float | None:
    """Minutes at which a node first reaches a temperature, exact."""
    found = time_to(record, celsius, node)
    return None if found is None else found / 60.0
