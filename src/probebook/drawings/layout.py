"""A schematic laid out: units with their places, rails and buses, routes of wires and the places of their marks.

The layout of an appliance does not depend on the position of its controls, so that a learner who compares two positions
sees nothing move but the contacts. It is worked out once for each appliance and kept.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from probebook.appliances.model import Appliance
from probebook.drawings.arranging import Item
from probebook.drawings.grounds import BUS_FROM, BUS_STEPS, Bar, Placed, board_of, degrees_of, drawn_boxes, ends_of
from probebook.drawings.marking import line_boxes, mark_wires, wire_mark
from probebook.drawings.placing import Placing, joins, place
from probebook.drawings.routing import End, Node, Route, route_all
from probebook.drawings.svg import SMALL, Box, Label, Point, text_width
from probebook.drawings.units import GRID, Unit
from probebook.memo import memo_by_identity
from probebook.words import Words

#: Between what hangs one under another in a rail, in units.
HEAD_GAP = 60


@dataclass(frozen=True, slots=True)
class Bus:
    """The bar that a terminal is drawn as where many wires meet, and the stub that leads from it to the terminal."""

    terminal: str
    stub: tuple[Point, ...]
    bar: tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Layout:
    """Everything of a schematic that does not depend on the position."""

    units: tuple[Placed, ...]
    terminals: Mapping[str, Point]
    buses: tuple[Bus, ...]
    wires: Mapping[str, tuple[Point, ...]]
    labels: Mapping[str, Label]
    dots: tuple[Point, ...]
    view: Box
    line: str
    neutral: str
    earth: str
    troubles: tuple[str, ...]


@memo_by_identity(32, also=1)
def layout(words: Words, appliance: Appliance) -> Layout:
    """The layout of the appliance, worked out once; the first attempt without troubles, else that with fewest."""
    placing = place(words, appliance)
    best: Layout | None = None
    for spare in range(4):
        found = _attempt(appliance, placing, spare)
        if best is None or len(found.troubles) < len(best.troubles):
            best = found
        if not found.troubles:
            break
    assert best is not None
    return best


def _attempt(appliance: Appliance, placing: Placing, spare: int) -> Layout:
    xs = _column_places(appliance, placing, spare)
    placed = [Placed(i.unit, xs[i.column], i.y) for i in placing.items if i.unit is not None]
    terminals = {t: (p.x + dx, p.y + dy) for p in placed for t, (dx, dy) in p.unit.ports.items()}
    low = min([p.y + p.unit.box.top for p in placed], default=0)
    high = max([p.y + p.unit.box.bottom for p in placed], default=0)
    top = (int(low) // GRID - 2) * GRID
    top -= max(_height(placing.line_head), _height(placing.neutral_head))
    for head, column in ((placing.line_head, 0), (placing.neutral_head, placing.columns)):
        placed += _standing(head, xs[column], top, terminals)
    floor = -(-int(high) // GRID) * GRID + (4 + spare) * GRID
    placed += _earth_row(appliance, placing, terminals, xs[0], floor)
    board = board_of(placed, terminals, spare)
    ends, bars = ends_of(appliance, placing, placed, terminals, board)
    wanted = {w.mark: (ends[w.start], ends[w.end]) for w in appliance.wires}
    routes = route_all(board, wanted, sorted(wanted, key=lambda m: _ease(*wanted[m])))
    return _finish(appliance, placing, placed, terminals, bars, routes)


def _height(head: Sequence[Unit]) -> int:
    """From the first terminal of a rail's head to its last."""
    return sum(max(dy for _, dy in unit.ports.values()) + HEAD_GAP for unit in head) - HEAD_GAP


def _standing(head: Sequence[Unit], x: float, y: float, terminals: dict[str, Point]) -> list[Placed]:
    """Hang the units of a rail's head under one another, the first terminal at height ``y``."""
    found: list[Placed] = []
    for unit in head:
        found.append(Placed(unit, x, y))
        terminals.update({t: (x + dx, y + dy) for t, (dx, dy) in unit.ports.items()})
        y += max(dy for _, dy in unit.ports.values()) + HEAD_GAP
    return found


def _ease(one: End, other: End) -> tuple[int, int]:
    """Order of laying: straight level wires first, then short ones."""
    dx = min(abs(a[0] - b[0]) for a in one.nodes for b in other.nodes)
    dy = min(abs(a[1] - b[1]) for a in one.nodes for b in other.nodes)
    return (0 if dy == 0 else 1, dx + dy)


