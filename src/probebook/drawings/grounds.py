"""What the routes have to reckon with: boxes no wire may cross, terminals where wires end, buses that they join."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from probebook.appliances.model import Appliance, PartKind
from probebook.drawings import symbols
from probebook.drawings.placing import Placing, joins
from probebook.drawings.routing import Board, End, Node, stretch
from probebook.drawings.svg import Box, Point
from probebook.drawings.symbols import Symbol
from probebook.drawings.units import GRID, Unit

#: A terminal with at least this many wires has a bus beside it that they join one by one; an earth has it above.
BUS_FROM, EARTH_BUS_FROM = 3, 4
#: How far beside its terminal a bus stands, in steps of the grid.
BUS_STEPS = 4
#: How far up and down a bus beside a terminal may run.
BUS_REACH = 8
_MARGIN = 6


@dataclass(frozen=True, slots=True)
class Placed:
    """A unit and the point its origin lies at."""

    unit: Unit
    x: float
    y: float


def degrees_of(appliance: Appliance) -> dict[str, int]:
    """How many wires meet at each terminal."""
    degree = dict.fromkeys(appliance.terminals, 0)
    for start, end in joins(appliance):
        degree[start] += 1
        degree[end] += 1
    return degree


def board_of(placed: Sequence[Placed], terminals: Mapping[str, Point], spare: int) -> Board:
    """The grid round the placed units, with their bodies and text barred and every terminal entered."""
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
class Bar:
    """A bus before it is trimmed: the stub from its terminal, the nodes wires may join, its axis."""

    stub: tuple[Node, ...]
    nodes: tuple[Node, ...]
    axis: int


def ends_of(
    appliance: Appliance, placing: Placing, placed: Sequence[Placed], terminals: Mapping[str, Point], board: Board
) -> tuple[dict[str, End], dict[str, Bar]]:
    """Where wires may end at each terminal, and the buses, which are entered on the board."""
    sides = {t: item.unit.side[t] for item in placed for t in item.unit.ports}
    ground = {t for unit in placing.earths for t in unit.ports}
    degree = degrees_of(appliance)
    ends: dict[str, End] = {}
    bars: dict[str, Bar] = {}
    lowest = max(_node(terminals[t])[1] for t in terminals if t not in ground) + 3
    for name, point in terminals.items():
        node = _node(point)
        if name in (placing.line, placing.neutral):
            bars[name] = Bar((node,), tuple((node[0], j) for j in range(node[1], lowest + 1)), 1)
        elif name in ground and degree[name] >= EARTH_BUS_FROM:
            row = tuple((i, node[1] - 2) for i in range(board.low[0] + 2, board.high[0] - 1))
            bars[name] = Bar((node, (node[0], node[1] - 1), (node[0], node[1] - 2)), row, 0)
        elif name not in ground and degree[name] >= BUS_FROM:
            bars[name] = _side_bar(board, placed, name, node, sides[name] or 1)
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
            board.taken |= {stretch(a, b) for a, b in pairwise(run)}
    return ends, bars


def _side_bar(board: Board, placed: Sequence[Placed], name: str, node: Node, side: int) -> Bar:
    """A bus in the gap beside a terminal's column, running up and down where nothing bars it, clear of other buses."""
    home = next(item for item in placed if name in item.unit.ports)
    edge = max(item.x + item.unit.width for item in placed if item.x == home.x) if side > 0 else home.x
    x = int(edge) // GRID + BUS_STEPS * side
    while True:
        low = high = node[1]
        for _ in range(BUS_REACH):
            if stretch((x, low - 1), (x, low)) not in board.barred and (x, low - 1) not in board.ports:
                low -= 1
            if stretch((x, high), (x, high + 1)) not in board.barred and (x, high + 1) not in board.ports:
                high += 1
        nodes = tuple((x, j) for j in range(low, high + 1))
        near = {(i, j) for i in range(x - BUS_STEPS + 1, x + BUS_STEPS) for _, j in nodes}
        if not board.buses.keys() & near:
            stub = tuple((i, node[1]) for i in range(node[0], x + side, side))
            return Bar(stub, nodes, 1)
        x += side


def drawn_boxes(item: Placed) -> list[Box]:
    """Boxes of all that is drawn of a unit, which no mark of a wire may touch."""
    box = item.unit.box
    if not item.unit.rows:
        upright = item.unit.turn == 90
        box = Box(box.left, box.top, -6 if upright else box.right, box.bottom if upright else -6)
    ports = [Box(dx - 6, dy - 6, dx + 6, dy + 6) for dx, dy in item.unit.ports.values()]
    return [*(b.moved(item.x, item.y) for b in (box, *ports)), *_signs(item)]
