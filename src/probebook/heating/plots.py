"""A heat-up record as a picture that a learner can read, with the same in words.

Lines differ by dash as well as by colour and are labelled where they end; the strip under the
curve shows when the elements are on by hatching as well as by colour. The SVG is the same bytes
every time. matplotlib is imported when a picture is drawn and not before.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np

from probebook.heating.facts import Facts, describe
from probebook.heating.record import HeatRecord, time_to

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["figure", "record_svg", "summary"]

# Okabe and Ito's palette, those of its colours that reach 3:1 on white.
_BLUE, _VERMILION, _GREEN, _BLACK, _GREY = "#0072B2", "#D55E00", "#009E73", "#000000", "#767676"

_LINES: dict[str, tuple[str, str, str]] = {
    "air": ("air", _BLUE, "-"),
    "water": ("water", _BLUE, "-"),
    "inside": ("inside", _BLUE, "-"),
    "core": ("core", _BLUE, "-"),
    "wall": ("wall", _VERMILION, "--"),
    "case": ("case", _VERMILION, "--"),
    "food": ("food", _GREEN, "-."),
}

_STYLE: Any = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "sans-serif"],
    "font.size": 11.0,
    "hatch.linewidth": 0.6,
    "path.simplify": True,
    "svg.fonttype": "none",
    "svg.hashsalt": "probebook",
}

_NEAREST = 0.055  # part of the height that two labels must lie apart


def record_svg(
    record: HeatRecord,
    *,
    title: str = "Heat-up record",
    nodes: tuple[str, ...] | None = None,
    contacts: bool = True,
) -> str:
    """Draw a record and return SVG text with a title and a description for a screen reader.

    Parameters
    ----------
    record
        What :func:`probebook.heating.simulate.run` returned.
    title
        Heading of the picture.
    nodes
        The nodes to draw; without them the main node, walls and food.
    contacts
        Whether to say which cut-out opens and when. A question that asks for it says ``False``,
        and then neither the picture nor its description does.
    """
    import io

    import matplotlib as mpl

    with mpl.rc_context():
        mpl.rcdefaults()  # a reader's own settings would change the bytes
        mpl.rcParams.update(_STYLE)
        buffer = io.StringIO()
        figure(record, title=title, nodes=nodes, contacts=contacts).savefig(
            buffer, format="svg", metadata={"Date": None, "Creator": "Probebook"}
        )
    text = buffer.getvalue()
    svg = text[text.index("<svg") :]
    head, rest = svg.split(">", 1)
    named = f"<title>{escape(title)}</title>\n<desc>{escape(summary(record, contacts=contacts))}</desc>"
    return f'{head} role="img">\n{named}{rest}'


def figure(
    record: HeatRecord,
    *,
    title: str = "Heat-up record",
    nodes: tuple[str, ...] | None = None,
    contacts: bool = True,
) -> Figure:
    """Return the picture as a matplotlib figure: temperature over time, and the on-off strip."""
    from matplotlib.figure import Figure
    from matplotlib.ticker import MaxNLocator

    drawing = Figure(figsize=(7.6, 4.6), layout="constrained")
    curves, strip = drawing.subplots(2, 1, sharex=True, gridspec_kw={"height_ratios": [11, 1]})
    names = nodes if nodes is not None else tuple(n for n in record.nodes if n in _LINES)
    minutes = record.times / 60.0
    marks: list[tuple[float, str, str]] = []
    for name in names:
        label, colour, dash = _LINES.get(name, (name, _BLACK, ":"))
        values = record.node(name)
        curves.plot(minutes, values, dash, color=colour, linewidth=2.2 if name == record.main else 1.6)
        marks.append((float(values[-1]), label, colour))
    ceiling = max(float(record.node(name).max()) for name in names)
    if record.thermostat is not None:
        set_point = record.thermostat.set_point
        ceiling = max(ceiling, set_point)
        curves.axhline(set_point, color=_BLACK, linestyle=(0, (1, 2)), linewidth=1.4)
        curves.annotate(
            f"set to {set_point:.0f} °C",
            (minutes[0], set_point),
            xytext=(4, 4),
            textcoords="offset points",
            va="bottom",
            color=_BLACK,
        )
    curves.set_ylim(0.0, 1.12 * ceiling + 5.0)
    curves.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    _label_ends(curves, marks, float(minutes[-1]))
    if contacts:
        _trips(curves, record)
    curves.set_title(title, loc="left", fontsize=12.5, fontweight="bold")
    curves.set_ylabel("temperature (°C)")
    curves.grid(color="#d9d9d9", linewidth=0.7)
    curves.set_axisbelow(True)
    _on_strip(strip, record)
    strip.set_xlabel("time (minutes)")
    strip.set_xlim(0.0, float(minutes[-1]))
    for axes in (curves, strip):
        axes.spines[["top", "right"]].set_visible(False)
    return drawing


def _label_ends(axes: Axes, marks: list[tuple[float, str, str]], end: float) -> None:
    """Write each line's name at its right end, moved apart where they would overlap."""
    gap = _NEAREST * (axes.get_ylim()[1] - axes.get_ylim()[0])
    groups: list[list[tuple[float, str, str]]] = []
    for mark in sorted(marks):
        groups.append([mark])
        while len(groups) > 1 and _heights(groups[-1], gap)[0] - _heights(groups[-2], gap)[-1] < gap:
            upper = groups.pop()
            groups[-1] += upper
    for group in groups:
        for height, (_, label, colour) in zip(_heights(group, gap), group, strict=True):
            axes.annotate(
                label,
                (end, height),
                xytext=(6, 0),
                textcoords="offset points",
                va="center",
                color=colour if colour == _BLUE else _BLACK,
                annotation_clip=False,
            )


