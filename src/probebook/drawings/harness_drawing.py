"""The harness as built: parts as boxes with their tags, wires as they run between them, and the wire table.

Parts stand in two columns that face each other, so that every wire end has a line of its own for its mark, letter code
and length; the wires cross in the space between, where there is no text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Annotated

from probebook.appliances.model import Appliance, Part, PartKind, Wire
from probebook.drawings.colours import GROUND, INK, PAPER, SOFT, conductor_colour
from probebook.drawings.saying import colours_said, cover_line, part_title, wire_said
from probebook.drawings.svg import (
    LARGE,
    NORMAL,
    SMALL,
    Box,
    Label,
    Point,
    document,
    identifier,
    num,
    text_width,
    wrapped,
)
from probebook.drawings.telling.describing import describe
from probebook.words import Facts, Noun, Phrase, Words

#: Height of the line that one wire end takes; no two terminals come closer.
PITCH = 28
_BOX, _FAN, _SPACE, _EDGE = 210.0, 22.0, 300.0, 24.0
_HEAD = 20.0
_AT_CONTROLS = (
    PartKind.TERMINAL_BLOCK,
    PartKind.PLUG,
    PartKind.FUSE,
    PartKind.SELECTOR,
    PartKind.SWITCH,
    PartKind.REGULATOR,
    PartKind.THERMOSTAT,
    PartKind.NEON,
)


@dataclass(frozen=True, slots=True)
class _Place:
    """A part's box: left (-1) or right (1) column, upper edge, header lines, and the line of each wire end."""

    part: Part
    side: int
    top: float
    header: tuple[str, ...]
    lines: tuple[tuple[str, tuple[tuple[Wire, float], ...]], ...]
    height: float


@dataclass(frozen=True)
class HarnessFacts(Facts, group="drawings/harness", says=("title", "description")):
    """A harness: the appliance, and its circuit in words."""

    appliance: Noun
    circuit: Phrase


@dataclass(frozen=True)
class TableHead(Facts, group="drawings/table", says=("head",)):
    """The head of the wire table."""


@dataclass(frozen=True)
class TableRow(Facts, group="drawings/table", says=("row",)):
    """A wire with its ends, colour, area and length."""

    mark: str
    start: str
    end: str
    colour: Noun
    code: str
    area: Annotated[float, "m2"]
    length: Annotated[float, "m"]


def harness(words: Words, appliance: Appliance, *, id_prefix: str = "") -> str:
    """Draw the harness as built.

    Returns one SVG element; every terminal, wire and part has an id: ``t-E2-1``, ``w-W7``, ``p-E2``.
    """
    columns = _ordered(words, appliance)
    flag = max([text_width(wire_said(words, w, "end"), SMALL) for w in appliance.wires], default=60.0) + 14
    xs = {-1: _EDGE + _BOX, 1: _EDGE + _BOX + 2 * (_FAN + flag) + _SPACE}
    width = xs[1] + _BOX + _EDGE
    places = [p for side in (-1, 1) for p in _placed(words, appliance, columns[side], side)]
    height = max([p.top + p.height for p in places], default=0.0)
    terminals, ends = _points(places, xs)
    body = [_wire(words, w, terminals, ends, flag, id_prefix) for w in appliance.wires]
    body += [_part(words, p, xs, id_prefix) for p in places]
    body += [_terminal(name, at, id_prefix) for name, at in terminals.items()]
    facts = HarnessFacts(words.noun(appliance.title), Phrase(describe(words, appliance)))
    title = words.say(facts, "title")
    body.append(Label(title, _EDGE, -26, LARGE, bold=True).svg())
    lines = wrapped(colours_said(words, appliance), width - 2 * _EDGE, NORMAL)
    body += [Label(line, _EDGE, height + 34 + 18 * i, NORMAL).svg() for i, line in enumerate(lines)]
    view = Box(0, -56, width, height + 34 + 18 * len(lines))
    return document(view, title, words.say(facts, "description"), body, prefix=id_prefix)


