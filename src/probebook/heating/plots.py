"""A heat-up record as a picture that a learner can read, with the same in words.

Lines differ by dash as well as by colour and are labelled where they end; the strip under the
curve shows when the elements are on by hatching as well as by colour. The SVG is the same bytes
every time. matplotlib is imported when a picture is drawn and not before.
"""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np

from probebook.heating.record import HeatRecord
from probebook.heating.saying import LINES, Line, picture_facts, summary
from probebook.heating.svg_text import settled_svg
from probebook.words import Words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["figure", "record_svg"]

# Okabe and Ito's palette, those of its colours that reach 3:1 on white.
_BLUE, _VERMILION, _GREEN, _BLACK, _GREY = "#0072B2", "#D55E00", "#009E73", "#000000", "#767676"

_LINES: dict[str, tuple[str, str]] = {
    "air": (_BLUE, "-"),
    "water": (_BLUE, "-"),
    "inside": (_BLUE, "-"),
    "core": (_BLUE, "-"),
    "wall": (_VERMILION, "--"),
    "case": (_VERMILION, "--"),
    "food": (_GREEN, "-."),
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
    words: Words,
    record: HeatRecord,
    *,
    title: str = "",
    nodes: tuple[str, ...] | None = None,
    contacts: bool = True,
) -> str:
    """Draw a record and return SVG text with a title and a description for a screen reader.

    Parameters
    ----------
    words
        The language of its text.
    record
        What :func:`probebook.heating.simulate.run` returned.
    title
        Heading of the picture; that it is a heat-up record, without.
    nodes
        The nodes to draw; without them the main node, walls and food.
    contacts
        Whether to say which cut-out opens and when. A question that asks for it says ``False``,
        and then neither the picture nor its description does.
    """
    import io

    import matplotlib as mpl

    title = title or words.say(picture_facts(record), "title")
    with mpl.rc_context():
        mpl.rcdefaults()  # a reader's own settings would change the bytes
        mpl.rcParams.update(_STYLE)
        buffer = io.StringIO()
        figure(words, record, title=title, nodes=nodes, contacts=contacts).savefig(
            buffer, format="svg", metadata={"Date": None, "Creator": "Probebook"}
        )
    text = buffer.getvalue()
    svg = settled_svg(text[text.index("<svg") :])
    head, rest = svg.split(">", 1)
    named = f"<title>{escape(title)}</title>\n<desc>{escape(summary(words, record, contacts=contacts))}</desc>"
    return f'{head} role="img">\n{named}{rest}'


def figure(
    words: Words,
    record: HeatRecord,
    *,
    title: str = "",
    nodes: tuple[str, ...] | None = None,
    contacts: bool = True,
) -> Figure:
    """Return the picture as a matplotlib figure: temperature over time, and the on-off strip."""
    from matplotlib.figure import Figure
    from matplotlib.ticker import MaxNLocator

    drawing = Figure(figsize=(7.6, 4.6), layout="constrained")
    curves, strip = drawing.subplots(2, 1, sharex=True, gridspec_kw={"height_ratios": [11, 1]})
    names = nodes if nodes is not None else tuple(n for n in record.nodes if n in _LINES)
    facts = picture_facts(record)
    minutes = record.times / 60.0
    marks = _curves(words, curves, record, names)
    ceiling = max(float(record.node(name).max()) for name in names)
    if record.thermostat is not None:
        ceiling = max(ceiling, record.thermostat.set_point)
        _set_point(curves, float(minutes[0]), record.thermostat.set_point, words.say(facts, "set-point"))
    curves.set_ylim(0.0, 1.12 * ceiling + 5.0)
    curves.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    _label_ends(curves, marks, float(minutes[-1]))
    if contacts:
        _trips(words, curves, record)
    curves.set_title(title or words.say(facts, "title"), loc="left", fontsize=12.5, fontweight="bold")
    curves.set_ylabel(words.say(facts, "degrees"))
    curves.grid(color="#d9d9d9", linewidth=0.7)
    curves.set_axisbelow(True)
    _on_strip(words, strip, record)
    strip.set_xlabel(words.say(facts, "minutes"))
    strip.set_xlim(0.0, float(minutes[-1]))
    for axes in (curves, strip):
        axes.spines[["top", "right"]].set_visible(False)
    return drawing


def _curves(words: Words, axes: Axes, record: HeatRecord, names: tuple[str, ...]) -> list[tuple[float, str, str]]:
    """Draw the lines; return where each ends, its name and its colour."""
    marks: list[tuple[float, str, str]] = []
    for name in names:
        colour, dash = _LINES.get(name, (_BLACK, ":"))
        values = record.node(name)
        axes.plot(record.times / 60.0, values, dash, color=colour, linewidth=2.2 if name == record.main else 1.6)
        label = words.say(Line(), name) if name in LINES else str(words.noun(name))
        marks.append((float(values[-1]), label, colour))
    return marks


def _set_point(axes: Axes, start: float, celsius: float, said: str) -> None:
    axes.axhline(celsius, color=_BLACK, linestyle=(0, (1, 2)), linewidth=1.4)
    axes.annotate(said, (start, celsius), xytext=(4, 4), textcoords="offset points", va="bottom", color=_BLACK)


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
    middle = math.fsum(value for value, _, _ in group) / len(group)
    return [middle + gap * (i - (len(group) - 1) / 2) for i in range(len(group))]


def _trips(words: Words, axes: Axes, record: HeatRecord) -> None:
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
                words.say(picture_facts(record, trip.name), "opens"),
                (minute, 0.0),
                xytext=(-5 if late else 5, 5),
                textcoords="offset points",
                ha="right" if late else "left",
                va="bottom",
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
            )


def _on_strip(words: Words, axes: Axes, record: HeatRecord) -> None:
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
        axes.text(
            0.5, 0.45, words.say(picture_facts(record), "never"), transform=axes.transAxes, ha="center", va="center"
        )
    axes.set_ylim(0.0, 1.0)
    axes.set_yticks([0.5], [words.say(picture_facts(record), "power")])
    axes.tick_params(axis="y", length=0)
