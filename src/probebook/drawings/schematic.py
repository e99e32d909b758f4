"""The schematic: an appliance's circuit as a ladder from line to neutral, by position of its controls."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape

from probebook.appliances.model import Appliance, BranchKind, Part, PartKind, Wire
from probebook.drawings import symbols
from probebook.drawings.colours import GROUND, INK, PAPER, SOFT, conductor_colour
from probebook.drawings.describe import describe, load_name
from probebook.drawings.layout import Layout, Placed, ground_sign, layout
from probebook.drawings.paths import LOADS, closed_contacts
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
    polyline,
    text_width,
    wrapped,
)
from probebook.drawings.units import INSET, RETURN, Row, Unit, short_watts

#: Radius within which a touch counts as on a terminal; terminals lie far enough apart for it.
REACH = 16.0
_LOAD_SYMBOLS = {
    BranchKind.ELEMENT: symbols.heating_element,
    BranchKind.LAMP: symbols.lamp,
    BranchKind.MOTOR: symbols.motor,
    BranchKind.NEON: symbols.neon,
    BranchKind.FUSE: symbols.fuse,
}


def schematic(
    appliance: Appliance,
    position: str | None = None,
    *,
    highlight_live: Iterable[str] = frozenset(),
    lifted: Iterable[str] = frozenset(),
    id_prefix: str = "",
) -> str:
    """Draw the circuit, with its contacts as they stand in a position (all open when None is given).

    Parameters
    ----------
    appliance
        What to draw; place hints of its parts are followed, the rest is laid out as a ladder.
    position
        Name of a position of the controls; KeyError when there is none of that name.
    highlight_live
        Names of branches (``E1.outer``, ``S1.a``, ``W7``) drawn heavier, such as those that carry current.
    lifted
        Marks of wires drawn with one end lifted.
    id_prefix
        Put before every id, for a page that holds more than one drawing.

    Returns
    -------
    str
        One SVG element. Every terminal, wire and part has an id: ``t-E2-1``, ``w-W7``, ``p-E2``.
    """
    plan = layout(appliance)
    heavy, away = frozenset(highlight_live), frozenset(lifted)
    closed = closed_contacts(appliance, position)
    heading = f"{appliance.title[:1].upper()}{appliance.title[1:]}"
    setting = appliance.position(position).title if position is not None else "controls at rest"
    body = [_wire(appliance, w, plan, id_prefix, w.mark in heavy, w.mark in away) for w in appliance.wires]
    body += [_bus(plan, i, id_prefix) for i in range(len(plan.buses))]
    body += [_part(part, plan, closed, heavy, id_prefix) for part in appliance.parts]
    body += [symbols.junction(dot).svg for dot in plan.dots]
    body += [_terminal(name, at, id_prefix) for name, at in plan.terminals.items()]
    body += [label.svg() for label in _words(appliance, plan)]
    view, frame = _frame(appliance, plan, heading, setting)
    title = f"{heading}: wiring schematic, {setting}"
    return document(view, title, describe(appliance, position, lifted=away), [*body, *frame], prefix=id_prefix)


def _wire(appliance: Appliance, wire: Wire, plan: Layout, prefix: str, heavy: bool, lifted: bool) -> str:
    points = list(plan.wires[wire.mark])
    colour = conductor_colour(wire.colour)
    bare = ""
    if lifted:
        points, bare = _lifted(appliance, wire, plan, points)
    wide = 3.0 if heavy else 0.0
    dash = ' stroke-dasharray="7 4" stroke-linecap="butt"' if lifted else ""
    shapes = [
        polyline(points, GROUND, 9 + wide, ' stroke-linecap="butt"'),
        polyline(points, INK, 5 + wide, dash),
        polyline(points, colour.shade, 2.6 + wide, dash),
    ]
    if colour.stripe:
        shapes.append(polyline(points, colour.stripe, 2.6 + wide, ' stroke-dasharray="7 7" stroke-linecap="butt"'))
    label = plan.labels[wire.mark]
    box = label.box
    shapes.append(
        f'<rect x="{num(box.left - 3)}" y="{num(box.top - 1)}" width="{num(box.right - box.left + 6)}"'
        f' height="{num(box.bottom - box.top + 2)}" fill="{GROUND}"/>'
    )
    words = f"{wire.mark}, {colour.word}, from {wire.start} to {wire.end}{', one end lifted' if lifted else ''}"
    return (
        f'<g id="{identifier(prefix, "w", wire.mark)}" class="wire" data-wire="{wire.mark}"'
        f' data-from="{wire.start}" data-to="{wire.end}" data-lifted="{"true" if lifted else "false"}"'
        f' data-live="{"true" if heavy else "false"}">'
        f"<title>{escape(words)}</title>{''.join(shapes)}{bare}{label.svg()}</g>"
    )


def _lifted(appliance: Appliance, wire: Wire, plan: Layout, points: list[Point]) -> tuple[list[Point], str]:
    """The wire drawn back from the end that is lifted (that at a load, else that not on a bus), and its bare tip."""
    buses = {bus.terminal for bus in plan.buses}
    loads = {b.part for b in appliance.branches if b.kind in LOADS}
    first = wire.start.split(".")[0] in loads and wire.end.split(".")[0] not in loads or wire.end in buses
    run = points if first else points[::-1]
    (x0, y0), (x1, y1) = run[:2]
    length = abs(x1 - x0) + abs(y1 - y0)
    back = min(16.0, length - 2)
    tip = (x0 + (x1 - x0) / length * back, y0 + (y1 - y0) / length * back)
    mark = (
        f'<circle cx="{num(tip[0])}" cy="{num(tip[1])}" r="3" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"/>'
    )
    run = [tip, *run[1:]]
    return (run if first else run[::-1]), mark


def _bus(plan: Layout, index: int, prefix: str) -> str:
    bus = plan.buses[index]
    lines = polyline(list(bus.bar), INK, 3.5)
    if len(bus.stub) > 1:
        lines += polyline(list(bus.stub), INK, 3.5)
    return f'<g id="{identifier(prefix, "b", bus.terminal)}" class="bus" data-terminal="{bus.terminal}">{lines}</g>'


def _terminal(name: str, at: Point, prefix: str) -> str:
    x, y = num(at[0]), num(at[1])
    return (
        f'<g id="{identifier(prefix, "t", name)}" class="terminal" data-terminal="{name}"><title>{name}</title>'
        f'<circle cx="{x}" cy="{y}" r="{num(REACH)}" fill="{GROUND}" fill-opacity="0"/>'
        f'<circle cx="{x}" cy="{y}" r="{num(symbols.TERMINAL_RADIUS)}" fill="{PAPER}" stroke="{INK}"'
        ' stroke-width="2"/></g>'
    )


def _part(part: Part, plan: Layout, closed: frozenset[str], heavy: frozenset[str], prefix: str) -> str:
    shapes: list[str] = []
    for item in plan.units:
        if item.unit.part is not part:
            continue
        if not item.unit.rows:
            shapes.append(_tag(item, plan))
        elif item.unit.framed:
            shapes.append(_framed(item, closed, heavy))
        else:
            row = item.unit.rows[0]
            turn = item.unit.turn
            origin = item.unit.ports[row.right if turn == 180 else row.left]
            at = (item.x + origin[0], item.y + origin[1])
            shapes.append(_single(item.unit, row, at, turn, closed, heavy, item.unit.body[1]))
    return (
        f'<g id="{identifier(prefix, "p", part.mark)}" class="part" data-part="{part.mark}">'
        f"<title>{escape(f'{part.mark} {part.title}')}</title>{''.join(shapes)}</g>"
    )


def _tag(item: Placed, plan: Layout) -> str:
    sign = ground_sign(item.unit, plan.earth)
    return sign((item.x, item.y + symbols.TERMINAL_RADIUS)).svg if sign else ""


def _single(
    unit: Unit, row: Row, at: Point, turn: int, closed: frozenset[str], heavy: frozenset[str], span: float
) -> str:
    name, bold = row.branch.name, row.branch.name in heavy
    shut = name in closed
    kind = unit.part.kind
    if row.branch.kind is not BranchKind.CONTACT:
        svg = _LOAD_SYMBOLS[row.branch.kind](at, turn, span=span, heavy=bold).svg
        return _branch_group(name, svg, bold)
    if kind is PartKind.THERMOSTAT:
        svg = symbols.thermostat(at, turn, span=span, heavy=bold, closed=shut).svg
    elif kind is PartKind.CUT_OUT:
        manual = unit.part.fact("reset") == "manual"
        svg = symbols.cut_out(at, turn, span=span, heavy=bold, closed=shut, manual=manual).svg
    elif kind is PartKind.REGULATOR and not unit.framed and name in unit.part.branches[:1]:
        svg = symbols.regulator(at, turn, span=span, heavy=bold, closed=shut).svg
    else:
        svg = symbols.contact(at, turn, span=span, heavy=bold, closed=shut).svg
        if not unit.framed:
            svg = _hand(at, turn, span / 2, shut) + svg
    return _branch_group(name, svg, bold, "true" if shut else "false")


def _hand(at: Point, turn: int, middle: float, shut: bool) -> str:
    """The dashed link from a single blade up to its hand-operated sign."""
    dx, dy = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[turn]
    up = (0, -1) if turn in (0, 180) else (1, 0)
    x, y = at[0] + dx * middle, at[1] + dy * middle
    near, far = (2, 28) if shut else (8, 28)
    link = polyline(
        [(x + up[0] * near, y + up[1] * near), (x + up[0] * far, y + up[1] * far)], SOFT, 1.5, ' stroke-dasharray="3 3"'
    )
    return link + symbols.turned_by_hand((x + up[0] * far, y + up[1] * far), turn).svg


def _branch_group(name: str, svg: str, heavy: bool, closed: str = "") -> str:
    state = f' data-closed="{closed}"' if closed else ""
    return f'<g class="branch" data-branch="{name}" data-live="{"true" if heavy else "false"}"{state}>{svg}</g>'


def _framed(item: Placed, closed: frozenset[str], heavy: frozenset[str]) -> str:
    unit, x, y = item.unit, item.x, item.y
    start, stop = unit.body
    bottom = unit.box.bottom - 2
    shapes = [
        f'<rect x="{num(x + INSET)}" y="{num(y - 26)}" width="{num(unit.width - 2 * INSET)}" height="{num(bottom + 26)}"'
        f' rx="5" fill="none" stroke="{SOFT}" stroke-width="1.5" stroke-dasharray="6 4"/>'
    ]
    heaters = unit.part.kind is PartKind.ELEMENT
    if not heaters:
        middle = x + (start + stop) / 2
        low = y + unit.rows[-1].y - (2 if unit.rows[-1].branch.name in closed else 8)
        shapes.append(polyline([(middle, y - 38), (middle, low)], SOFT, 1.5, ' stroke-dasharray="3 3"'))
        sign = symbols.heat_setting if unit.part.kind is PartKind.REGULATOR else symbols.turned_by_hand
        shapes.append(sign((middle, y - 38)).svg)
    shapes += _leads(unit, x, y, heavy)
    for row in unit.rows:
        at = (x + start - 10, y + row.y)
        shapes.append(_single(unit, row, at, 0, closed, heavy, span=stop - start + 20))
    return "".join(shapes)


def _leads(unit: Unit, x: float, y: float, heavy: frozenset[str]) -> list[str]:
    """Conductors inside a frame: from ports along their upright tracks to the bodies, with dots where they divide."""
    start, stop = unit.body
    shapes: list[str] = []
    meets: dict[str, list[float]] = {t: [] for t in unit.ports}
    for row in unit.rows:
        width = 3.6 if row.branch.name in heavy else 2.0
        back = row.returned(unit.side)
        for end, body in ((row.left, start - 10), (row.right, stop + 10)):
            edge = unit.tracks.get(end, float(unit.ports[end][0]))
            points = [(body, row.y), (edge, row.y)]
            if end == back:
                turn = body + (-4 if body < stop else 4)
                points = [(body, row.y), (turn, row.y), (turn, row.y + RETURN), (edge, row.y + RETURN)]
            meets[end].append(points[-1][1])
            shapes.append(polyline([(x + px, y + py) for px, py in points], INK, width))
    for terminal, (px, py) in unit.ports.items():
        if terminal not in unit.tracks:
            continue
        track, heights = unit.tracks[terminal], sorted(meets[terminal])
        live = [r.y for r in unit.rows if terminal in (r.left, r.right) and r.branch.name in heavy]
        shapes.append(polyline([(x + px, y + py), (x + track, y + py)], INK, 3.6 if live else 2.0))
        shapes.append(polyline([(x + track, y + heights[0]), (x + track, y + heights[-1])], INK, 2.0))
        if live:
            ends = min([py, *live]), max([py, *live])
            shapes.append(polyline([(x + track, y + ends[0]), (x + track, y + ends[1])], INK, 3.6))
        shapes += [symbols.junction((x + track, y + h)).svg for h in heights[:-1]]
    return shapes


def _words(appliance: Appliance, plan: Layout) -> list[Label]:
    """Marks of terminals and parts."""
    found: list[Label] = []
    for item in plan.units:
        unit, x, y = item.unit, item.x, item.y
        for terminal, (dx, dy) in unit.ports.items():
            found.append(_terminal_label(unit, terminal, x + dx, y + dy))
        for terminal, letter in ((appliance.line, "L"), (appliance.neutral, "N")):
            if terminal in unit.ports:
                found.append(Label(letter, x, y - 27, NORMAL, "middle", bold=True))
        if unit.framed:
            found.append(Label(unit.part.mark, x + INSET, y - 33, NORMAL, bold=True))
            middle = x + sum(unit.body) / 2
            heaters = unit.part.kind is PartKind.ELEMENT
            for row in unit.rows:
                if heaters:
                    found.append(Label(row.caption, middle, y + row.y + 22, anchor="middle"))
                else:
                    found.append(Label(row.caption, middle + 6, y + row.y + 16))
        elif unit.rows:
            caption = unit.rows[0].caption
            if unit.turn in (90, 270):
                found.append(Label(caption, x - 20, y + unit.body[1] / 2 + 4, NORMAL, "end", bold=True))
            else:
                low = 29 if unit.part.kind in (PartKind.MOTOR, PartKind.LAMP, PartKind.NEON) else 25
                found.append(Label(caption, x + unit.width / 2, y + low, NORMAL, "middle", bold=True))
    return found


def _terminal_label(unit: Unit, terminal: str, x: float, y: float) -> Label:
    if not unit.rows and unit.turn == 90:
        return Label(terminal, x - 10, y + 4, anchor="end")
    if not unit.rows:
        return Label(terminal, x, y - 12, anchor="middle")
    if unit.turn in (90, 270) and not unit.framed:
        first = unit.ports[terminal][1] == 0
        return Label(terminal, x - 9, y + (16 if first else -8), anchor="end")
    inset = INSET + 4 if unit.framed else 7.0
    if unit.side[terminal] < 0:
        return Label(terminal, x + inset, y - 12)
    return Label(terminal, x - inset, y - 12, anchor="end")


def _frame(appliance: Appliance, plan: Layout, heading: str, setting: str) -> tuple[Box, list[str]]:
    """Title above, parts list and colour key below; the view box round it all."""
    view = plan.view
    width = max(view.right - view.left, 640.0)
    view = Box(view.left, view.top, view.left + width, view.bottom)
    left, right = view.left + 24, view.right - 24
    supply = f"{appliance.supply.volts:g} V ~  {appliance.plate.hertz:g} Hz"
    labels = [
        Label(heading, left, view.top - 22, LARGE, bold=True),
        Label(setting, left, view.top - 2, 15),
        Label(supply, right, view.top - 22, NORMAL, "end"),
    ]
    columns = 2 if width > 820 else 1
    column_width = (right - left) / columns - 20
    entries = [_listing(appliance, part, column_width) for part in appliance.parts]
    keys = sorted({conductor_colour(w.colour) for w in appliance.wires}, key=lambda c: c.code)
    colours = " · ".join(f"{c.code} {c.word.replace('-', '-and-')}" for c in keys)
    top = view.bottom + 16
    half = -(-sum(len(lines) for _, lines in entries) // columns)
    y, column, used, deepest = top, 0, 0, top
    for mark, lines in entries:
        if column + 1 < columns and used >= half:
            column, used, y = column + 1, 0, top
        labels.append(Label(mark, left + column * (column_width + 40), y, NORMAL, bold=True))
        for line in lines:
            labels.append(Label(line, left + column * (column_width + 40) + 44, y, NORMAL))
            y += 18
        used += len(lines)
        deepest = max(deepest, y)
    labels.append(Label(f"Conductors: {colours}", left, deepest + 8, NORMAL))
    rule = polyline([(left, view.bottom - 4), (right, view.bottom - 4)], SOFT, 1)
    full = Box(view.left, view.top - 48, view.right, deepest + 24)
    return full, [rule, *(label.svg() for label in labels)]


def _listing(appliance: Appliance, part: Part, width: float) -> tuple[str, list[str]]:
    """An entry of the parts list: mark, and its lines of text."""
    loads = [b for b in appliance.branches if b.part == part.mark and b.kind in LOADS and b.watts]
    words = part.title
    if len(loads) == 1:
        words = load_name(appliance, loads[0])[len(part.mark) + 1 :]
    elif loads:
        words += ": " + ", ".join(f"{b.name.partition('.')[2]} {short_watts(b.watts)}" for b in loads)
    return part.mark, wrapped(words, width - 50, NORMAL)


__all__ = ["REACH", "schematic"]
