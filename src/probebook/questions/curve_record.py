"""A heat-up record as it is put before a learner: how the appliance was set, its readings as picture and as table."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from probebook.appliances import Appliance, BranchKind
from probebook.heating.installed import Heating, heating_of
from probebook.heating.plots import record_svg
from probebook.heating.record import HeatRecord, time_to
from probebook.heating.simulate import run

__all__ = [
    "Setting",
    "Sheet",
    "cycles",
    "first_reached",
    "on_spans",
    "other",
    "picture",
    "rows_at",
    "sheet",
    "table",
    "table_time",
    "words",
]

#: Steps a table of readings goes by, minutes.
_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0)
#: Most rows of equal step in a table.
_ROWS = 16
#: Spans of heating told at the beginning and at the end of a long list.
_SPANS = 5


@dataclass(frozen=True, slots=True)
class Setting:
    """How an appliance was set: position, knob (°C, the file's own when None), temperature of the room (°C)."""

    appliance: Appliance
    position: str
    set_point: float | None
    ambient: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """A record with what it was made from, and the record of the same appliance with nothing wrong."""

    setting: Setting
    faults: tuple[str, ...]
    heating: Heating
    record: HeatRecord
    sound_heating: Heating
    sound: HeatRecord


def sheet(setting: Setting, faults: Sequence[str]) -> Sheet:
    """The record of an appliance with these faults, and that of the sound one; UsageError where nothing heats."""
    here = heating_of(setting.appliance, setting.position, faults, set_point=setting.set_point)
    usual = heating_of(setting.appliance, setting.position, (), set_point=setting.set_point)
    return Sheet(setting, tuple(faults), here, _run(here, setting), usual, _run(usual, setting))


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


# ---------------------------------------------------------------- reading it


def on_spans(record: HeatRecord) -> list[tuple[float, float]]:
    """When the heaters are on, in minutes: (from, to), exact; the last span ends with the record."""
    end = float(record.times[-1])
    names = {"thermostat", *(c.name for c in record.cut_outs)}
    is_open: set[str] = set()
    spans: list[tuple[float, float]] = []
    since: float | None = 0.0 if sum(record.watts.values()) > 0 and bool(record.on[0]) else None
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


def cycles(record: HeatRecord) -> list[float]:
    """Minutes from each switching on to the next, the first warm-up included."""
    starts = [a for a, _ in on_spans(record)]
    return [b - a for a, b in pairwise(starts)]


def rows_at(record: HeatRecord) -> list[float]:
    """The minutes at which the table gives readings: closer together while an oven warms up."""
    end = float(record.times[-1]) / 60.0
    coarse = next((s for s in _STEPS if end / s <= _ROWS), _STEPS[-1])
    minutes = list(np.arange(0.0, end + 1e-9, coarse))
    if record.main == "air" and coarse == 5.0:
        minutes = [*np.arange(0.0, 20.1, 2.0), *(m for m in minutes if m > 20.0)]
    return [float(m) for m in minutes]


def table_time(record: HeatRecord, celsius: float) -> float | None:
    """Minutes at which the table's own readings, joined by straight lines, first reach a temperature."""
    minutes = rows_at(record)
    shown = np.round(np.interp(np.array(minutes) * 60.0, record.times, record.node(record.main)))
    above = np.flatnonzero(shown >= celsius)
    if not len(above) or above[0] == 0:
        return None
    i = int(above[0])
    part = (celsius - shown[i - 1]) / (shown[i] - shown[i - 1])
    return float(minutes[i - 1] + part * (minutes[i] - minutes[i - 1]))


# ---------------------------------------------------------------- showing it


def other(record: HeatRecord) -> str:
    """The second curve of the record: the walls of an oven; empty where there is none worth showing."""
    return "wall" if record.main == "air" and "wall" in record.nodes else ""


def table(record: HeatRecord) -> str:
    """The readings as a Markdown table, and when the heaters were on."""
    names = [record.main, *([other(record)] if other(record) else [])]
    minutes = rows_at(record)
    values = [np.interp(np.array(minutes) * 60.0, record.times, record.node(name)) for name in names]
    titles = {"air": "air", "wall": "walls", "water": "water", "core": "core"}
    lines = [
        "| " + " | ".join(["minutes", *(f"{titles.get(name, name)}, °C" for name in names)]) + " |",
        "|" + " ---: |" * (len(names) + 1),
        *(f"| {m:g} | " + " | ".join(f"{v[i]:.0f}" for v in values) + " |" for i, m in enumerate(minutes)),
    ]
    return "\n".join(lines) + "\n\n" + _spans_words(record)


def _spans_words(record: HeatRecord) -> str:
    spans = on_spans(record)
    end = float(record.times[-1]) / 60.0
    if not spans:
        return "The heaters drew no current at any time."
    if len(spans) == 1 and spans[0][1] > end - 0.01:
        return f"The heaters drew current the whole time, to the end of the record at {end:g} min."
    told = [f"{a:.1f} to {b:.1f}" + (" (end of the record)" if b > end - 0.01 else "") for a, b in spans]
    if len(told) > 2 * _SPANS:
        told = [*told[:_SPANS], "…", *told[-_SPANS:]]
    return f"The heaters drew current in these minutes: {'; '.join(told)}."


def picture(shown: Sheet, name: str) -> tuple[str, str]:
    """The record as (file name, SVG); the description sends a reader to the table, which tells no more and no less."""
    setting = shown.setting
    main = shown.record.main
    nodes = tuple(n for n in (main, other(shown.record)) if n)
    svg = record_svg(shown.record, title=f"Heat-up record: {setting.appliance.title}", nodes=nodes, contacts=False)
    said = "A heat-up record. The table under the picture gives the same readings, and when the heaters were on."
    return f"{name}.svg", re.sub(r"<desc>.*?</desc>", f"<desc>{said}</desc>", svg, count=1, flags=re.DOTALL)


def words(shown: Sheet, *, usual: bool, owner: bool = False) -> str:
    """How the record was taken: position, setting, room, ratings, current.

    ``usual`` gives the current of a sound one as well; to an ``owner`` it is told as the record of somebody else.
    """
    setting, appliance = shown.setting, shown.setting.appliance
    position = appliance.position(setting.position)
    heaters = [b for b in appliance.branches if b.kind is BranchKind.ELEMENT and b.name in position.heats]
    listed = [f"{b.watts:g} W ({_place(appliance.part(b.part).title, b.place)})" for b in heaters]
    ratings = listed[0] if len(listed) == 1 else f"{', '.join(listed[:-1])} and {listed[-1]}"
    knob = shown.record.thermostat
    said = ["A licensed person has made this record of your appliance and shows it to you."] if owner else []
    said += [
        f"The {appliance.title} was switched on cold in the position **{position.title}**"
        + (f", thermostat at **{knob.set_point:g} °C**" if knob else "")
        + f", in a room at {setting.ambient:g} °C.",
        f"This position works {'heaters' if len(heaters) > 1 else 'one heater'} rated {ratings} "
        f"at {appliance.plate.volts:g} V.",
    ]
    if on_spans(shown.record):
        sound = f"; a sound one takes {shown.sound_heating.amps:.1f} A in this position" if usual else ""
        said.append(f"With the heaters on, a clamp on the supply conductor showed {shown.heating.amps:.1f} A{sound}.")
    return " ".join(said)


def _place(title: str, place: str) -> str:
    short = re.sub(r"\s*\([^)]*\)$", "", title)
    return short if place in short or place == "element" else f"{short}, {place}"


def first_reached(record: HeatRecord, celsius: float, node: str | None = None) -> float | None:
    """Minutes at which a node first reaches a temperature, exact."""
    found = time_to(record, celsius, node)
    return None if found is None else found / 60.0
