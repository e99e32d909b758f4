"""Symbols after IEC 60617, each a fragment of SVG with the points where its conductors join.

A symbol lies along its own axis from its first terminal at ``at`` to its second, ``span`` units on. ``turn`` lays it
rightwards (0), downwards (90), leftwards (180) or upwards (270); the working side (a blade that lifts, a temperature
sign) stays above a level symbol and to the right of an upright one, and letters are never turned.

Numbers in the docstrings are those of the 1996 print of IEC 60617; a number marked * is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from probebook.drawings.colours import INK, PAPER, SOFT
from probebook.drawings.svg import SMALL, Box, Label, Point, num

#: From terminal to terminal of a symbol on its own.
SPAN = 100.0
#: Half of the body's length along the axis.
HALF = 20.0
#: Radius of a terminal's circle.
TERMINAL_RADIUS = 5.0
_PLAIN = 2.0
#: What marks a line that is drawn heavy with its branch.
LINE = ("", ' class="line"')
#: Width of what is drawn heavy: the path that carries current.
HEAVY = 5.5


@dataclass(frozen=True, slots=True)
class Symbol:
    """A drawn symbol: its SVG, the points where conductors join (first terminal first), the box round its body."""

    svg: str
    anchors: tuple[Point, ...]
    box: Box


class _Pen:
    """Collects shapes in a symbol's own frame (x along the axis, y downwards) and writes them turned and placed."""

    def __init__(self, at: Point, turn: int, heavy: bool) -> None:
        if turn not in (0, 90, 180, 270):
            raise ValueError(f"a symbol turns by 0, 90, 180 or 270 degrees, not {turn}")
        self.at, self.turn, self.width = at, turn, HEAVY if heavy else _PLAIN
        self.shapes: list[str] = []
        self.points: list[Point] = []

    def place(self, x: float, y: float) -> Point:
        dx, dy = {0: (x, y), 90: (-y, x), 180: (-x, y), 270: (-y, -x)}[self.turn]
        return self.at[0] + dx, self.at[1] + dy

    def line(self, *points: Point, dash: str = "", width: float = 0.0, stroke: str = INK) -> None:
        placed = [self.place(*p) for p in points]
        self.points += placed
        path = "M" + " L".join(f"{num(x)} {num(y)}" for x, y in placed)
        extra = f' stroke-dasharray="{dash}"' if dash else ""
        kind = "line" if not width else "blade" if width > self.width else ""
        extra += f' class="{kind}"' if kind else ""
        width = width or self.width
        self.shapes.append(f'<path d="{path}" fill="none" stroke="{stroke}" stroke-width="{num(width)}"{extra}/>')

    def rect(
        self, left: float, top: float, right: float, bottom: float, *, width: float = 0.0, fill: str = PAPER
    ) -> None:
        (x0, y0), (x1, y1) = self.place(left, top), self.place(right, bottom)
        self.points += [(x0, y0), (x1, y1)]
        self.shapes.append(
            f'<rect x="{num(min(x0, x1))}" y="{num(min(y0, y1))}" width="{num(abs(x1 - x0))}"'
            f' height="{num(abs(y1 - y0))}" fill="{fill}" stroke="{INK}"'
            f' stroke-width="{num(width or self.width)}"{LINE[not width]}/>'
        )

    def circle(self, x: float, y: float, radius: float, *, fill: str = PAPER, width: float = 0.0) -> None:
        cx, cy = self.place(x, y)
        self.points += [(cx - radius, cy - radius), (cx + radius, cy + radius)]
        self.shapes.append(
            f'<circle cx="{num(cx)}" cy="{num(cy)}" r="{num(radius)}" fill="{fill}" stroke="{INK}"'
            f' stroke-width="{num(width or self.width)}"{LINE[not width]}/>'
        )

    def letter(self, x: float, y: float, text: str, size: float = SMALL, *, bold: bool = False) -> None:
        px, py = self.place(x, y)
        self.shapes.append(Label(text, px, py + 0.36 * size, size, "middle", bold).svg())

    def finish(self, *anchors: Point) -> Symbol:
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        return Symbol(
            "".join(self.shapes), tuple(self.place(*a) for a in anchors), Box(min(xs), min(ys), max(xs), max(ys))
        )

    def leads(self, span: float, half: float = HALF) -> float:
        """The conductors from both terminals to a body of that half-length; its middle."""
        middle = span / 2
        self.line((0, 0), (middle - half, 0))
        self.line((middle + half, 0), (span, 0))
        return middle


def heating_element(at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False) -> Symbol:
    """Heating element, 04-01-12*: a rectangle divided by cross lines."""
    pen = _Pen(at, turn, heavy)
    m = pen.leads(span)
    pen.rect(m - HALF, -8, m + HALF, 8)
    for x in (m - 10, m, m + 10):
        pen.line((x, -8), (x, 8), width=min(pen.width, 2.4))
    return pen.finish((0, 0), (span, 0))


