"""A schematic laid out: units with their places, rails and buses, routes of wires and the places of their marks.

The layout of an appliance does not depend on the position of its controls, so that a learner who compares two positions
sees nothing move but the contacts. It is worked out once for each appliance and kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from probebook.appliances.model import Appliance, PartKind
from probebook.drawings import symbols
from probebook.drawings.marking import line_boxes, mark_wires, wire_mark
from probebook.drawings.placing import Item, Placing, joins, place
from probebook.drawings.routing import Board, End, Node, Route, route_all, stretch
from probebook.drawings.svg import SMALL, Box, Label, Point, text_width
from probebook.drawings.symbols import Symbol
from probebook.drawings.units import GRID, Unit

#: A terminal with at least this many wires has a bus beside it that they join one by one; one of metalwork has it above.
BUS_FROM, EARTH_BUS_FROM = 3, 4
#: How far beside its terminal a bus stands, in steps of the grid.
BUS_STEPS = 4
#: Between what hangs one under another in a rail, in units.
HEAD_GAP = 60
#: How far up and down a bus beside a terminal may run.
BUS_REACH = 8
_MARGIN = 6


@dataclass(frozen=True, slots=True)
class Placed:
    """A unit and the point its origin lies at."""

    unit: Unit
    x: float
    y: float


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


class _Same:
    """Cache key that compares appliances by identity: they are large, frozen and shared."""

    __slots__ = ("appliance",)

    def __init__(self, appliance: Appliance) -> None:
        self.appliance = appliance

    def __hash__(self) -> int:
        return id(self.appliance)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.appliance is self.appliance


def layout(appliance: Appliance) -> Layout:
    """The layout of the appliance, worked out once; the first attempt without troubles, else that with fewest."""
    return _layout(_Same(appliance))


@lru_cache(maxsize=32)
def _layout(key: _Same) -> Layout:
    placing = place(key.appliance)
    best: Layout | None = None
    for spare in range(4):
        found = _attempt(key.appliance, placing, spare)
        if best is None or len(found.troubles) < len(best.troubles):
            best = found
        if not found.troubles:
            break
    assert best is not None
    return best


def _attempt(appliance: Appliance, placing: Placing, spare: int) -> Layout:
    xs = _column_places(appliance, placing, spare)
    placed = [
        Placed(i.unit, xs[i.column], i.y)
        for i in placing.items
        if i.unit is not None
    ]
    terminals = {t: (p.x + dx, p.y + dy) for p in placed for t, (dx, dy) in p.unit.ports.items()}
    low = min([p.y + p.unit.box.top for p in placed], default=0)
    high = max([p.y + p.unit.box.bottom for p in placed], default=0)
    top = (int(low) // GRID - 2) * GRID
    top -= max(_height(placing.line_head), _height(placing.neutral_head))
    for head, column in ((placing.line_head, 0), (placing.neutral_head, placing.columns)):
        placed += _standing(head, xs[column], top, terminals)
    floor = -(-int(high) // GRID) * GRID + (4 + spare) * GRID
    placed += _earth_row(appliance, placing, terminals, xs[0], floor)
    board = _board(placed, terminals, spare)
    ends, bars = _ends(appliance, placing, placed, terminals, board)
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
    spans: dict[float, list[tuple[float, float]]] = {}
    for start, end in joins(appliance):
        places: list[tuple[float, float]] = []
        for name in (start, end):
            item = owner.get(name)
            if item is not None and item.unit is not None:
                places.append((item.column + (0.5 * item.unit.side[name] or 0.5), item.y + item.unit.ports[name][1]))
        if len(places) == 2 and places[0][1] != places[1][1]:
            ys = sorted((places[0][1], places[1][1]))
            for gap in {places[0][0], places[1][0]}:
                spans.setdefault(gap, []).append((ys[0], ys[1]))
    width = max([text_width(wire_mark(w), SMALL) for w in appliance.wires if not w.is_earth], default=0.0)
    room = -int(-(width + 32) // GRID) * GRID
    bussed = [n for n, d in _degrees(appliance).items() if d >= BUS_FROM]
    xs: dict[int, float] = {}
    x = 0.0
    for column in range(placing.columns + 1):
        xs[column] = x
        units = [i.unit for i in placing.items if i.column == column and i.unit]
        x += max([u.width for u in units], default=0)
        tracks = _density(spans.get(column + 0.5, []))
        x += room + GRID * (max(0, tracks - 1) + spare)
        if any(_gap_of(owner, name) == column + 0.5 for name in bussed):
            x += GRID * BUS_STEPS
        if any(not u.rows for u in units):
            x += GRID
    return xs


def _degrees(appliance: Appliance) -> dict[str, int]:
    """How many wires meet at each terminal."""
    degree = dict.fromkeys(appliance.terminals, 0)
    for start, end in joins(appliance):
        degree[start] += 1
        degree[end] += 1
    return degree


def _gap_of(owner: Mapping[str, Item], name: str) -> float:
    """The gap that wires of a terminal come out into, -1 for a rail or an earth."""
    item = owner.get(name)
    return item.column + (0.5 * item.unit.side[name] or 0.5) if item is not None and item.unit else -1.0


def _density(spans: Sequence[tuple[float, float]]) -> int:
    """Most spans over any one height."""
    return max([sum(1 for a, b in spans if a <= y <= b) for y, _ in spans], default=0)


def _earth_row(
    appliance: Appliance, placing: Placing, terminals: dict[str, Point], x: float, y: float
) -> list[Placed]:
    row: list[Placed] = []
    wide = max([text_width(wire_mark(w), SMALL) for w in appliance.wires if w.is_earth], default=60.0)
    step = -int(-(wide + 70) // GRID) * GRID
    for unit in placing.earths:
        row.append(Placed(unit, x, y))
        terminals.update({t: (x + dx, y + dy) for t, (dx, dy) in unit.ports.items()})
        x += step
    return row


def _board(placed: Sequence[Placed], terminals: Mapping[str, Point], spare: int) -> Board:
    xs, ys = [x for x, _ in terminals.values()], [y for _, y in terminals.values()]
    edge = _MARGIN + spare
    board = Board(
        (int(min(xs)) // GRID - 2, int(min(ys)) // GRID - edge), (int(max(xs)) // GRID + 2, int(max(ys)) // GRID + edge)
    )
    board.ports = {_node(p) for p in terminals.values()}
    for item in placed:
        for box in _obstacles(item):
            _bar(board, box)
    return board


def _obstacles(item: Placed) -> list[Box]:
    """Boxes of a unit that no wire may run through."""
    unit = item.unit
    box = unit.box
    if unit.rows:
        if unit.turn in (90, 270) and not unit.framed:
            box = Box(box.left, 4, box.right, unit.body[1] - 4)
        else:
            boxes = [Box(4, box.top, unit.width - 4, box.bottom)]
            if not unit.framed:
                boxes.append(Box(box.left, 10, box.right, box.bottom))
            return [b.moved(item.x, item.y) for b in boxes]
        return [box.moved(item.x, item.y)]
    if unit.turn == 90:
        return [Box(box.left, box.top, -6, box.bottom).moved(item.x, item.y)]
    return [Box(box.left, box.top, box.right, -6).moved(item.x, item.y), *_signs(item)]


def _signs(item: Placed) -> list[Box]:
    """Box of the earth or frame sign under a tag."""
    if item.unit.grounded:
        return [Box(-24, 6, 24, 36).moved(item.x, item.y)]
    return []


def ground_sign(unit: Unit, earth: str) -> Callable[[Point], Symbol] | None:
    """The sign that hangs under a tag: frame under metalwork, earth under the incoming protective conductor."""
    if unit.part.kind is PartKind.METALWORK:
        return symbols.frame
    return symbols.earth if earth and earth in unit.ports and not unit.rows else None


def _node(point: Point) -> Node:
    return round(point[0]) // GRID, round(point[1]) // GRID


def _bar(board: Board, box: Box) -> None:
    left, right = int(box.left) // GRID - 1, int(box.right) // GRID + 1
    top, bottom = int(box.top) // GRID - 1, int(box.bottom) // GRID + 1
    for i in range(left, right + 1):
        for j in range(top, bottom + 1):
            x, y = i * GRID, j * GRID
            if box.left < x + GRID and x < box.right and box.top < y < box.bottom:
                board.barred.add(stretch((i, j), (i + 1, j)))
            if box.left < x < box.right and box.top < y + GRID and y < box.bottom:
                board.barred.add(stretch((i, j), (i, j + 1)))


@dataclass(frozen=True, slots=True)
class _Bar:
    """A bus before it is trimmed: the stub from its terminal, the nodes wires may join, its axis."""

    stub: tuple[Node, ...]
    nodes: tuple[Node, ...]
    axis: int


def _ends(
    appliance: Appliance, placing: Placing, placed: Sequence[Placed], terminals: Mapping[str, Point], board: Board
) -> tuple[dict[str, End], dict[str, _Bar]]:
    """Where wires may end at each terminal, and the buses, which are entered on the board."""
    sides = {t: item.unit.side[t] for item in placed for t in item.unit.ports}
    ground = {t for unit in placing.earths for t in unit.ports}
    degree = _degrees(appliance)
    ends: dict[str, End] = {}
    bars: dict[str, _Bar] = {}
    lowest = max(_node(terminals[t])[1] for t in terminals if t not in ground) + 3
    for name, point in terminals.items():
        node = _node(point)
        if name in (placing.line, placing.neutral):
            bars[name] = _Bar((node,), tuple((node[0], j) for j in range(node[1], lowest + 1)), 1)
        elif name in ground and degree[name] >= EARTH_BUS_FROM:
            row = tuple((i, node[1] - 2) for i in range(board.low[0] + 2, board.high[0] - 1))
            bars[name] = _Bar((node, (node[0], node[1] - 1), (node[0], node[1] - 2)), row, 0)
        elif name not in ground and degree[name] >= BUS_FROM:
            bars[name] = _side_bar(board, node, sides[name] or 1)
        else:
            ends[name] = End(node, outward=(sides[name], 0))
            continue
        bar = bars[name]
        home = bar.stub[-1] if len(bar.stub) > 1 else None
        port = node if bar.axis == 1 else None
        ends[name] = End(port, frozenset(bar.nodes) - {node}, (sides[name], 0), bar.axis, home)
        board.buses.update(dict.fromkeys(bar.nodes, bar.axis))
        board.corners |= set(bar.stub[1:-1])
        for run in (bar.stub, bar.nodes):
            board.taken |= {stretch(a, b) for a, b in zip(run, run[1:], strict=False)}
    return ends, bars


def _side_bar(board: Board, node: Node, side: int) -> _Bar:
    """A short upright bus beside a terminal, running where nothing bars it."""
    x = node[0] + BUS_STEPS * side
    low = high = node[1]
    for _ in range(BUS_REACH):
        if stretch((x, low - 1), (x, low)) not in board.barred and (x, low - 1) not in board.ports:
            low -= 1
        if stretch((x, high), (x, high + 1)) not in board.barred and (x, high + 1) not in board.ports:
            high += 1
    stub = tuple((node[0] + k * side, node[1]) for k in range(BUS_STEPS + 1))
    return _Bar(stub, tuple((x, j) for j in range(low, high + 1)), 1)


def _point(node: Node) -> Point:
    return float(node[0] * GRID), float(node[1] * GRID)


def _trimmed(name: str, bar: _Bar, joints: set[Node]) -> tuple[Bus, list[Node]]:
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
    bars: Mapping[str, _Bar],
    routes: Mapping[str, Route | None],
) -> Layout:
    troubles: list[str] = []
    wires: dict[str, tuple[Point, ...]] = {}
    joints: dict[str, set[Node]] = {name: set() for name in bars}
    for wire in appliance.wires:
        route = routes[wire.mark]
        if route is None:
            troubles.append(f"{wire.mark} finds no way")
            wires[wire.mark] = (terminals[wire.start], terminals[wire.end])
            continue
        wires[wire.mark] = _cornered(route.nodes)
        for name, node in ((wire.start, route.nodes[0]), (wire.end, route.nodes[-1])):
            if name in bars:
                joints[name].add(node)
    buses: list[Bus] = []
    dots: list[Point] = []
    for name, bar in bars.items():
        bus, marked = _trimmed(name, bar, joints[name])
        buses.append(bus)
        dots += [_point(n) for n in marked]
    solid = [b for item in placed for b in _drawn_boxes(item)]
    solid += [b for bus in buses for b in line_boxes(bus.stub) + line_boxes(bus.bar)]
    labels, missing = mark_wires(appliance.wires, wires, solid)
    troubles += [f"{mark} has no room for its mark" for mark in missing]
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


def _drawn_boxes(item: Placed) -> list[Box]:
    box = item.unit.box
    if not item.unit.rows:
        upright = item.unit.turn == 90
        box = Box(box.left, box.top, -6 if upright else box.right, box.bottom if upright else -6)
    ports = [Box(dx - 6, dy - 6, dx + 6, dy + 6) for dx, dy in item.unit.ports.values()]
    return [*(b.moved(item.x, item.y) for b in (box, *ports)), *_signs(item)]


def _cornered(nodes: Sequence[Node]) -> tuple[Point, ...]:
    """The corners and ends of a run of nodes, in units."""
    keep = [nodes[0]]
    for a, b, c in zip(nodes, nodes[1:], nodes[2:], strict=False):
        if (b[0] - a[0], b[1] - a[1]) != (c[0] - b[0], c[1] - b[1]):
            keep.append(b)
    keep.append(nodes[-1])
    return tuple(_point(n) for n in keep)


def _view(placed: Sequence[Placed], wires: Mapping[str, Sequence[Point]], labels: Mapping[str, Label]) -> Box:
    boxes = [b for item in placed for b in _drawn_boxes(item)]
    boxes += [b for points in wires.values() for b in line_boxes(points)]
    boxes += [label.box for label in labels.values()]
    return Box(
        min(b.left for b in boxes) - 24,
        min(b.top for b in boxes) - 16,
        max(b.right for b in boxes) + 24,
        max(b.bottom for b in boxes) + 16,
    )