def _column_places(appliance: Appliance, placing: Placing, spare: int) -> dict[int, float]:
    """X of each column, with gaps as wide as the upright stretches and marks in them need."""
    owner = {t: i for i in placing.items if i.unit for t in i.unit.ports}
    spans = _upright_spans(appliance, owner)
    width = max([text_width(wire_mark(w), SMALL) for w in appliance.wires if not w.is_earth], default=0.0)
    room = -int(-(width + 32) // GRID) * GRID
    bussed = [n for n, d in degrees_of(appliance).items() if d >= BUS_FROM]
    xs: dict[int, float] = {}
    x = 0.0
    for column in range(placing.columns + 1):
        xs[column] = x
        units = [i.unit for i in placing.items if i.column == column and i.unit]
        x += max([u.width for u in units], default=0)
        tracks = _density(spans.get(column + 0.5, []))
        x += room + GRID * (max(0, tracks - 1) + spare)
        buses = sum(_gap_of(owner, name) == column + 0.5 for name in bussed)
        x += GRID * BUS_STEPS * buses
        if any(not u.rows for u in units):
            x += GRID
    return xs


def _upright_spans(appliance: Appliance, owner: Mapping[str, Item]) -> dict[float, list[tuple[float, float]]]:
    """Heights between which wires run upright in each gap."""
    spans: dict[float, list[tuple[float, float]]] = {}
    for pair in joins(appliance):
        places: list[tuple[float, float]] = []
        for name in pair:
            item = owner.get(name)
            if item is not None and item.unit is not None:
                places.append((item.column + (0.5 * item.unit.side[name] or 0.5), item.y + item.unit.ports[name][1]))
        if len(places) == 2 and places[0][1] != places[1][1]:
            ys = sorted((places[0][1], places[1][1]))
            for gap in {places[0][0], places[1][0]}:
                spans.setdefault(gap, []).append((ys[0], ys[1]))
    return spans


def _gap_of(owner: Mapping[str, Item], name: str) -> float:
    """The gap that wires of a terminal come out into, -1 for a rail or an earth."""
    item = owner.get(name)
    return item.column + (0.5 * item.unit.side[name] or 0.5) if item is not None and item.unit else -1.0


def _density(spans: Sequence[tuple[float, float]]) -> int:
    """Most spans over any one height."""
    return max([sum(1 for a, b in spans if a <= y <= b) for y, _ in spans], default=0)


def _earth_row(appliance: Appliance, placing: Placing, terminals: dict[str, Point], x: float, y: float) -> list[Placed]:
    row: list[Placed] = []
    wide = max([text_width(wire_mark(w), SMALL) for w in appliance.wires if w.is_earth], default=60.0)
    step = -int(-(wide + 70) // GRID) * GRID
    for unit in placing.earths:
        row.append(Placed(unit, x, y))
        terminals.update({t: (x + dx, y + dy) for t, (dx, dy) in unit.ports.items()})
        x += step
    return row


def _point(node: Node) -> Point:
    return float(node[0] * GRID), float(node[1] * GRID)


def _trimmed(name: str, bar: Bar, joints: set[Node]) -> tuple[Bus, list[Node]]:
    """The bus from its first joint to its last, and the joints that need a dot."""
    used = sorted(joints | {bar.stub[-1]})
    first, last = used[0], used[-1]
    points = [_point(n) for n in bar.stub[:-1]]
    line = [_point(first), _point(last)]
    lines = [*points, _point(bar.stub[-1])] if points else []
    meets = {n: (n > first) + (n < last) + (n in joints) + (n == bar.stub[-1] and bool(points)) for n in used}
    dots = [n for n in used if meets[n] > 2]
    return Bus(name, tuple(lines), (line[0], line[1])), dots


def _finish(
    appliance: Appliance,
    placing: Placing,
    placed: Sequence[Placed],
    terminals: Mapping[str, Point],
    bars: Mapping[str, Bar],
    routes: Mapping[str, Route | None],
) -> Layout:
    troubles: list[str] = []
    wires: dict[str, tuple[Point, ...]] = {}
    joints: dict[str, set[Node]] = {name: set() for name in bars}
    for wire in appliance.wires:
        route = routes[wire.mark]
        if route is None:
            troubles.append(f"{wire.mark}: no way")
            wires[wire.mark] = (terminals[wire.start], terminals[wire.end])
            continue
        wires[wire.mark] = _cornered(route.nodes)
        for name, node in ((wire.start, route.nodes[0]), (wire.end, route.nodes[-1])):
            if name in bars and node in bars[name].nodes:
                joints[name].add(node)
    buses: list[Bus] = []
    dots: list[Point] = []
    for name, bar in bars.items():
        if not joints[name]:
            continue
        bus, marked = _trimmed(name, bar, joints[name])
        buses.append(bus)
        dots += [_point(n) for n in marked]
    solid = [b for item in placed for b in drawn_boxes(item)]
    solid += [b for bus in buses for b in line_boxes(bus.stub) + line_boxes(bus.bar)]
    labels, missing = mark_wires(appliance.wires, wires, solid)
    troubles += [f"{mark}: no room" for mark in missing]
    return Layout(
        tuple(placed),
        terminals,
        tuple(buses),
        wires,
        labels,
        tuple(dots),
        _view(placed, wires, labels),
        placing.line,
        placing.neutral,
        appliance.earth,
        tuple(troubles),
    )


def _cornered(nodes: Sequence[Node]) -> tuple[Point, ...]:
    """The corners and ends of a run of nodes, in units."""
    keep = [nodes[0]]
    for a, b, c in zip(nodes, nodes[1:], nodes[2:], strict=False):
        if (b[0] - a[0], b[1] - a[1]) != (c[0] - b[0], c[1] - b[1]):
            keep.append(b)
    keep.append(nodes[-1])
    return tuple(_point(n) for n in keep)


def _view(placed: Sequence[Placed], wires: Mapping[str, Sequence[Point]], labels: Mapping[str, Label]) -> Box:
    boxes = [b for item in placed for b in drawn_boxes(item)]
    boxes += [b for points in wires.values() for b in line_boxes(points)]
    boxes += [label.box for label in labels.values()]
    return Box(
        min(b.left for b in boxes) - 24,
        min(b.top for b in boxes) - 16,
        max(b.right for b in boxes) + 24,
        max(b.bottom for b in boxes) + 16,
    )