def resistor(at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False) -> Symbol:
    """Resistor, 04-01-01: a plain rectangle."""
    pen = _Pen(at, turn, heavy)
    m = pen.leads(span)
    pen.rect(m - HALF, -7, m + HALF, 7)
    return pen.finish((0, 0), (span, 0))


def fuse(at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False) -> Symbol:
    """Fuse, 07-21-01*: a rectangle with the conductor drawn through it."""
    pen = _Pen(at, turn, heavy)
    m = pen.leads(span)
    pen.rect(m - HALF, -7, m + HALF, 7)
    pen.line((m - HALF, 0), (m + HALF, 0))
    return pen.finish((0, 0), (span, 0))


def lamp(at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False) -> Symbol:
    """Lamp, 08-10-01*: a circle with a cross."""
    pen = _Pen(at, turn, heavy)
    m = pen.leads(span, 13)
    pen.circle(m, 0, 13)
    d = 13 * 0.7071
    pen.line((m - d, -d), (m + d, d))
    pen.line((m - d, d), (m + d, -d))
    return pen.finish((0, 0), (span, 0))


def neon(at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False) -> Symbol:
    """Neon indicator: a circle with two electrodes and the dot of a gas filling, its resistor in series."""
    pen = _Pen(at, turn, heavy)
    m = span / 2
    pen.line((0, 0), (m - 24, 0))
    pen.rect(m - 24, -5, m - 8, 5)
    pen.line((m - 8, 0), (m - 2, 0))
    pen.line((m + 20, 0), (span, 0))
    pen.circle(m + 9, 0, 11)
    for side in (-1, 1):
        pen.line((m + 9 + 11 * side, 0), (m + 9 + 4 * side, 0))
        pen.line((m + 9 + 4 * side, -5), (m + 9 + 4 * side, 5), width=2)
    pen.circle(m + 9, 7.2, 1.2, fill=INK, width=1)
    return pen.finish((0, 0), (span, 0))


def motor(at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False) -> Symbol:
    """Motor, 06-04-01*: a circle with the letter M."""
    pen = _Pen(at, turn, heavy)
    m = pen.leads(span, 15)
    pen.circle(m, 0, 15)
    pen.letter(m, 0, "M", 15, bold=True)
    return pen.finish((0, 0), (span, 0))


def coil(at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False) -> Symbol:
    """Coil of a relay, 07-15-01*: a rectangle across the conductor, which joins its long sides."""
    pen = _Pen(at, turn, heavy)
    m = pen.leads(span, 8)
    pen.rect(m - 8, -13, m + 8, 13)
    return pen.finish((0, 0), (span, 0))


def contact(
    at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False, closed: bool = False
) -> Symbol:
    """Make contact, 07-02-01*, drawn as it stands in the position shown: blade lifted, or down on its contact."""
    pen = _Pen(at, turn, heavy)
    _make_contact(pen, span, closed)
    return pen.finish((0, 0), (span, 0))


def _make_contact(pen: _Pen, span: float, closed: bool) -> float:
    m = pen.leads(span)
    if closed:
        pen.line((m - HALF, 0), (m + HALF, 0), width=pen.width + 1.5)
    else:
        pen.line((m - HALF, 0), (m + HALF - 8, -14))
    pen.circle(m - HALF, 0, 2.5, fill=INK, width=1)
    pen.circle(m + HALF, 0, 2.5, fill=PAPER, width=1.5)
    return m


def break_contact(
    at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False, closed: bool = True
) -> Symbol:
    """Break contact, 07-02-03*, as it stands: on its stop, or fallen off it."""
    pen = _Pen(at, turn, heavy)
    _break_contact(pen, span, closed)
    return pen.finish((0, 0), (span, 0))


def _break_contact(pen: _Pen, span: float, closed: bool) -> float:
    """The blade on its stop, drawn thick with a dot where it touches; or fallen off it, thin, with a gap to be seen."""
    m = pen.leads(span)
    pen.line((m + HALF, 0), (m + HALF, -7))
    if closed:
        pen.line((m - HALF, 0), (m + HALF + 4, -7), width=pen.width + 1.5)
        pen.circle(m + HALF, -6.4, 3.2, fill=INK, width=1)
    else:
        pen.line((m - HALF, 0), (m + HALF - 4, 13))
    pen.circle(m - HALF, 0, 2.5, fill=INK, width=1)
    return m