def wire_table(words: Words, appliance: Appliance) -> str:
    """The wires as a Markdown table: mark, from, to, colour with its code, area in mm², length in m."""
    rows = [words.say(TableHead(), "head"), f"|{' --- |' * 4}{' ---: |' * 2}"]
    for w in appliance.wires:
        colour = conductor_colour(w.colour)
        facts = TableRow(w.mark, w.start, w.end, words.noun(colour.word), colour.code, w.area, w.length)
        rows.append(words.say(facts, "row"))
    return "\n".join(rows) + "\n"


def _ends_at(appliance: Appliance, terminal: str) -> list[Wire]:
    return [w for w in appliance.wires if terminal in (w.start, w.end)]


def _ordered(words: Words, appliance: Appliance) -> dict[int, list[Part]]:
    """The two columns, each in the order that lets its wires run most nearly level."""
    columns = {
        -1: [p for p in appliance.parts if p.kind in _AT_CONTROLS],
        1: [p for p in appliance.parts if p.kind not in _AT_CONTROLS],
    }
    best = {s: list(c) for s, c in columns.items()}
    least = _slope(words, appliance, columns)
    for sweep in range(10):
        side = 1 if sweep % 2 == 0 else -1
        heights = _heights(words, appliance, columns)
        middle = {p.mark: _mean_far(appliance, p, heights) for p in columns[side]}
        columns[side].sort(key=lambda p: middle[p.mark])
        found = _slope(words, appliance, columns)
        if found < least:
            least, best = found, {s: list(c) for s, c in columns.items()}
    return best


def _heights(words: Words, appliance: Appliance, columns: dict[int, list[Part]]) -> dict[str, float]:
    return {
        name: place.top + y
        for side, parts in columns.items()
        for place in _placed(words, appliance, parts, side)
        for name, lines in place.lines
        for y in [math.fsum(h for _, h in lines) / len(lines) if lines else 0.0]
    }


def _mean_far(appliance: Appliance, part: Part, heights: dict[str, float]) -> float:
    far = [heights[w.end if w.start == t else w.start] for t in part.terminals for w in _ends_at(appliance, t)]
    return math.fsum(far) / len(far) if far else 1e9


def _slope(words: Words, appliance: Appliance, columns: dict[int, list[Part]]) -> float:
    heights = _heights(words, appliance, columns)
    return math.fsum(abs(heights[w.start] - heights[w.end]) for w in appliance.wires)


def _placed(words: Words, appliance: Appliance, parts: Sequence[Part], side: int) -> list[_Place]:
    found: list[_Place] = []
    top = 0.0
    for part in parts:
        header = tuple(wrapped(part_title(words, part), _BOX - 24, NORMAL))
        behind = (cover_line(words, part),) if part.cover else ()
        y = 10 + 17.0 * (len(header) + len(behind)) + 4
        lines: list[tuple[str, tuple[tuple[Wire, float], ...]]] = []
        for terminal in part.terminals:
            wires = _ends_at(appliance, terminal)
            slots = tuple((w, y + PITCH * (i + 0.5)) for i, w in enumerate(wires))
            lines.append((terminal, slots))
            y += PITCH * max(1, len(wires))
        found.append(_Place(part, side, top, header + behind, tuple(lines), y + 6))
        top += y + 6 + _HEAD
    return found


def _points(places: Sequence[_Place], xs: dict[int, float]) -> tuple[dict[str, Point], dict[tuple[str, str], Point]]:
    """Each terminal's point, and each wire end's by (wire, terminal)."""
    terminals: dict[str, Point] = {}
    ends: dict[tuple[str, str], Point] = {}
    for place in places:
        y = place.top + place.height - 6 - PITCH * sum(max(1, len(s)) for _, s in place.lines)
        for name, slots in place.lines:
            used = PITCH * max(1, len(slots))
            terminals[name] = (xs[place.side], y + used / 2)
            for wire, height in slots:
                ends[wire.mark, name] = (xs[place.side] - place.side * _FAN, place.top + height)
            y += used
    return terminals, ends


