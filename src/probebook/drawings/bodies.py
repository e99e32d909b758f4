"""Bodies of parts on the schematic: symbols at their places, contacts as they stand, frames and the leads inside."""

from __future__ import annotations

import math
from html import escape

from probebook.appliances.model import BranchKind, Part, PartKind
from probebook.drawings import symbols
from probebook.drawings.colours import INK, SOFT
from probebook.drawings.grounds import Placed, ground_sign
from probebook.drawings.layout import Layout
from probebook.drawings.saying import part_title
from probebook.drawings.svg import Point, identifier, num, polyline
from probebook.drawings.units import INSET, RETURN, Row, Unit
from probebook.words import Words

_LOAD_SYMBOLS = {
    BranchKind.ELEMENT: symbols.heating_element,
    BranchKind.LAMP: symbols.lamp,
    BranchKind.MOTOR: symbols.motor,
    BranchKind.NEON: symbols.neon,
    BranchKind.FUSE: symbols.fuse,
}


def draw_part(
    words: Words, part: Part, plan: Layout, closed: frozenset[str] | None, heavy: frozenset[str], prefix: str
) -> str:
    """A part in all its pieces, one group with one id; with no ``closed``, contacts are drawn both ways."""
    shapes: list[str] = []
    for item in plan.units:
        if item.unit.part is not part:
            continue
        if closed is None:
            shapes.append(_touch(item))
        if not item.unit.rows:
            shapes.append(_tag(item, plan))
        elif item.unit.framed:
            shapes.append(_framed(item, closed, heavy))
        else:
            row = item.unit.rows[0]
            turn = item.unit.turn
            origin = item.unit.ports[row.right if turn == 180 else row.left]
            at = (item.x + origin[0], item.y + origin[1])
            shapes.append(_row(item.unit, row, at, turn, closed, heavy, item.unit.body[1]))
    return (
        f'<g id="{identifier(prefix, "p", part.mark)}" class="part" data-part="{part.mark}">'
        f"<title>{escape(part_title(words, part))}</title>{''.join(shapes)}</g>"
    )


def _tag(item: Placed, plan: Layout) -> str:
    sign = ground_sign(item.unit, plan.earth)
    return sign((item.x, item.y + symbols.TERMINAL_RADIUS)).svg if sign else ""


def _touch(item: Placed) -> str:
    """What a finger takes for the piece: its box."""
    box = item.unit.box.moved(item.x, item.y)
    return (
        f'<rect class="touch" x="{num(box.left)}" y="{num(box.top)}" width="{num(box.right - box.left)}"'
        f' height="{num(box.bottom - box.top)}" fill="{INK}" fill-opacity="0"/>'
    )


def _row(
    unit: Unit, row: Row, at: Point, turn: int, closed: frozenset[str] | None, heavy: frozenset[str], span: float
) -> str:
    """One branch as it stands; a contact both ways where that is left open, in groups ``shut`` and ``ajar``."""
    if closed is not None or row.branch.kind is not BranchKind.CONTACT:
        return _single(unit, row, at, turn, closed or frozenset(), heavy, span)
    name = row.branch.name
    shut = _single(unit, row, at, turn, frozenset((name,)), heavy, span)
    ajar = _single(unit, row, at, turn, frozenset(), heavy, span)
    return f'<g class="moving" data-contact="{name}"><g class="shut">{shut}</g><g class="ajar">{ajar}</g></g>'


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
        manual, makes = unit.part.fact("reset") == "manual", math.isinf(row.branch.cold_ohms)
        svg = symbols.cut_out(at, turn, span=span, heavy=bold, closed=shut, manual=manual, makes=makes).svg
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


def _framed(item: Placed, closed: frozenset[str] | None, heavy: frozenset[str]) -> str:
    unit, x, y = item.unit, item.x, item.y
    start, stop = unit.body
    bottom = unit.box.bottom - 2
    shapes = [
        f'<rect x="{num(x + INSET)}" y="{num(y - 26)}" width="{num(unit.width - 2 * INSET)}"'
        f' height="{num(bottom + 26)}" rx="5" fill="none" stroke="{SOFT}" stroke-width="1.5" stroke-dasharray="6 4"/>'
    ]
    heaters = unit.part.kind is PartKind.ELEMENT
    if not heaters:
        middle = x + (start + stop) / 2
        low = y + unit.rows[-1].y - (2 if unit.rows[-1].branch.name in (closed or ()) else 8)
        shapes.append(polyline([(middle, y - 38), (middle, low)], SOFT, 1.5, ' stroke-dasharray="3 3"'))
        sign = symbols.heat_setting if unit.part.kind is PartKind.REGULATOR else symbols.turned_by_hand
        shapes.append(sign((middle, y - 38)).svg)
    shapes += _leads(unit, x, y, heavy)
    for row in unit.rows:
        at = (x + start - 10, y + row.y)
        shapes.append(_row(unit, row, at, 0, closed, heavy, stop - start + 20))
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
