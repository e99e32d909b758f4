"""Where the units of a schematic go: a ladder from the line on the left to neutral on the right.

Columns follow the path from the line (longest path over units whose contacts are all taken as shut), loads move as far
right as they can. Wires that pass a column hold a free lane in it. A place given in the appliance's file overrides what
would be worked out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from probebook.appliances.model import Appliance, PartKind
from probebook.drawings.arranging import Item, arrange
from probebook.drawings.paths import closed_contacts, potentials
from probebook.drawings.units import Unit, build_units, upright
from probebook.words import Words


@dataclass(frozen=True, slots=True)
class Placing:
    """The units with their columns (0 is the line's rail, the last one neutral's) and heights; earth units apart.

    Of three lines the first has the rail; where there is no neutral the last has neutral's.

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


def place(words: Words, appliance: Appliance) -> Placing:
    """Work out columns and heights; ports come to lie on multiples of the grid."""
    levels = levels_of(appliance)
    units = build_units(words, appliance, levels)
    earth = earth_terminals(appliance)
    owner = {t: u for u in units for t in u.ports}
    line, line_head = _head(appliance, appliance.line, owner)
    neutral, neutral_head = _head(appliance, appliance.neutral or appliance.lines[-1], owner)
    standing = {t for u in (*line_head, *neutral_head) for t in u.ports}
    earths = [u for u in units if set(u.ports) <= earth]
    inner = [u for u in units if u not in earths and not standing & set(u.ports)]
    column, count = _columns(appliance, inner, levels)
    items = [Item(u, column[id(u)]) for u in inner]
    lanes = _link(appliance, items, count, line, neutral)
    arrange([*items, *lanes], count)
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


def _columns(appliance: Appliance, units: Sequence[Unit], levels: Mapping[str, float]) -> tuple[dict[int, int], int]:
    """Column of each unit by its id(), and the column of neutral's rail."""
    owner = {t: u for u in units for t in u.ports}
    height = {id(u): math.fsum(levels[t] for t in u.ports) / len(u.ports) for u in units}
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


def _link(appliance: Appliance, items: Sequence[Item], count: int, line: str, neutral: str) -> list[Item]:
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
        for (a, ay), (b, by) in pairwise(chain):
            if a is not None and b is not None:
                a.links.append((ay, b, by))
                b.links.append((by, a, ay))
    return lanes


def _at(one: Item | None, other: Item | None, from_gap: float, to_gap: float) -> set[int]:
    """Columns of the ends themselves where a terminal stands in its column and not beside it."""
    return {i.column for i, g in ((one, from_gap), (other, to_gap)) if i is not None and g == i.column}


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
