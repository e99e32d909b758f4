"""Where the units of a schematic go: a ladder from the line on the left to neutral on the right.

Columns follow the path from the line (longest path over units whose contacts are all taken as shut), loads move as far
right as they can. Wires that pass a column hold a free lane in it. Rows are ordered and aligned so that as many wires
as possible run straight: sweeps over the columns, each put in the order of the means of its neighbours, then set at
their medians with the gaps kept. A place given in the appliance's file overrides column, row, or both.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from probebook.appliances.model import Appliance, PartKind
from probebook.drawings.paths import closed_contacts, potentials
from probebook.drawings.units import GRID, Unit, build_units

#: Height of one row of a place hint, in units.
HINT_ROW = 60
_CLEAR = 4.0


@dataclass(eq=False, slots=True)
class Item:
    """Something that takes room in a column: a unit, or the lane of a wire that passes (``unit`` is None)."""

    unit: Unit | None
    column: int
    y: int = 0
    pinned: bool = False
    links: list[tuple[int, Item, int]] = field(default_factory=list)

    @property
    def top(self) -> float:
        """Upper edge relative to its own y."""
        return self.unit.box.top if self.unit else -8

    @property
    def bottom(self) -> float:
        """Lower edge relative to its own y."""
        return self.unit.box.bottom if self.unit else 8


@dataclass(frozen=True, slots=True)
class Placing:
    """The units with their columns (0 is the line's rail, the last one neutral's) and heights; earth units apart."""

    items: tuple[Item, ...]
    columns: int
    line: str
    neutral: str
    earths: tuple[Unit, ...]
    rails: tuple[Unit, ...]


def levels_of(appliance: Appliance) -> dict[str, float]:
    """Each terminal's nearness to the line with every contact shut; one half where nothing leads there."""
    names = {n for part in appliance.parts for n in part.branches}
    shut = closed_contacts(appliance, None) | names
    return {t: 0.5 if v is None else round(v, 9) for t, v in potentials(appliance, shut).items()}


def earth_terminals(appliance: Appliance) -> set[str]:
    """Terminals of the protective circuit: metalwork, and what wires alone join to the incoming earth."""
    near: dict[str, set[str]] = {t: set() for t in appliance.terminals}
    for wire in appliance.wires:
        near[wire.start].add(wire.end)
        near[wire.end].add(wire.start)
    metal = [t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals]
    queue = [t for t in [appliance.earth, *metal] if t]
    seen = set(queue)
    while queue:
        for other in near[queue.pop()] - seen:
            seen.add(other)
            queue.append(other)
    return seen


def place(appliance: Appliance) -> Placing:
    """Work out columns and heights; ports come to lie on multiples of the grid."""
    levels = levels_of(appliance)
    units = build_units(appliance, levels)
    earth = earth_terminals(appliance)
    line, neutral = rail(appliance, appliance.line), rail(appliance, appliance.neutral)
    earths = [u for u in units if set(u.ports) <= earth]
    inner = [u for u in units if u not in earths and not {line, neutral} & set(u.ports)]
    column, count = _columns(appliance, inner, levels, line, neutral)
    items = {id(u): Item(u, column[id(u)]) for u in inner}
    ordered = [items[id(u)] for u in inner]
    lanes = _link(appliance, ordered, count, line, neutral)
    everything = [*ordered, *lanes]
    _arrange(everything, count)
    rails = tuple(u for u in units if {line, neutral} & set(u.ports))
    return Placing(tuple(everything), count, line, neutral, tuple(_earth_order(appliance, earths)), rails)


def rail(appliance: Appliance, start: str) -> str:
    """The terminal that is drawn as a rail: the first from the supply inwards at which the circuit divides."""
    bare = {t for p in appliance.parts if not p.branches for t in p.terminals}
    here, seen = start, {start}
    while True:
        ends = [w.end if w.start == here else w.start for w in appliance.wires if here in (w.start, w.end)]
        ends = [t for t in ends if t not in seen]
        if len(ends) != 1 or ends[0] not in bare:
            return here
        here = ends[0]
        seen.add(here)


