"""The schematic: an appliance's circuit as a ladder from line to neutral, by position of its controls."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from probebook.appliances.model import Appliance, Wire
from probebook.drawings import symbols
from probebook.drawings.bodies import draw_part
from probebook.drawings.colours import GROUND, INK, PAPER, conductor_colour
from probebook.drawings.describing import describe
from probebook.drawings.layout import Layout, layout
from probebook.drawings.lettering import marks, surround
from probebook.drawings.paths import LOADS, closed_contacts
from probebook.drawings.saying import TitleFacts, wire_said
from probebook.drawings.svg import Point, document, identifier, num, polyline
from probebook.words import Noun, Words

#: Radius within which a touch counts as on a terminal; terminals lie far enough apart for it.
REACH = 16.0


def schematic(
    words: Words,
    appliance: Appliance,
    position: str | None = None,
    *,
    highlight_live: Iterable[str] = frozenset(),
    lifted: Iterable[str] = frozenset(),
    calling: bool = True,
    moving: bool = False,
    id_prefix: str = "",
) -> str:
    """Draw the circuit, with its contacts as they stand in a position (all open when None is given).

    Parameters
    ----------
    words
        The language of its text.
    appliance
        What to draw; place hints of its parts are followed, the rest is laid out as a ladder.
    position
        Name of a position of the controls; KeyError when there is none of that name.
    highlight_live
        Names of branches (``E1.outer``, ``S1.a``, ``W7``) drawn heavier, such as those that carry current.
    lifted
        Marks of wires drawn with one end lifted.
    calling
        Whether contacts that cycle (a thermostat's, a regulator's) are drawn closed as far as the position closes them.
    moving
        Draw every contact both ways, for a page that shows it as it stands at the moment.
    id_prefix
        Put before every id, for a page that holds more than one drawing.

    Returns
    -------
    str
        One SVG element. Every terminal, wire and part has an id: ``t-E2-1``, ``w-W7``, ``p-E2``.
    """
    plan = layout(words, appliance)
    heavy, away = frozenset(highlight_live), frozenset(lifted)
    closed = closed_contacts(appliance, position, calling=calling)
    said = _title(words, appliance, position, moving=moving)
    body = [_bus(plan, i, id_prefix) for i in range(len(plan.buses))]
    body += [_wire(words, appliance, w, plan, id_prefix, w.mark in heavy, w.mark in away) for w in appliance.wires]
    shown = None if moving else closed
    body += [draw_part(words, part, plan, shown, heavy, id_prefix) for part in appliance.parts]
    body += [symbols.junction(dot).svg for dot in plan.dots]
    body += [_terminal(name, at, id_prefix) for name, at in plan.terminals.items()]
    body += [label.svg() for label in marks(appliance, plan)]
    view, frame = surround(words, appliance, plan, said)
    told = describe(words, appliance, position, lifted=away, calling=calling)
    return document(view, words.say(said, "title"), told, [*body, *frame], prefix=id_prefix)


def _title(words: Words, appliance: Appliance, position: str | None, *, moving: bool) -> TitleFacts:
    title = words.noun(appliance.title)
    volts, hertz = appliance.supply.volts, appliance.plate.hertz
    if moving:
        return TitleFacts(title, Noun("", ""), volts, hertz)
    if position is not None:
        return TitleFacts(title, words.noun(appliance.position(position).title), volts, hertz)
    rest = words.say(TitleFacts(title, Noun("", ""), volts, hertz), "rest")
    return TitleFacts(title, Noun(rest, rest), volts, hertz)


def _wire(words: Words, appliance: Appliance, wire: Wire, plan: Layout, prefix: str, heavy: bool, lifted: bool) -> str:
    points = list(plan.wires[wire.mark])
    colour = conductor_colour(wire.colour)
    bare = ""
    if lifted:
        points, bare = _lifted(appliance, wire, plan, points)
    wide = 3.0 if heavy else 0.0
    dash = ' stroke-dasharray="7 4" stroke-linecap="butt"' if lifted else ""
    shapes = [
        polyline(_shortened(points), GROUND, 9 + wide, ' stroke-linecap="butt"'),
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
    said = wire_said(words, wire, "schematic-lifted" if lifted else "schematic")
    return (
        f'<g id="{identifier(prefix, "w", wire.mark)}" class="wire" data-wire="{wire.mark}"'
        f' data-from="{wire.start}" data-to="{wire.end}" data-lifted="{"true" if lifted else "false"}"'
        f' data-live="{"true" if heavy else "false"}">'
        f"<title>{escape(said)}</title>{''.join(shapes)}{bare}{label.svg()}</g>"
    )


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


__all__ = ["REACH", "schematic"]
