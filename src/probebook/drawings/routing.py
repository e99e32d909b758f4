"""Orthogonal routes on a grid: no two wires share a stretch, they cross only at right angles, bends never touch.

Each wire takes the cheapest way by length, bends and crossings (A* search); then every wire is taken up and laid again
while that makes it cheaper.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import pairwise

Node = tuple[int, int]
Stretch = tuple[Node, Node]
_STEPS = ((1, 0), (0, 1), (-1, 0), (0, -1))
_BEND, _CROSSING, _BUS_CROSSING, _SIDEWAYS, _AWAY = 2.5, 6.0, 12.0, 1.0, 0.25


@dataclass(frozen=True, slots=True)
class End:
    """Where a wire may end: at the node of a terminal, or square to any node of the bus the terminal is drawn as.

    ``outward`` is the step that leads straight out of the terminal, (0, 0) when there is none; ``along`` is the axis of
    the bus (0 level, 1 upright); ``home`` is where its stub meets it, near which wires rather join.
    """

    port: Node | None
    bus: frozenset[Node] = frozenset()
    outward: Node = (0, 0)
    along: int = -1
    home: Node | None = None

    def away(self, node: Node) -> float:
        """What it costs to join the bus away from home."""
        if self.home is None or node == self.port:
            return 0.0
        return _AWAY * (abs(node[0] - self.home[0]) + abs(node[1] - self.home[1]))

    @property
    def nodes(self) -> frozenset[Node]:
        """Every node at which the wire may end."""
        return self.bus if self.port is None else self.bus | {self.port}


@dataclass(frozen=True, slots=True)
class Route:
    """The nodes a wire runs over, first to last, and what it cost."""

    nodes: tuple[Node, ...]
    cost: float

    def stretches(self) -> set[Stretch]:
        """The stretches it takes."""
        return {stretch(a, b) for a, b in pairwise(self.nodes)}

    def straight(self, axis: int) -> set[Node]:
        """Inner nodes passed straight along an axis (0 level, 1 upright)."""
        inner = zip(self.nodes, self.nodes[1:], self.nodes[2:], strict=False)
        return {b for a, b, c in inner if a[1 - axis] == b[1 - axis] == c[1 - axis]}

    def corners(self) -> set[Node]:
        """Inner nodes at which it bends, and both ends."""
        return set(self.nodes) - self.straight(0) - self.straight(1)


@dataclass(slots=True)
class Board:
    """What the grid holds: stretches barred by bodies and text, terminals, buses, and the wires laid so far."""

    low: Node
    high: Node
    barred: set[Stretch] = field(default_factory=set)
    ports: set[Node] = field(default_factory=set)
    buses: dict[Node, int] = field(default_factory=dict)
    taken: set[Stretch] = field(default_factory=set)
    level: set[Node] = field(default_factory=set)
    upright: set[Node] = field(default_factory=set)
    corners: set[Node] = field(default_factory=set)

    def lay(self, route: Route | None) -> None:
        """Enter a wire."""
        if route is not None:
            self.taken |= route.stretches()
            self.level |= route.straight(0)
            self.upright |= route.straight(1)
            self.corners |= route.corners()

    def take_up(self, route: Route | None) -> None:
        """Remove a wire."""
        if route is not None:
            self.taken -= route.stretches()
            self.level -= route.straight(0)
            self.upright -= route.straight(1)
            self.corners -= route.corners()


def stretch(one: Node, other: Node) -> Stretch:
    """Name of the stretch between two neighbouring nodes, the same from both ends."""
    return (one, other) if one <= other else (other, one)


def route_all(board: Board, wanted: Mapping[str, tuple[End, End]], order: Iterable[str]) -> dict[str, Route | None]:
    """Lay every wire; None for one that found no way."""
    names = list(order)
    routes: dict[str, Route | None] = {}
    for name in names:
        routes[name] = _find(board, *wanted[name])
        board.lay(routes[name])
    for _ in range(3):
        changed = False
        for name in names:
            old = routes[name]
            board.take_up(old)
            new = _find(board, *wanted[name])
            if old is not None and (new is None or new.cost > old.cost - 1e-9):
                new = old
            changed = changed or new is not old
            routes[name] = new
            board.lay(new)
        if not changed:
            break
    return routes


def _find(board: Board, start: End, goal: End) -> Route | None:
    goals, starts = goal.nodes, start.nodes
    left, right = min(x for x, _ in goals), max(x for x, _ in goals)
    top, bottom = min(y for _, y in goals), max(y for _, y in goals)

    def ahead(node: Node) -> float:
        x, y = node
        return float(max(left - x, 0, x - right) + max(top - y, 0, y - bottom))

    best: dict[tuple[Node, int], float] = {}
    came: dict[tuple[Node, int], tuple[Node, int]] = {}
    heap: list[tuple[float, int, Node, int]] = []
    count = 0
    for node in sorted(starts):
        if node == start.port or node not in board.corners:
            heappush(heap, (ahead(node) + start.away(node), count, node, -1))
            best[node, -1] = start.away(node)
            count += 1
    while heap:
        _, _, node, heading = heappop(heap)
        cost = best[node, heading]
        if heading >= 0 and node in goals:
            return _trace(came, node, heading, cost)
        for step, (dx, dy) in enumerate(_STEPS):
            there = (node[0] + dx, node[1] + dy)
            price = _price(board, node, heading, there, step, start, goal)
            if price is None or cost + price >= best.get((there, step), float("inf")):
                continue
            best[there, step] = cost + price
            came[there, step] = (node, heading)
            heappush(heap, (cost + price + ahead(there), count, there, step))
            count += 1
    return None


def _price(board: Board, node: Node, heading: int, there: Node, step: int, start: End, goal: End) -> float | None:
    """Cost of a step, None when it is not allowed."""
    link = stretch(node, there)
    if link in board.taken or link in board.barred:
        return None
    if not (board.low[0] <= there[0] <= board.high[0] and board.low[1] <= there[1] <= board.high[1]):
        return None
    turn = _setting_out(start, node, step) if heading < 0 else _turning(board, node, heading, step)
    if turn is None:
        return None
    ends = there == goal.port or there in goal.bus
    entry = _arriving(board, there, step, goal) if ends else _passing(board, there, step % 2, start)
    return None if entry is None else 1.0 + turn + entry


def _setting_out(start: End, node: Node, step: int) -> float | None:
    """Extra cost of leaving the start this way; None where it would run along the bus that it starts from."""
    if node != start.port:
        return None if start.along == step % 2 else 0.0
    return _SIDEWAYS if start.outward not in ((0, 0), _STEPS[step]) else 0.0


def _turning(board: Board, node: Node, heading: int, step: int) -> float | None:
    """Extra cost of going on in another direction; None where it would turn back, or turn on another's line."""
    if heading == step:
        return 0.0
    if (heading - step) % 4 == 2 or node in board.level or node in board.upright or node in board.buses:
        return None
    return _BEND


def _arriving(board: Board, there: Node, step: int, goal: End) -> float | None:
    """Extra cost of ending at the goal's port or on its bus; None where it may not end there."""
    if there == goal.port:
        inward = (-_STEPS[step][0], -_STEPS[step][1])
        return _SIDEWAYS if goal.outward not in ((0, 0), inward) else 0.0
    passed = there in board.level or there in board.upright or there in board.corners
    return None if passed or goal.along == step % 2 else goal.away(there)


def _passing(board: Board, there: Node, axis: int, start: End) -> float | None:
    """Extra cost of passing a node; None where it is taken along this axis, a port or a corner."""
    if there in board.ports or there in board.corners or there == start.port or there in start.bus:
        return None
    if there in (board.upright if axis else board.level) or board.buses.get(there) == axis:
        return None
    if there in board.buses:
        return _BUS_CROSSING
    return _CROSSING if there in (board.level if axis else board.upright) else 0.0


def _trace(came: Mapping[tuple[Node, int], tuple[Node, int]], node: Node, heading: int, cost: float) -> Route:
    nodes = [node]
    while (node, heading) in came:
        node, heading = came[node, heading]
        nodes.append(node)
    return Route(tuple(reversed(nodes)), cost)