def _heights(group: list[tuple[float, str, str]], gap: float) -> list[float]:
    """Spread labels that belong together about their mean height."""
    middle = sum(value for value, _, _ in group) / len(group)
    return [middle + gap * (i - (len(group) - 1) / 2) for i in range(len(group))]


def _trips(axes: Axes, record: HeatRecord) -> None:
    """Mark where a cut-out opens, and name it at the foot of the first mark."""
    names = {cut_out.name for cut_out in record.cut_outs}
    trips = [s for s in record.switchings if s.name in names and not s.closed]
    values = record.node(record.main)
    for number, trip in enumerate(trips):
        minute, height = trip.time / 60.0, float(np.interp(trip.time, record.times, values))
        axes.plot([minute], [height], "v", color=_BLACK, markersize=8)
        axes.plot([minute, minute], [0.0, height], color=_GREY, linestyle=(0, (2, 2)), linewidth=1.0)
        if number == 0:
            late = minute > 0.6 * record.times[-1] / 60.0
            axes.annotate(
                f"{trip.name} opens",
                (minute, 0.0),
                xytext=(-5 if late else 5, 5),
                textcoords="offset points",
                ha="right" if late else "left",
                va="bottom",
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
            )


def _on_strip(axes: Axes, record: HeatRecord) -> None:
    """Draw when power flows as hatched blocks."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], record.on, [False]]).astype(np.int8)))
    last = len(record.times) - 1
    spans: list[tuple[float, float]] = []
    for first, after in edges.reshape(-1, 2):
        start = float(record.times[first]) / 60.0
        spans.append((start, float(record.times[min(after, last)]) / 60.0 - start))
    style: dict[str, Any] = {"facecolor": "#9ecae8", "edgecolor": _BLUE, "hatch": "////", "linewidth": 0.8}
    if spans:
        axes.broken_barh(spans, (0.0, 1.0), **style)
    else:
        axes.text(0.5, 0.45, "at no time", transform=axes.transAxes, ha="center", va="center")
    axes.set_ylim(0.0, 1.0)
    axes.set_yticks([0.5], ["power on"])
    axes.tick_params(axis="y", length=0)


def summary(record: HeatRecord, *, contacts: bool = True) -> str:
    """Say in a few sentences what the picture shows, for those who do not see it.

    Without ``contacts`` it tells temperatures and power alone, as :func:`record_svg` does.
    """
    facts = describe(record)
    place = {"air": "air", "water": "water", "core": "core"}.get(record.main, "inside")
    first = record.node(record.main)[0]
    parts = [f"The {place} starts at {first:.0f} °C"]
    parts[0] += f" with the control set to {facts.set_point:.0f} °C." if facts.set_point is not None else "."
    if not facts.heats:
        return f"{parts[0]} No power flows, and it stays there for {_clock(float(record.times[-1]))}."
    parts += _heating(record, facts, place, contacts=contacts)
    parts.append(f"Energy drawn in {_clock(float(record.times[-1]))}: {facts.energy_kwh:.2f} kWh.")
    return " ".join(parts)


def _heating(record: HeatRecord, facts: Facts, place: str, *, contacts: bool) -> list[str]:
    """Say how it warms, cycles, boils and trips."""
    parts = []
    if facts.time_to_set_point is not None:
        parts.append(f"It reaches the set temperature after {_clock(facts.time_to_set_point)}.")
    elif facts.set_point is not None:
        half = time_to(record, 100.0)
        reached = f"; it passes 100 °C after {_clock(half)}" if half else ""
        parts.append(f"It never reaches the set temperature: the hottest is {facts.hottest:.0f} °C{reached}.")
    if facts.boils_at is not None:
        what = "water" if place == "water" else "food"
        parts.append(f"The {what} starts to boil after {_clock(facts.boils_at)}.")
    if facts.trips_at is not None and not contacts:
        parts.append(f"The power goes off after {_clock(_first_off(record))}.")
    elif facts.trips_at is not None:
        stays = " and stays open" if facts.stays_off else ""
        parts.append(f"The {facts.tripped} opens after {_clock(facts.trips_at)}{stays}.")
    if facts.period is not None:
        parts.append(
            f"The power then goes on and off about every {_clock(facts.period)}, on for "
            f"{100.0 * facts.duty:.0f} % of the time, and the {place} swings by {facts.swing:.0f} K "
            f"about {facts.plateau:.0f} °C."
        )
    elif facts.settled and facts.duty > 0.0:
        parts.append(f"The power stays on, and the {place} settles at {facts.plateau:.0f} °C.")
    elif facts.duty > 0.999:
        parts.append(f"The power is still on at the end, at {record.node(record.main)[-1]:.0f} °C.")
    return parts


def _first_off(record: HeatRecord) -> float:
    """Return the first time (s) at which power that was on is off."""
    return float(record.times[int(np.argmax(~record.on & (record.energy > 0.0)))])


def _clock(seconds: float) -> str:
    """Write a time as a person would say it."""
    whole = round(seconds)
    if whole < 100:
        return f"{whole} s"
    if whole < 5400:
        minutes, rest = divmod(whole, 60)
        return f"{minutes} min {rest} s" if rest and minutes < 10 else f"{round(whole / 60)} min"
    return f"{whole / 3600:.1f} h"
