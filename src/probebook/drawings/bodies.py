"""Bodies of parts on the schematic: symbols at their places, contacts as they stand, frames and the leads inside."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from html import escape

from probebook.appliances.model import BranchKind, Part, PartKind
from probebook.drawings import symbols
from probebook.drawings.colours import INK, SOFT
from probebook.drawings.grounds import Placed, ground_sign
from probebook.drawings.layout import Layout
from probebook.drawings.reader.flowing import track_pieces
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
    BranchKind.COIL: symbols.coil,
}
#: How much is left of what is off the path, where a path is drawn.
PALE = "0.3"


@dataclass(frozen=True, slots=True)
class Look:
    """How the circuit is drawn.

    Attributes
    ----------
    closed
        Names of the contacts that are shut; None where all are drawn both ways, for a page that shows which.
    both
        Draw every contact both ways, that which does not hold being hidden.
    live
        What carries current: branches, and pieces of buses and frames.
    """

    closed: frozenset[str] | None
    both: bool = False
    live: frozenset[str] = frozenset()

    @property
    def faded(self) -> bool:
        """Whether what is off the path is drawn pale: there is a path."""
        return bool(self.live)

    def is_shut(self, name: str) -> bool:
        """Whether a contact is shut."""
        return self.closed is not None and name in self.closed


def draw_part(words: Words, part: Part, plan: Layout, look: Look, prefix: str) -> str:
    """A part in all its pieces, one group with one id."""
    shapes: list[str] = []
    for item in plan.units:
        if item.unit.part is not part:
            continue
        if look.closed is None or look.both:
            shapes.append(_touch(item))
        if not item.unit.rows:
            shapes.append(_tag(item, plan))
        elif item.unit.framed:
            shapes.append(_framed(item, look))
        else:
            row = item.unit.rows[0]
            turn = item.unit.turn
            origin = item.unit.ports[row.right if turn == 180 else row.left]
            at = (item.x + origin[0], item.y + origin[1])
            shapes.append(_row(item.unit, row, at, turn, look, item.unit.body[1]))
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


def _row(unit: Unit, row: Row, at: Point, turn: int, look: Look, span: float) -> str:
    """One branch as it stands; a contact both ways where a page decides which, in groups ``shut`` and ``ajar``."""
    name = row.branch.name
    both = look.closed is None or look.both
    if row.branch.kind is not BranchKind.CONTACT or not both:
        return _single(unit, row, at, turn, look, span)
    shut, ajar = (_single(unit, row, at, turn, replace(look, closed=frozenset(names)), span) for names in ((name,), ()))
    hidden = [""] * 2
    if look.closed is not None:
        hidden[look.is_shut(name)] = ' display="none"'
    return (
        f'<g class="moving" data-contact="{name}"><g class="shut"{hidden[0]}>{shut}</g>'
        f'<g class="ajar"{hidden[1]}>{ajar}</g></g>'
    )


def _single(unit: Unit, row: Row, at: Point, turn: int, look: Look, span: float) -> str:
    name, bold = row.branch.name, row.branch.name in look.live
    shut = look.is_shut(name)
    kind = unit.part.kind
    if row.branch.kind is not BranchKind.CONTACT:
        svg = _LOAD_SYMBOLS[row.branch.kind](at, turn, span=span, heavy=bold).svg
        return _branch_group(name, svg, look)
    if kind is PartKind.THERMOSTAT:
        svg = symbols.thermostat(at, turn, span=span, heavy=bold, closed=shut).svg
    elif kind is PartKind.CUT_OUT:
        manual, makes = unit.part.fact("reset") == "manual", math.isinf(row.branch.cold_ohms)
        svg = symbols.cut_out(at, turn, span=span, heavy=bold, closed=shut, manual=manual, makes=makes).svg
    elif kind is PartKind.REGULATOR and not unit.framed and name in unit.part.branches[:1]:
        svg = symbols.regulator(at, turn, span=span, heavy=bold, closed=shut).svg
    else:
        breaks = kind is PartKind.RELAY and not math.isinf(row.branch.cold_ohms)
        sort = symbols.break_contact if breaks else symbols.contact
        svg = sort(at, turn, span=span, heavy=bold, closed=shut).svg
        if not unit.framed and kind not in (PartKind.RELAY, PartKind.FEED):
            svg = _hand(at, turn, span / 2, shut) + svg
    return _branch_group(name, svg, look, "true" if shut else "false")


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


def _branch_group(name: str, svg: str, look: Look, closed: str = "") -> str:
    state = f' data-closed="{closed}"' if closed else ""
    live = "true" if name in look.live else "false"
    return (
        f'<g class="branch" data-branch="{name}" data-flow="{name}" data-live="{live}"{state}'
        f"{fading(name, look)}>{svg}</g>"
    )


def _framed(item: Placed, look: Look) -> str:
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
        low = y + unit.rows[-1].y - (2 if look.is_shut(unit.rows[-1].branch.name) else 8)
        shapes.append(polyline([(middle, y - 38), (middle, low)], SOFT, 1.5, ' stroke-dasharray="3 3"'))
        sign = symbols.heat_setting if unit.part.kind is PartKind.REGULATOR else symbols.turned_by_hand
        shapes.append(sign((middle, y - 38)).svg)
    shapes += _leads(unit, item, look)
    for row in unit.rows:
        at = (x + start - 10, y + row.y)
        shapes.append(_row(unit, row, at, 0, look, stop - start + 20))
    return "".join(shapes)


def _leads(unit: Unit, item: Placed, look: Look) -> list[str]:
    """Conductors inside a frame: from ports along their upright tracks to the bodies, with dots where they divide."""
    (start, stop), x, y = unit.body, item.x, item.y
    shapes: list[str] = []
    heights: dict[str, list[float]] = {t: [height for _, height in unit.leaving(t)] for t in unit.ports}
    for row in unit.rows:
        back = row.returned(unit.side)
        runs: list[str] = []
        for end, body in ((row.left, start - 10), (row.right, stop + 10)):
            edge = unit.tracks.get(end, float(unit.ports[end][0]))
            points = [(body, row.y), (edge, row.y)]
            if end == back:
                turn = body + (-4 if body < stop else 4)
                points = [(body, row.y), (turn, row.y), (turn, row.y + RETURN), (edge, row.y + RETURN)]
            width = symbols.HEAVY if row.branch.name in look.live else 2.0
            runs.append(polyline([(x + px, y + py) for px, py in points], INK, width))
        shapes.append(piece(row.branch.name, runs, look))
    for name, run in track_pieces(item, heights):
        width = symbols.HEAVY if name in look.live else 2.0
        shapes.append(piece(name, [polyline(list(run), INK, width)], look))
    for terminal, track in unit.tracks.items():
        shapes += [symbols.junction((x + track, y + h)).svg for h in sorted(heights[terminal])[:-1]]
    return shapes


def piece(name: str, shapes: list[str], look: Look) -> str:
    """A conductor that a page can draw heavy: its name, and its shapes."""
    return f'<g class="piece" data-flow="{name}"{fading(name, look)}>{"".join(shapes)}</g>'


def fading(name: str, look: Look) -> str:
    """What makes a conductor pale that is off the path, where a path is drawn at all."""
    return f' opacity="{PALE}"' if look.faded and name not in look.live else ""
