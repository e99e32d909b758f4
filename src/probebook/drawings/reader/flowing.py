"""The path that carries current, as a drawing needs it: which drawn pieces are on it, and which way it runs.

What flows comes from the core's energised solution. A drawing holds pieces that no branch stands for, the bars of buses
and the conductors inside a frame: they carry current where it has to pass them to go on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from probebook.appliances.energised_states import working
from probebook.appliances.model import Appliance, BranchKind, State
from probebook.drawings.grounds import Placed
from probebook.drawings.layout import Bus, Layout
from probebook.drawings.paths import closed_contacts, potentials
from probebook.drawings.svg import Point

__all__ = ["bar_pieces", "flow_of", "pieces_of", "track_pieces"]

#: A piece of a drawing: its name, and the points it runs through.
Piece = tuple[str, tuple[Point, ...]]


def flow_of(appliance: Appliance, state: State, least: float) -> dict[str, int]:
    """The branches that carry current in a state, each with its sense: 1 from its first end to its second, else -1.

    ``least`` is the current (A) below which a branch counts as carrying none; insulation counts as perfect. KeyError
    for what the appliance does not have. Contacts worked by heat stand as on a cool appliance, as they are drawn.
    """
    flow = working(appliance, [state], volts=appliance.plate.volts, hot=False, leaking=False)
    senses = flow.amps[0] if not appliance.other_lines else _downward(appliance, state)
    return {
        branch.name: 1 if sense > 0 else -1
        for branch, amps, sense in zip(appliance.branches, flow.amps[0], senses, strict=True)
        if abs(float(amps)) > least and branch.kind is not BranchKind.INSULATION
    }


def _downward(appliance: Appliance, state: State) -> list[float]:
    """The sense of each branch on three phases: away from the lines; between two of them away from the first."""
    shut = closed_contacts(appliance, state.position, calling=state.calling, live=True, lifted=state.lifted)
    found = potentials(appliance, shut, state.lifted)
    levels = [found[name] or 0.0 for name in appliance.terminals]
    return [levels[branch.ends[0]] - levels[branch.ends[1]] for branch in appliance.branches]


def pieces_of(appliance: Appliance, plan: Layout, live: Iterable[str]) -> frozenset[str]:
    """Names of the pieces of buses and frames that current passes, when it flows in these branches."""
    flowing = frozenset(live)
    found: set[str] = set()
    for bus in plan.buses:
        found |= _live_bar(appliance, plan, bus, flowing)
    for item in plan.units:
        if item.unit.framed:
            found |= _live_tracks(appliance, item, flowing)
    return frozenset(found)


# ---------------------------------------------------------------- buses


def bar_pieces(appliance: Appliance, plan: Layout, bus: Bus) -> Iterator[Piece]:
    """The stub of a bus and the stretches of its bar between what joins it."""
    if len(bus.stub) > 1:
        yield f"{bus.terminal}~stub", bus.stub
    places = _places(appliance, plan, bus)
    for number, (one, other) in enumerate(pairwise(places)):
        yield f"{bus.terminal}~{number}", (one, other)


def _places(appliance: Appliance, plan: Layout, bus: Bus) -> list[Point]:
    return sorted({*bus.bar, _home(plan, bus), *(point for _, point in _joined(appliance, plan, bus))})


def _home(plan: Layout, bus: Bus) -> Point:
    """Where the terminal itself meets its bar."""
    if bus.stub:
        return bus.stub[-1]
    return plan.terminals[bus.terminal] if _on(bus, plan.terminals[bus.terminal]) else bus.bar[0]


def _on(bus: Bus, point: Point) -> bool:
    (x0, y0), (x1, y1) = bus.bar
    return min(x0, x1) <= point[0] <= max(x0, x1) and min(y0, y1) <= point[1] <= max(y0, y1)


def _joined(appliance: Appliance, plan: Layout, bus: Bus) -> Iterator[tuple[str, Point]]:
    """The wires that end on a bar, and where."""
    for wire in appliance.wires:
        for name, place in ((wire.start, 0), (wire.end, -1)):
            point = plan.wires[wire.mark][place]
            if name == bus.terminal and _on(bus, point):
                yield wire.mark, point


def _live_bar(appliance: Appliance, plan: Layout, bus: Bus, live: frozenset[str]) -> set[str]:
    on_bar = list(_joined(appliance, plan, bus))
    joined = [point for mark, point in on_bar if mark in live]
    ends = {mark for mark, _ in on_bar}
    index = appliance.terminal(bus.terminal)
    at_home = bool(live) and bus.terminal in appliance.live
    at_home |= any(b.name in live and b.name not in ends and index in b.ends for b in appliance.branches)
    found = {f"{bus.terminal}~stub"} if at_home and joined and len(bus.stub) > 1 else set()
    if at_home:
        joined.append(_home(plan, bus))
    for number, (one, other) in enumerate(pairwise(_places(appliance, plan, bus))):
        if any(point <= one for point in joined) and any(point >= other for point in joined):
            found.add(f"{bus.terminal}~{number}")
    return found


# ---------------------------------------------------------------- inside frames


def track_pieces(item: Placed, heights: Mapping[str, Sequence[float]]) -> Iterator[Piece]:
    """The conductors inside a frame from its terminals to where its branches begin.

    ``heights`` are those at which branches leave the upright conductor of each terminal, relative to the frame.
    """
    unit = item.unit
    for terminal, (px, py) in unit.ports.items():
        if terminal not in unit.tracks:
            continue
        x = item.x + unit.tracks[terminal]
        yield f"{terminal}^port", ((item.x + px, item.y + py), (x, item.y + py))
        places = sorted({py, *heights[terminal]})
        for number, (one, other) in enumerate(pairwise(places)):
            yield f"{terminal}^{number}", ((x, item.y + one), (x, item.y + other))


def _live_tracks(appliance: Appliance, item: Placed, live: frozenset[str]) -> set[str]:
    unit, found = item.unit, set[str]()
    wires = {wire.mark for wire in appliance.wires}
    for terminal in unit.tracks:
        py = float(unit.ports[terminal][1])
        index = appliance.terminal(terminal)
        outside = any(b.name in live and b.name in wires and index in b.ends for b in appliance.branches)
        outside |= bool(live) and terminal in appliance.live
        joined = [y for name, y in unit.leaving(terminal) if name in live]
        if outside and joined:
            found.add(f"{terminal}^port")
            joined = [*joined, py]
        places = sorted({py, *(y for _, y in unit.leaving(terminal))})
        for number, (one, other) in enumerate(pairwise(places)):
            if any(y <= one for y in joined) and any(y >= other for y in joined):
                found.add(f"{terminal}^{number}")
    return found
