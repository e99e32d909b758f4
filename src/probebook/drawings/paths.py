"""What a drawing needs to know of the circuit: which contacts are shut, which branches carry current, what is near L.

Potentials are found by plain elimination on a few dozen terminals; the figures of a case come from the circuit floor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

from probebook.appliances.model import Appliance, Branch, BranchKind, PartKind, State
from probebook.appliances.relays import feeds_of, pulled_in

#: Parts whose contacts a person sets.
SET_BY_HAND = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)
LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.COIL)

#: What lines are held at, by how many there are, where only what is above what counts; neutral is at nothing.
RANKS = {1: (1.0,), 3: (1.0, 0.9, 0.7)}
#: Conductance of a load against that of a joint or contact: enough to order what lies in series.
_LOAD, _JOINT = 1e-3, 1.0
#: Current below which a branch counts as carrying none: a hundredth of the least load's, far over rounding.
_NOTHING = 1e-8


def closed_contacts(
    appliance: Appliance,
    position: str | None,
    *,
    calling: bool = True,
    live: bool = False,
    lifted: Iterable[str] = (),
) -> frozenset[str]:
    """Names of the contacts that are shut.

    Contacts set by hand follow the position (all open when there is none); those worked by heat stand as on a cool
    appliance. Contacts that cycle (a thermostat's, a regulator's) open when they are not ``calling``. Those of relays
    rest; ``live``, with the supply on, they stand as their coils make them. KeyError for an unknown position.
    """
    pulled = frozenset[str]()
    if live and position is not None:
        pulled = feeds_of(appliance) | pulled_in(appliance, State(position, calling=calling, lifted=frozenset(lifted)))
    closes = appliance.position(position).closes if position is not None else frozenset()
    by_hand = {p.mark for p in appliance.parts if p.kind in (*SET_BY_HAND, PartKind.FEED)}
    return frozenset(
        b.name
        for b in appliance.branches
        if b.kind is BranchKind.CONTACT
        and (b.name in closes if b.part in by_hand else True)
        and (calling or not b.cycles)
        and math.isinf(b.cold_ohms) is (b.part in pulled)
    )


def potentials(appliance: Appliance, closed: Iterable[str], lifted: Iterable[str] = ()) -> dict[str, float | None]:
    """Each terminal's share of the supply voltage, 1 at the line and 0 at neutral; None where it floats.

    Three lines are put in an order, L1 highest, that gives every load between two of them a higher and a lower end.
    """
    return _potentials(appliance, joined(appliance, frozenset(closed), frozenset(lifted)), _ranks(appliance))


def _ranks(appliance: Appliance) -> dict[str, float]:
    """What each live conductor of the supply is held at where only what is above what counts."""
    lines = dict(zip(appliance.lines, RANKS[len(appliance.lines)], strict=True))
    return {**lines, appliance.neutral: 0.0} if appliance.neutral else lines


def _potentials(appliance: Appliance, branches: Iterable[Branch], held: Mapping[str, float]) -> dict[str, float | None]:
    edges = [(*branch.ends, _conductance(branch)) for branch in branches]
    fixed = {appliance.terminal(name): value for name, value in held.items()}
    values = _solve(len(appliance.terminals), edges, fixed)
    return {name: values[i] for i, name in enumerate(appliance.terminals)}


def carrying(
    appliance: Appliance, position: str, *, calling: bool = True, lifted: Iterable[str] = ()
) -> frozenset[str]:
    """Names of the branches that carry current when the healthy appliance is energised in that position."""
    shut = closed_contacts(appliance, position, calling=calling, live=True, lifted=lifted)
    branches = joined(appliance, shut, frozenset(lifted))
    flowing: set[str] = set()
    for held in _one_by_one(appliance):
        volts = _potentials(appliance, branches, held)
        for branch in branches:
            one, other = (volts[appliance.terminals[end]] for end in branch.ends)
            if one is not None and other is not None and abs(one - other) * _conductance(branch) > _NOTHING:
                flowing.add(branch.name)
    return frozenset(flowing)


def _one_by_one(appliance: Appliance) -> Iterator[dict[str, float]]:
    """Each line in turn at 1 and every other live conductor at nothing: what any of them drives current through.

    So the neutral of a balanced star is on the path of each of its loads, though the three currents in it add to none.
    """
    for line in appliance.lines:
        yield {name: float(name == line) for name in appliance.live}


def joined(appliance: Appliance, shut: frozenset[str], away: frozenset[str]) -> list[Branch]:
    """Branches that conduct: wires as built and not lifted, shut contacts, fuses and loads."""
    wires = {wire.mark for wire in appliance.wires} - away
    return [
        b
        for b in appliance.branches
        if (b.kind is BranchKind.WIRE and b.name in wires)
        or (b.kind is BranchKind.CONTACT and b.name in shut)
        or b.kind is BranchKind.FUSE
        or b.kind in LOADS
    ]


def _conductance(branch: Branch) -> float:
    if branch.kind is BranchKind.WIRE:
        return 1e3
    if branch.kind in LOADS:
        return _LOAD * max(branch.watts, 1.0) / 1000
    return _JOINT


def _solve(count: int, edges: Iterable[tuple[int, int, float]], fixed: Mapping[int, float]) -> list[float | None]:
    """Node potentials of a conductance network with some nodes held; None where no held node is reached."""
    near: list[dict[int, float]] = [{} for _ in range(count)]
    for one, other, conductance in edges:
        near[one][other] = near[one].get(other, 0.0) + conductance
        near[other][one] = near[other].get(one, 0.0) + conductance
    reached = set(fixed)
    queue = list(fixed)
    while queue:
        for neighbour in near[queue.pop()]:
            if neighbour not in reached:
                reached.add(neighbour)
                queue.append(neighbour)
    order = [n for n in range(count) if n in reached and n not in fixed]
    steps: list[tuple[int, dict[int, float]]] = []
    live = [dict(links) for links in near]
    for node in order:
        links = live[node]
        total = math.fsum(links.values())
        shares = {other: value / total for other, value in links.items()}
        steps.append((node, shares))
        others = sorted(links)
        for i, one in enumerate(others):
            del live[one][node]
            for other in others[i + 1 :]:
                value = links[one] * shares[other]
                live[one][other] = live[one].get(other, 0.0) + value
                live[other][one] = live[other].get(one, 0.0) + value
    values: list[float | None] = [None] * count
    for node, held in fixed.items():
        values[node] = held
    for node, shares in reversed(steps):
        values[node] = math.fsum(share * (values[other] or 0.0) for other, share in shares.items())
    return values


def _links(appliance: Appliance, live: frozenset[str]) -> dict[int, list[tuple[int, Branch]]]:
    near: dict[int, list[tuple[int, Branch]]] = {i: [] for i in range(len(appliance.terminals))}
    for branch in appliance.branches:
        if branch.name in live:
            one, other = branch.ends
            near[one].append((other, branch))
            near[other].append((one, branch))
    return near


def _walk(
    near: dict[int, list[tuple[int, Branch]]], start: int, goal: int, barred: frozenset[int]
) -> list[tuple[Branch, int]] | None:
    """Shortest way from a terminal to another, loads counting for many joints; terminals barred are left out."""
    cost: dict[int, int] = {start: 0}
    came: dict[int, tuple[int, Branch]] = {}
    waiting = [start]
    while waiting:
        here = min(waiting, key=lambda n: (cost[n], n))
        waiting.remove(here)
        if here == goal:
            break
        for there, branch in near[here]:
            price = cost[here] + (1000 if branch.kind in LOADS else 1)
            if there not in barred and price < cost.get(there, 10**9):
                cost[there] = price
                came[there] = (here, branch)
                waiting.append(there)
    if goal not in cost:
        return None
    steps: list[tuple[Branch, int]] = []
    at = goal
    while at != start:
        before, branch = came[at]
        steps.append((branch, at))
        at = before
    return steps[::-1]


def way_through(appliance: Appliance, branch: Branch, live: frozenset[str]) -> list[tuple[Branch, int]]:
    """The way from line through a load to neutral, as branches with the terminal each leads to; empty where none is.

    Of three lines the one from which it is shortest; to another line where no shorter way leads to neutral.
    """
    near = _links(appliance, live - {branch.name})
    supply = frozenset(appliance.terminal(name) for name in appliance.live)
    best: list[tuple[Branch, int]] = []
    for start, goal in ((appliance.terminal(a), appliance.terminal(b)) for a, b in appliance.live_pairs):
        for entry, exit_ in (branch.ends, branch.ends[::-1]):
            there = _walk(near, start, entry, (supply | {exit_}) - {start})
            if there is None:
                continue
            passed = frozenset([start, *(at for _, at in there)]) - {exit_}
            back = _walk(near, exit_, goal, (passed | supply) - {goal, exit_})
            if back is not None:
                way = [*there, (branch, exit_), *back]
                if not best or _weight(way) < _weight(best):
                    best = way
    return best


def ends_at_line(appliance: Appliance, way: Sequence[tuple[Branch, int]]) -> bool:
    """Whether a way leads from one line to another, and not to neutral."""
    return bool(way) and appliance.terminals[way[-1][1]] in appliance.lines


def way_begins(appliance: Appliance, way: Sequence[tuple[Branch, int]]) -> str:
    """The terminal of the line that a way begins at; the first line's where there is no way."""
    if not way:
        return appliance.line
    (first, at), *_ = way
    return appliance.terminals[next(end for end in first.ends if end != at)]


def lines_of(appliance: Appliance, way: Sequence[tuple[Branch, int]]) -> tuple[str, str]:
    """Names of the two lines that a way leads between; the second is empty where it leads to neutral."""
    ends = way_begins(appliance, way), appliance.terminals[way[-1][1]] if ends_at_line(appliance, way) else ""
    return ends[0].partition(".")[2], ends[1].partition(".")[2]


def _weight(way: list[tuple[Branch, int]]) -> int:
    return sum(1000 if b.kind in LOADS else 1 for b, _ in way)


def in_series_with(appliance: Appliance, branch: Branch, live: frozenset[str]) -> list[str]:
    """Names of the loads that lie on the way through a load besides itself."""
    return [b.name for b, _ in way_through(appliance, branch, live) if b.kind in LOADS and b.name != branch.name]