def _columns(
    appliance: Appliance, units: Sequence[Unit], levels: Mapping[str, float], line: str, neutral: str
) -> tuple[dict[int, int], int]:
    """Column of each unit by its id(), and the column of neutral's rail."""
    owner = {t: u for u in units for t in u.ports}
    height = {id(u): sum(levels[t] for t in u.ports) / len(u.ports) for u in units}
    rank = {id(u): i for i, u in enumerate(units)}
    after: dict[int, list[Unit]] = {id(u): [] for u in units}
    before: dict[int, list[Unit]] = {id(u): [] for u in units}
    for start, end in joins(appliance):
        one, other = owner.get(start), owner.get(end)
        if one is None or other is None or one is other:
            continue
        if (height[id(one)], -rank[id(one)]) < (height[id(other)], -rank[id(other)]):
            one, other, start, end = other, one, end, start
        if one.side[start] >= 0 and other.side[end] <= 0:
            after[id(one)].append(other)
            before[id(other)].append(one)
    order = sorted(units, key=lambda u: (-height[id(u)], rank[id(u)]))
    column: dict[int, int] = {}
    for unit in order:
        column[id(unit)] = 1 + max((column[id(b)] for b in before[id(unit)]), default=0)
    # What is joined only towards neutral, such as an unused tag, stays where the longest path puts it.
    last = max(column.values(), default=0)
    for unit in reversed(order):
        if unit.is_load:
            column[id(unit)] = min((column[id(a)] - 1 for a in after[id(unit)]), default=last)
    beyond = _upstream(appliance, line, appliance.line), _upstream(appliance, neutral, appliance.neutral)
    for unit in units:
        if set(unit.ports) & beyond[0]:
            column[id(unit)] = -1
        elif set(unit.ports) & beyond[1]:
            column[id(unit)] = last + 2
    return _hinted(units, column, last)


def _upstream(appliance: Appliance, here: str, supply: str) -> set[str]:
    """Terminals between the supply and a rail, the rail left out."""
    found: set[str] = set()
    start, seen = supply, {supply}
    while start != here:
        found.add(start)
        ends = [w.end if w.start == start else w.start for w in appliance.wires if start in (w.start, w.end)]
        start = next(t for t in ends if t not in seen)
        seen.add(start)
    return found


def _hinted(units: Sequence[Unit], column: dict[int, int], last: int) -> tuple[dict[int, int], int]:
    """Let place hints override the columns, then number the columns without gaps; 0 and last + 1 are the rails."""
    wanted: dict[int, float] = {key: float(value) for key, value in column.items()}
    for unit in units:
        if unit.part.at is not None and unit.rows:
            wanted[id(unit)] = max(0.5, float(unit.part.at[0]))
    top = max([float(last), *(wanted[id(u)] for u in units if u.part.at is not None and u.rows)])
    for key, value in wanted.items():
        if value == last + 2:
            wanted[key] = top + 2
    inside = sorted({v for v in wanted.values() if 0 < v <= top})
    number = {v: i + 1 for i, v in enumerate(inside)} | {-1.0: -1, top + 2: len(inside) + 2}
    return {key: number[value] for key, value in wanted.items()}, len(inside) + 1


def joins(appliance: Appliance) -> Iterator[tuple[str, str]]:
    """Pairs of terminals that wires join."""
    for wire in appliance.wires:
        yield wire.start, wire.end


def _gap(item: Item, terminal: str) -> float:
    """The gap between columns at which a terminal lies: 2.5 between the second column and the third."""
    assert item.unit is not None
    return item.column + 0.5 * item.unit.side[terminal]


