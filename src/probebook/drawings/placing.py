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
from probebook.drawings.units import GRID, Unit, build_units, upright

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
    """The units with their columns (0 is the line's rail, the last one neutral's) and heights; earth units apart.

    ``line_head`` and ``neutral_head`` stand in the rails, from the supply down to the terminal the rail hangs from.
    """

    items: tuple[Item, ...]
    columns: int
    line: str
    neutral: str
    earths: tuple[Unit, ...]
    line_head: tuple[Unit, ...]
    neutral_head: tuple[Unit, ...]


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
    owner = {t: u for u in units for t in u.ports}
    line, line_head = _head(appliance, appliance.line, owner)
    neutral, neutral_head = _head(appliance, appliance.neutral, owner)
    standing = {t for u in (*line_head, *neutral_head) for t in u.ports}
    earths = [u for u in units if set(u.ports) <= earth]
    inner = [u for u in units if u not in earths and not standing & set(u.ports)]
    column, count = _columns(appliance, inner, levels)
    items = [Item(u, column[id(u)]) for u in inner]
    lanes = _link(appliance, items, count, line, neutral)
    _arrange([*items, *lanes], count)
    ordered = tuple(_earth_order(appliance, earths))
    return Placing((*items, *lanes), count, line, neutral, ordered, tuple(line_head), tuple(neutral_head))


def _head(appliance: Appliance, start: str, owner: Mapping[str, Unit]) -> tuple[str, list[Unit]]:
    """What stands in a rail: tags, fuses and single switches in series with the supply, and the last terminal."""
    here, head = start, [upright(owner[start], start) if owner[start].part.at else owner[start]]
    seen = {start}
    while True:
        ends = [b if a == here else a for a, b in joins(appliance) if here in (a, b)]
        ends = [t for t in ends if t not in seen]
        if len(ends) != 1:
            return here, head
        unit = owner[ends[0]]
        onward = [t for t in unit.ports if t != ends[0]]
        single = len(unit.rows) == 1 and not unit.framed and unit.part.kind in (PartKind.FUSE, PartKind.SWITCH)
        entered = sum(ends[0] in pair for pair in joins(appliance))
        if unit.part.at is not None or (unit.rows and not (single and entered == 1)) or len(head) > 3:
            return here, head
        head.append(upright(unit, ends[0]))
        seen |= set(unit.ports)
        here = onward[0] if onward else ends[0]


def _columns(
    appliance: Appliance, units: Sequence[Unit], levels: Mapping[str, float]
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
    last = max(column.values(), default=0)
    for unit in reversed(order):
        if unit.is_load:
            column[id(unit)] = min((column[id(a)] - 1 for a in after[id(unit)]), default=last)
    _share_columns(appliance, owner, before, column)
    return _hinted(units, column)


def _share_columns(
    appliance: Appliance, owner: Mapping[str, Unit], before: Mapping[int, list[Unit]], column: dict[int, int]
) -> None:
    """Bring loads whose far ends are wired together into one column, the leftmost that the rest allows."""
    for _ in range(len(column)):
        changed = False
        for start, end in joins(appliance):
            one, other = owner.get(start), owner.get(end)
            if one is None or other is None or not (one.is_load and other.is_load):
                continue
            if one.side[start] <= 0 or other.side[end] <= 0:
                continue
            for unit, mate in ((one, other), (other, one)):
                least = 1 + max((column[id(b)] for b in before[id(unit)]), default=0)
                wanted = max(least, column[id(mate)])
                if wanted < column[id(unit)]:
                    column[id(unit)] = wanted
                    changed = True
        if not changed:
            return


def _hinted(units: Sequence[Unit], column: dict[int, int]) -> tuple[dict[int, int], int]:
    """Let place hints override the columns, then number the columns without gaps; 0 and last + 1 are the rails."""
    wanted: dict[int, float] = {key: float(value) for key, value in column.items()}
    for unit in units:
        if unit.part.at is not None:
            wanted[id(unit)] = float(unit.part.at[0])
    number = {v: i + 1 for i, v in enumerate(sorted(set(wanted.values())))}
    return {key: number[value] for key, value in wanted.items()}, len(number) + 1


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
    columns = [[i for i in items if i.column == c] for c in range(count + 1)]
    _first_order(columns)
    for item in items:
        at = item.unit.part.at if item.unit else None
        if at is not None:
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
        if all(_apart(columns[i.column]) for i in group):
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