def thermostat(
    at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False, closed: bool = True
) -> Symbol:
    """Thermostat: a break contact, 07-02-03*, operated by temperature: the sign ϑ on a dashed link."""
    pen = _Pen(at, turn, heavy)
    m = _break_contact(pen, span, closed)
    pen.line((m, -25), (m, -5 if closed else 4), dash="3 3", width=1.5, stroke=SOFT)
    pen.rect(m - 9, -43, m + 9, -25, width=1.5)
    pen.letter(m, -34, "ϑ", 14)
    return pen.finish((0, 0), (span, 0))


def cut_out(
    at: Point = (0, 0),
    turn: int = 0,
    *,
    span: float = SPAN,
    heavy: bool = False,
    closed: bool = True,
    manual: bool = False,
    makes: bool = False,
) -> Symbol:
    """Thermal cut-out: a break contact with the thermal-effect sign, 02-13-25*; ``manual`` adds a push to reset.

    ``makes`` draws the make contact of one that closes when hot.
    """
    pen = _Pen(at, turn, heavy)
    m = _make_contact(pen, span, closed) if makes else _break_contact(pen, span, closed)
    blade = (-2 if closed else -8) if makes else (-5 if closed else 4)
    pen.line((m, -25), (m, blade), dash="3 3", width=1.5, stroke=SOFT)
    _thermal_effect(pen, m, -25)
    if manual:
        pen.line((m, -41), (m, -46), dash="3 3", width=1.5, stroke=SOFT)
        pen.line((m - 7, -43), (m - 7, -47), (m + 7, -47), (m + 7, -43), width=1.5)
    return pen.finish((0, 0), (span, 0))


def _thermal_effect(pen: _Pen, x: float, y: float) -> None:
    """The thermal-effect sign in its box, standing on (x, y)."""
    pen.rect(x - 12, y - 16, x + 12, y, width=1.5)
    pen.line(
        (x - 9, y - 4), (x - 4, y - 4), (x - 4, y - 12), (x + 4, y - 12), (x + 4, y - 4), (x + 9, y - 4), width=1.5
    )


def regulator(
    at: Point = (0, 0), turn: int = 0, *, span: float = SPAN, heavy: bool = False, closed: bool = True
) -> Symbol:
    """Energy regulator: a contact that a heated bimetal (thermal-effect sign) works, set by hand (the arrow)."""
    pen = _Pen(at, turn, heavy)
    m = _make_contact(pen, span, closed)
    pen.line((m, -25), (m, -2 if closed else -8), dash="3 3", width=1.5, stroke=SOFT)
    _set_by_heat(pen, m, -25)
    return pen.finish((0, 0), (span, 0))


def _set_by_heat(pen: _Pen, x: float, y: float) -> None:
    _thermal_effect(pen, x, y)
    pen.line((x - 16, y + 3), (x + 17, y - 19), width=1.5)
    pen.line((x + 10, y - 18), (x + 17, y - 19), (x + 14, y - 12), width=1.5)


def heat_setting(at: Point = (0, 0)) -> Symbol:
    """The sign over the contacts of an energy regulator: thermal effect, adjustable, standing on ``at``."""
    pen = _Pen(at, 0, False)
    _set_by_heat(pen, 0, 0)
    return pen.finish((0, 0))


def turned_by_hand(at: Point = (0, 0), turn: int = 0) -> Symbol:
    """The sign 'operated by turning', 02-13-04, at the far end of the link from a blade."""
    pen = _Pen(at, turn, False)
    pen.line((-7, -3), (-7, 0), (7, 0), (7, 3), width=1.5)
    return pen.finish((0, 0))


def terminal(at: Point = (0, 0)) -> Symbol:
    """Terminal, 03-02-02*: a small circle."""
    pen = _Pen(at, 0, False)
    pen.circle(0, 0, TERMINAL_RADIUS)
    return pen.finish((0, 0))


def junction(at: Point = (0, 0)) -> Symbol:
    """Junction of conductors, 03-02-01*: a dot."""
    pen = _Pen(at, 0, False)
    pen.circle(0, 0, 3.5, fill=INK, width=1)
    return pen.finish((0, 0))


def earth(at: Point = (0, 0)) -> Symbol:
    """Earth, 02-15-01: the conductor coming down on three bars that shorten."""
    pen = _Pen(at, 0, False)
    pen.line((0, 0), (0, 14))
    for half, y in ((12.0, 14.0), (8.0, 19.0), (4.0, 24.0)):
        pen.line((-half, y), (half, y))
    return pen.finish((0, 0))


def frame(at: Point = (0, 0)) -> Symbol:
    """Frame or chassis, 02-15-04*: the conductor coming down on a bar with slanting strokes."""
    pen = _Pen(at, 0, False)
    pen.line((0, 0), (0, 14))
    pen.line((-14, 14), (14, 14))
    for x in (-14, 0, 14):
        pen.line((x, 14), (x - 7, 23))
    return pen.finish((0, 0))