def _wire(
    words: Words,
    wire: Wire,
    terminals: dict[str, Point],
    ends: dict[tuple[str, str], Point],
    flag: float,
    prefix: str,
) -> str:
    runs: list[tuple[Point, Point, Point, int]] = []
    labels: list[Label] = []
    left = min(x for x, _ in terminals.values())
    for name in (wire.start, wire.end):
        x, y = ends[wire.mark, name]
        side = -1 if terminals[name][0] == left else 1
        runs.append((terminals[name], (x, y), (x - side * flag, y), side))
        labels.append(Label(wire_said(words, wire, "end"), x - side * 5, y - 5, anchor="start" if side < 0 else "end"))
    (t0, a0, b0, s0), (t1, a1, b1, s1) = runs
    reach = _SPACE * 0.45 if s0 != s1 else min(_SPACE * 0.8, 50 + abs(b1[1] - b0[1]) * 0.4)
    points = [t0, a0, b0, (b0[0] - s0 * reach, b0[1]), (b1[0] - s1 * reach, b1[1]), b1, a1, t1]
    p = [f"{num(x)} {num(y)}" for x, y in points]
    path = f"M{p[0]} L{p[1]} L{p[2]} C{p[3]} {p[4]} {p[5]} L{p[6]} L{p[7]}"
    colour = conductor_colour(wire.colour)
    strokes = [(GROUND, 8.0, ' stroke-linecap="butt"'), (INK, 5.0, ""), (colour.shade, 2.6, "")]
    if colour.stripe:
        strokes.append((colour.stripe, 2.6, ' stroke-dasharray="7 7" stroke-linecap="butt"'))
    shapes = "".join(
        f'<path d="{path}" fill="none" stroke="{shade}" stroke-width="{num(w)}"{extra}/>' for shade, w, extra in strokes
    )
    said = wire_said(words, wire, "harness")
    return (
        f'<g id="{identifier(prefix, "w", wire.mark)}" class="wire" data-wire="{wire.mark}" data-from="{wire.start}"'
        f' data-to="{wire.end}"><title>{escape(said)}</title>{shapes}{"".join(label.svg() for label in labels)}</g>'
    )


def _part(words: Words, place: _Place, xs: dict[int, float], prefix: str) -> str:
    left = xs[place.side] - _BOX if place.side < 0 else xs[place.side]
    shapes = [
        f'<rect x="{num(left)}" y="{num(place.top)}" width="{num(_BOX)}" height="{num(place.height)}" rx="6"'
        f' fill="{PAPER}" stroke="{SOFT}" stroke-width="1.5"/>'
    ]
    text = left + 12 if place.side < 0 else left + 14
    for i, line in enumerate(place.header):
        last = bool(place.part.cover) and i == len(place.header) - 1
        y = place.top + 20 + 17 * i
        size, fill = (SMALL, SOFT) if last else (NORMAL, INK)
        shapes.append(Label(line, text, y, size, bold=not last, fill=fill).svg())
    y = place.top + place.height - 6 - PITCH * sum(max(1, len(s)) for _, s in place.lines)
    for name, slots in place.lines:
        used = PITCH * max(1, len(slots))
        x = xs[place.side] + place.side * 14
        shapes.append(Label(name, x, y + used / 2 + 4.3, anchor="end" if place.side < 0 else "start").svg())
        y += used
    return (
        f'<g id="{identifier(prefix, "p", place.part.mark)}" class="part" data-part="{place.part.mark}">'
        f"<title>{escape(part_title(words, place.part))}</title>{''.join(shapes)}</g>"
    )


def _terminal(name: str, at: Point, prefix: str) -> str:
    x, y = at
    return (
        f'<g id="{identifier(prefix, "t", name)}" class="terminal" data-terminal="{name}"><title>{name}</title>'
        f'<circle cx="{num(x)}" cy="{num(y)}" r="13" fill="{GROUND}" fill-opacity="0"/>'
        f'<rect x="{num(x - 7)}" y="{num(y - 5)}" width="14" height="10" rx="2" fill="{PAPER}" stroke="{INK}"'
        ' stroke-width="1.8"/></g>'
    )


__all__ = ["PITCH", "harness", "wire_table"]
