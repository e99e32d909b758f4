"""Heights of what stands in the columns of a ladder, so that as many wires as possible run straight and few cross.

Sweeps over the columns put each in the order of the means of its neighbours and set it at their medians with the gaps
kept (the layered method of Sugiyama, Tagawa and Toda, 1981, with isotonic regression for the heights); then neighbours
change places, and what hangs together shifts, while the drawing gains by it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from probebook.drawings.units import GRID, Unit

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


def arrange(items: Sequence[Item], count: int) -> None:
    """Set the height of every item; columns run from 0 to ``count``."""
    columns = [[i for i in items if i.column == c] for c in range(count + 1)]
    _first_order(columns)
    for item in items:
        at = item.unit.part.at if item.unit else None
        if at is not None:
            item.y, item.pinned = round(at[1] * HINT_ROW / GRID) * GRID, True
    for column in columns:
        _stack(column)
    columns = _ordered(items, columns)
    _aligned(items, columns)
    _settle(columns)


def _ordered(items: Sequence[Item], columns: list[list[Item]]) -> list[list[Item]]:
    """Sort the columns to and fro by what their items are joined to; keep the best order found and its heights."""
    best, best_cost = [i.y for i in items], _cost(columns)
    orders = [list(c) for c in columns]
    for sweep in range(24):
        forward = sweep % 2 == 0
        for column in columns if forward else columns[::-1]:
            if sweep < 16:
                _sort(column, sweep % 4 < 2, forward)
            _align(column, forward if sweep % 3 else None)
        cost = _cost(columns)
        if cost < best_cost:
            best, best_cost, orders = [i.y for i in items], cost, [list(c) for c in columns]
    _set_heights(items, best)
    return orders


def _sort(column: list[Item], weighted: bool, forward: bool) -> None:
    column.sort(key=lambda i: i.y if i.pinned else _mean(i, weighted, forward))


def _aligned(items: Sequence[Item], columns: list[list[Item]]) -> None:
    """Align the columns to and fro in the order they have; keep the best heights found."""
    best, best_cost = [i.y for i in items], _cost(columns)
    for sweep in range(8):
        for column in columns if sweep % 2 == 0 else columns[::-1]:
            _align(column, None if sweep > 3 else sweep % 2 == 0)
        cost = _cost(columns)
        if cost < best_cost:
            best, best_cost = [i.y for i in items], cost
    _set_heights(items, best)


def _set_heights(items: Sequence[Item], heights: Sequence[int]) -> None:
    for item, y in zip(items, heights, strict=True):
        item.y = y


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
    return all(b.y - a.y >= _separation(a, b) for a, b in pairwise(column))


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
    return math.fsum(wanted) / len(wanted) if wanted else item.y


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