def _link(
    appliance: Appliance, items: Sequence[Item], count: int, line: str, neutral: str
) -> list[Item]:
    """Tie items that wires join in neighbouring columns, with a lane in each column a wire has to pass."""
    owner = {t: i for i in items if i.unit for t in i.unit.ports}
    lanes: list[Item] = []
    for start, end in joins(appliance):
        ends: list[tuple[Item | None, int, float]] = []
        for name in (start, end):
            item = owner.get(name)
            if item is not None and item.unit is not None:
                ends.append((item, item.unit.ports[name][1], _gap(item, name)))
            elif name in (line, neutral):
                ends.append((None, 0, 0.5 if name == line else count - 0.5))
        if len(ends) != 2:
            continue
        (one, one_y, from_gap), (other, other_y, to_gap) = sorted(ends, key=lambda e: e[2])
        if one is other:
            continue
        passed = [c for c in range(1, count) if from_gap < c < to_gap and c not in _at(one, other, from_gap, to_gap)]
        chain: list[tuple[Item | None, int]] = [(one, one_y)]
        for c in passed:
            lane = Item(None, c)
            lanes.append(lane)
            chain.append((lane, 0))
        chain.append((other, other_y))
        for (a, ay), (b, by) in zip(chain, chain[1:], strict=False):
            if a is not None and b is not None:
                a.links.append((ay, b, by))
                b.links.append((by, a, ay))
    return lanes


def _at(one: Item | None, other: Item | None, from_gap: float, to_gap: float) -> set[int]:
    """Columns of the ends themselves where a terminal stands in its column and not beside it."""
    return {i.column for i, g in ((one, from_gap), (other, to_gap)) if i is not None and g == i.column}


def _arrange(items: Sequence[Item], count: int) -> None:
    columns = [[i for i in items if i.column == c] for c in range(-1, count + 2)]
    _first_order(columns)
    for item in items:
        at = item.unit.part.at if item.unit else None
        if at is not None and item.unit and item.unit.rows:
            item.y, item.pinned = round(at[1] * HINT_ROW / GRID) * GRID, True
    for column in columns:
        _stack(column)
    best, best_cost = [i.y for i in items], _cost(columns)
    orders = [list(c) for c in columns]
    for sweep in range(24):
        forward = sweep % 2 == 0
        for column in columns if forward else columns[::-1]:
            if sweep < 16:
                column.sort(key=lambda i: (i.y if i.pinned else _mean(i, sweep % 4 < 2, forward)))
            _align(column, forward if sweep % 3 else None)
        cost = _cost(columns)
        if cost < best_cost:
            best, best_cost, orders = [i.y for i in items], cost, [list(c) for c in columns]
    for item, y in zip(items, best, strict=True):
        item.y = y
    columns = orders
    for sweep in range(8):
        for column in columns if sweep % 2 == 0 else columns[::-1]:
            _align(column, None if sweep > 3 else sweep % 2 == 0)
        cost = _cost(columns)
        if cost < best_cost:
            best, best_cost = [i.y for i in items], cost
    for item, y in zip(items, best, strict=True):
        item.y = y
    _settle(columns)


def _settle(columns: list[list[Item]]) -> None:
    """Shift what hangs together on straight wires, whole or item by item, while the drawing gains by it."""
    items = [i for column in columns for i in column if not i.pinned]
    cost = _cost(columns)
    for _ in range(6):
        before = cost
        for column in columns:
            for i in range(len(column) - 1):
                cost = _swap(columns, column, i, cost)
        for item in items:
            for group in (_straight(item), [item]):
                cost = _shift(columns, group, cost)
        if cost > before - 1e-9:
            break


def _swap(columns: list[list[Item]], column: list[Item], i: int, cost: float) -> float:
    """Exchange two neighbours of a column when the drawing gains by it."""
    if column[i].pinned or column[i + 1].pinned:
        return cost
    before = [(item, item.y) for item in column]
    column[i], column[i + 1] = column[i + 1], column[i]
    _align(column, None)
    found = _cost(columns)
    if found < cost - 1e-9:
        return found
    for k, (item, y) in enumerate(before):
        column[k], item.y = item, y
    return cost


def _straight(item: Item) -> list[Item]:
    group = [item]
    for member in group:
        for own, other, other_y in member.links:
            if other.column != member.column and member.y + own == other.y + other_y and other not in group:
                group.append(other)
    return group


def _shift(columns: list[list[Item]], group: list[Item], cost: float) -> float:
    if any(i.pinned for i in group):
        return cost
    start = [i.y for i in group]
    best, best_step = cost, 0
    for step in range(-10 * GRID, 11 * GRID, GRID):
        for item, y in zip(group, start, strict=True):
            item.y = y + step
        if all(_apart(columns[i.column + 1]) for i in group):
            found = _cost(columns)
            if found < best - 1e-9:
                best, best_step = found, step
    for item, y in zip(group, start, strict=True):
        item.y = y + best_step
    return best


