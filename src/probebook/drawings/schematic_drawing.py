"""The schematic: an appliance's circuit as a ladder from line to neutral, by position of its controls."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from probebook.appliances.model import Appliance, Wire
from probebook.drawings import symbols
from probebook.drawings.bodies import Look, draw_part, fading, piece
from probebook.drawings.colours import GROUND, INK, PAPER, conductor_colour
from probebook.drawings.layout import Bus, Layout, layout
from probebook.drawings.lettering import marks, surround
from probebook.drawings.paths import LOADS, closed_contacts
from probebook.drawings.reader.arrows import arrows
from probebook.drawings.reader.flowing import bar_pieces, pieces_of
from probebook.drawings.reader.reading import Reading, embedded
from probebook.drawings.saying import TitleFacts, wire_said
from probebook.drawings.svg import Label, Point, document, identifier, num, polyline
from probebook.drawings.telling.branches import describe_branches
from probebook.drawings.telling.describing import describe
from probebook.words import Noun, Words

#: Radius within which a touch counts as on a terminal; terminals lie far enough apart for it.
REACH = 16.0
#: Widths of a wire that carries current: of its band, and of its colour on it.
BAND = (12.0, 6.0)
#: Width of a bus, and of one that carries current.
BUS = (3.5, 9.0)


def schematic(
    words: Words,
    appliance: Appliance,
    position: str | None = None,
    *,
    highlight_live: Iterable[str] | Mapping[str, int] = frozenset(),
    lifted: Iterable[str] = frozenset(),
    moving: bool = False,
    readings: Sequence[Reading] = (),
    id_prefix: str = "",
) -> str:
    """Draw the circuit, with its contacts as they stand in a position (all open when None is given).

    Parameters
    ----------
    words
        The language of its text.
    appliance
        What to draw; place hints of its parts are followed, the rest is laid out as a ladder. Contacts that cycle (a
        thermostat's, a regulator's) are drawn closed as far as the position closes them.
    position
        Name of a position of the controls; KeyError when there is none of that name.
    highlight_live
        Names of branches (``E1.outer``, ``S1.a``, ``W7``) drawn heavy, such as those that carry current; the rest is
        then pale. With the sense of each (see :mod:`probebook.drawings.reader.flowing`), arrows stand on the wires.
    lifted
        Marks of wires drawn with one end lifted.
    moving
        Draw every contact both ways, for a page that shows it as it stands at the moment.
    readings
        Positions in which a page may show the path of the current (see :mod:`probebook.drawings.reader.reading`);
        the drawing then holds what that needs, and looks the same.
    id_prefix
        Put before every id, for a page that holds more than one drawing.

    Returns
    -------
    str
        One SVG element. Every terminal, wire and part has an id: ``t-E2-1``, ``w-W7``, ``p-E2``. Its description tells
        the circuit branch by branch; what works is told only where the path is drawn.
    """
    plan = layout(words, appliance)
    flow = dict(highlight_live) if isinstance(highlight_live, Mapping) else dict.fromkeys(highlight_live, 0)
    away = frozenset(lifted)
    closed = closed_contacts(appliance, position, live=bool(flow), lifted=away)
    said = _title(words, appliance, position, moving=moving)
    live = frozenset(flow)
    look = Look(None if moving else closed, both=bool(readings), live=live | pieces_of(appliance, plan, live))
    body = [_bus(appliance, plan, bus, id_prefix, look) for bus in plan.buses]
    drawn = _Wires(words, appliance, plan, id_prefix, look, away, flow, both=bool(readings))
    body += [drawn.svg(wire) for wire in appliance.wires]
    body += [draw_part(words, part, plan, look, id_prefix) for part in appliance.parts]
    body += [symbols.junction(dot).svg for dot in plan.dots]
    body += [_terminal(name, at, id_prefix) for name, at in plan.terminals.items()]
    body += [label.svg() for label in marks(appliance, plan)]
    full, frame = surround(words, appliance, plan, said)
    tell = describe if live and position is not None else describe_branches
    told = tell(words, appliance, position, lifted=away)
    data = embedded(words, appliance, plan, plan.view, full, readings)
    return document(full, words.say(said, "title"), told, [*body, *frame], prefix=id_prefix, data=data)


def _title(words: Words, appliance: Appliance, position: str | None, *, moving: bool) -> TitleFacts:
    title = words.noun(appliance.title)
    fed = (appliance.supply.volts, appliance.plate.hertz, appliance.supply.between_lines)
    if moving:
        return TitleFacts(title, Noun("", ""), *fed)
    if position is not None:
        return TitleFacts(title, words.noun(appliance.position(position).title), *fed)
    rest = words.say(TitleFacts(title, Noun("", ""), *fed), "rest")
    return TitleFacts(title, Noun(rest, rest), *fed)


@dataclass(frozen=True, slots=True)
class _Wires:
    """Draws the wires of an appliance."""

    words: Words
    appliance: Appliance
    plan: Layout
    prefix: str
    look: Look
    away: frozenset[str]
    flow: Mapping[str, int]
    both: bool

    def svg(self, wire: Wire) -> str:
        """A wire with its mark; where it carries current, a heavy band with arrows on it."""
        points = list(self.plan.wires[wire.mark])
        lifted = wire.mark in self.away
        bare = ""
        if lifted:
            points, bare = _lifted(self.appliance, wire, self.plan, points)
        label = self.plan.labels[wire.mark]
        box = label.box
        ground = (
            f'<rect x="{num(box.left - 3)}" y="{num(box.top - 1)}" width="{num(box.right - box.left + 6)}"'
            f' height="{num(box.bottom - box.top + 2)}" fill="{GROUND}"/>'
        )
        said = wire_said(self.words, wire, "schematic-lifted" if lifted else "schematic")
        heavy = wire.mark in self.look.live
        run = f'<g class="run" data-flow="{wire.mark}"{fading(wire.mark, self.look)}>'
        return (
            f'<g id="{identifier(self.prefix, "w", wire.mark)}" class="wire" data-wire="{wire.mark}"'
            f' data-from="{wire.start}" data-to="{wire.end}" data-lifted="{"true" if lifted else "false"}"'
            f' data-live="{"true" if heavy else "false"}">'
            f"<title>{escape(said)}</title>{run}{self._run(wire, points, lifted)}</g>{bare}{ground}{label.svg()}"
            f"{self._arrows(wire, points, label)}</g>"
        )

    def _run(self, wire: Wire, points: list[Point], lifted: bool) -> str:
        colour = conductor_colour(wire.colour)
        band, core = BAND if wire.mark in self.look.live else (5.0, 2.6)
        dash = ' stroke-dasharray="7 4" stroke-linecap="butt"' if lifted else ""
        shapes = [
            polyline(_shortened(points), GROUND, band + 4, ' class="gap" stroke-linecap="butt"'),
            polyline(points, INK, band, f' class="band"{dash}'),
            polyline(points, colour.shade, core, f' class="core"{dash}'),
        ]
        if colour.stripe:
            stripe = ' class="core" stroke-dasharray="7 7" stroke-linecap="butt"'
            shapes.append(polyline(points, colour.stripe, core, stripe))
        return "".join(shapes)

    def _arrows(self, wire: Wire, points: list[Point], label: Label) -> str:
        """Arrows in the sense of the current; both ways, hidden, for a page that shows which."""
        sense = self.flow.get(wire.mark, 0)
        senses = (1, -1) if self.both else (sense,) if sense else ()
        shapes: list[str] = []
        for each in senses:
            hidden = "" if each == sense else ' display="none"'
            way = points if each > 0 else points[::-1]
            kind = "to" if each > 0 else "fro"
            shapes.append(f'<g class="arrow {kind}" data-of="{wire.mark}"{hidden}>{arrows(way, label.box)}</g>')
        return "".join(shapes)


def _shortened(points: list[Point]) -> list[Point]:
    """The run less a few units at either end, so that the gap it leaves in what it crosses spares its own ends."""
    ends: list[Point] = []
    for (x0, y0), (x1, y1) in ((points[0], points[1]), (points[-1], points[-2])):
        share = min(0.45, 7 / max(1.0, abs(x1 - x0) + abs(y1 - y0)))
        ends.append((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share))
    return [ends[0], *points[1:-1], ends[1]]


def _lifted(appliance: Appliance, wire: Wire, plan: Layout, points: list[Point]) -> tuple[list[Point], str]:
    """The wire drawn back from the end that is lifted (that at a load, else that not on a bus), and its bare tip."""
    buses = {bus.terminal for bus in plan.buses}
    loads = {b.part for b in appliance.branches if b.kind in LOADS}
    first = (wire.start.split(".")[0] in loads and wire.end.split(".")[0] not in loads) or wire.end in buses
    run = points if first else points[::-1]
    (x0, y0), (x1, y1) = run[:2]
    length = abs(x1 - x0) + abs(y1 - y0)
    back = min(11.0, length - 2)
    tip = (x0 + (x1 - x0) / length * back, y0 + (y1 - y0) / length * back)
    mark = f'<circle cx="{num(tip[0])}" cy="{num(tip[1])}" r="2.5" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"/>'
    run = [tip, *run[1:]]
    return (run if first else run[::-1]), mark


def _bus(appliance: Appliance, plan: Layout, bus: Bus, prefix: str, look: Look) -> str:
    shapes = [
        piece(name, [polyline(list(points), INK, BUS[name in look.live])], look)
        for name, points in bar_pieces(appliance, plan, bus)
    ]
    return (
        f'<g id="{identifier(prefix, "b", bus.terminal)}" class="bus" data-terminal="{bus.terminal}">'
        f"{''.join(shapes)}</g>"
    )


def _terminal(name: str, at: Point, prefix: str) -> str:
    x, y = num(at[0]), num(at[1])
    return (
        f'<g id="{identifier(prefix, "t", name)}" class="terminal" data-terminal="{name}"><title>{name}</title>'
        f'<circle cx="{x}" cy="{y}" r="{num(REACH)}" fill="{GROUND}" fill-opacity="0"/>'
        f'<circle cx="{x}" cy="{y}" r="{num(symbols.TERMINAL_RADIUS)}" fill="{PAPER}" stroke="{INK}"'
        ' stroke-width="2"/></g>'
    )


__all__ = ["REACH", "schematic"]