def _apart(column: list[Item]) -> bool:
    return all(b.y - a.y >= _separation(a, b) for a, b in zip(column, column[1:], strict=False))


def _first_order(columns: list[list[Item]]) -> None:
    """Start from the order in which a walk from the line meets the items."""
    met: dict[int, int] = {}

    def walk(item: Item) -> None:
        if id(item) in met:
            return
        met[id(item)] = len(met)
        for _, other, _ in sorted(item.links, key=lambda link: link[0]):
            if other.column > item.column:
                walk(other)

    for column in columns:
        for item in column:
            walk(item)
    for column in columns:
        column.sort(key=lambda i: met[id(i)])


def _separation(upper: Item, lower: Item) -> int:
    need = upper.bottom - lower.top + _CLEAR
    return -int(-need // GRID) * GRID


def _stack(column: list[Item]) -> None:
    column.sort(key=lambda i: i.y if i.pinned else 0)
    y = 0
    for i, item in enumerate(column):
        if i:
            y += _separation(column[i - 1], item)
        if not item.pinned:
            item.y = y


def _mean(item: Item, both: bool, forward: bool) -> float:
    wanted = [
        other.y + other_y - own
        for own, other, other_y in item.links
        if both or other.column == item.column or (other.column < item.column) == forward
    ]
    return sum(wanted) / len(wanted) if wanted else item.y


def _align(column: list[Item], forward: bool | None) -> None:
    """Set items, in their order, at the medians of what their links ask for (isotonic regression, absolute error)."""
    blocks: list[tuple[list[float], list[int]]] = []
    offset = 0
    offsets: list[int] = []
    for i, item in enumerate(column):
        if i:
            offset += _separation(column[i - 1], item)
        offsets.append(offset)
        wants = [
            float(other.y + other_y - own - offset)
            for own, other, other_y in item.links
            if other.column != item.column and (forward is None or (other.column < item.column) == forward)
        ]
        if item.pinned:
            wants = [float(item.y - offset)] * 99
        blocks.append((wants or [float(item.y - offset)], [i]))
        while len(blocks) > 1 and _median(blocks[-2][0]) > _median(blocks[-1][0]):
            (low, rows), (high, more) = blocks[-2:]
            blocks[-2:] = [(low + high, rows + more)]
    for wants, rows in blocks:
        value = int(_median(wants))
        for i in rows:
            column[i].y = value + offsets[i]


def _median(values: list[float]) -> float:
    return sorted(values)[(len(values) - 1) // 2]


def _cost(columns: list[list[Item]]) -> float:
    total, low, high = 0.0, 0.0, 0.0
    by_gap: dict[int, list[tuple[int, int]]] = {}
    for column in columns:
        for item in column:
            low, high = min(low, item.y + item.top), max(high, item.y + item.bottom)
            for own, other, other_y in item.links:
                one, two = item.y + own, other.y + other_y
                if other.column > item.column:
                    by_gap.setdefault(item.column, []).append((one, two))
                    total += 30 * (one != two) + abs(one - two) / 4
                elif other.column == item.column:
                    total += abs(one - two) / 8
    for ends in by_gap.values():
        for i, (a, b) in enumerate(ends):
            total += sum(60 for c, d in ends[i + 1 :] if (a - c) * (b - d) < 0)
    return total + (high - low) / 10


def _earth_order(appliance: Appliance, earths: Sequence[Unit]) -> list[Unit]:
    """Earth units in the order in which the protective conductors lead on from the incoming earth."""
    owner = {t: u for u in earths for t in u.ports}
    queue = [appliance.earth] if appliance.earth in owner else []
    found: list[Unit] = []
    seen = set(queue)
    while queue:
        here = queue.pop(0)
        if owner[here] not in found:
            found.append(owner[here])
        for start, end in joins(appliance):
            for near, far in ((start, end), (end, start)):
                if near == here and far in owner and far not in seen:
                    seen.add(far)
                    queue.append(far)
    return found + [u for u in earths if u not in found]
