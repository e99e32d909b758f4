"""Every way in which one thing of an appliance can physically fail, made from its circuit alone.

A way changes one branch, or puts a path where none is, or (a wire on the wrong terminal) both. What is free of it, the
ohms of a burnt joint or of another element, has a range, in which it lies anywhere in ln.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from probebook.appliances import Appliance, Branch, BranchKind, Fault, FaultKind, PartKind
from probebook.diagnosis.open.assumed import OpenWorld, Ranges

__all__ = ["Sort", "Way", "list_ways", "listed_as"]

_LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.COIL)
_JOINED = (BranchKind.WIRE, BranchKind.CONTACT, BranchKind.FUSE)

#: Where in a section a leak is: midway between two of its ends, that is at one, in the middle, at the other.
PLACES = ((0, 0), (0, 1), (1, 1))


class Sort(StrEnum):
    """How something fails."""

    OPEN = "open"
    JOINT = "joint"
    VALUE = "element"
    TURNS = "turns"
    WELDED = "welded"
    LEAK = "leak"
    MOVED = "moved"


@dataclass(frozen=True, slots=True)
class Way:
    """One way to fail.

    Attributes
    ----------
    sort
        How it fails.
    branch
        Name of the branch that fails: of a leak its section.
    least, most
        Ohms that are added (a joint), that the branch has (a load) or that the new path has; equal where nothing is
        free, ``inf`` for open.
    between
        Terminals of a new path, by number: from the middle of the first two to the third; of a wire that is on a wrong
        terminal, from the end that stayed (twice) to the terminal that it is on. Empty for none.
    path
        Number of the branch of insulation that a leak goes through; -1 for none.
    weight
        How likely it is before anything is known, beside 1 for all listed single faults together.
    """

    sort: Sort
    branch: str
    least: float
    most: float
    between: tuple[int, ...] = ()
    path: int = -1
    weight: float = 0.0

    @property
    def what(self) -> tuple[Sort, str, tuple[int, ...]]:
        """Which way it is, whatever its value: leaks of one section are one, from wherever in it."""
        return self.sort, self.branch, self.between[2:] if self.sort is Sort.MOVED else ()


def list_ways(appliance: Appliance) -> tuple[Way, ...]:
    """Every way to fail that the file does not list with the very same effect, in the order of the branches.

    Weights sum to how often what is wrong is on no list.
    """
    assumed, ranges = appliance.assumptions.get(OpenWorld), appliance.assumptions.get(Ranges)
    known = {what for f in appliance.faults for what in _same(appliance, f)}
    found = [w for w in _ways(appliance, ranges) if w.what not in known or w.least < w.most]
    # A leak is one failure, wherever in its section it is.
    weights = [assumed.weight[w.sort] / (len(PLACES) if w.sort is Sort.LEAK else 1) for w in found]
    each = assumed.unlisted / math.fsum(weights)
    return tuple(replace(w, weight=weight * each) for w, weight in zip(found, weights, strict=True))


def _ways(appliance: Appliance, ranges: Ranges) -> Iterator[Way]:
    relays = {p.mark for p in appliance.parts if p.kind in (PartKind.RELAY, PartKind.FEED)}
    for b in appliance.branches:
        closes = b.kind is BranchKind.CONTACT and b.part in relays  # some time, whether or not it rests open
        if b.kind is BranchKind.INSULATION or not (closes or math.isfinite(b.cold_ohms)):
            if b.kind is BranchKind.CONTACT and math.isfinite(b.hot_ohms):
                yield Way(Sort.WELDED, b.name, b.hot_ohms, b.hot_ohms)
            continue
        yield Way(Sort.OPEN, b.name, math.inf, math.inf)
        if b.kind in _JOINED:
            yield _free(Sort.JOINT, b, ranges.joint)
        if b.kind is BranchKind.CONTACT:
            made = b.hot_ohms if closes else b.cold_ohms
            yield Way(Sort.WELDED, b.name, made, made)
        if b.kind is BranchKind.ELEMENT:
            yield _free(Sort.VALUE, b, ranges.element, b.cold_ohms)
        if b.kind in (BranchKind.ELEMENT, BranchKind.MOTOR, BranchKind.COIL):
            yield _free(Sort.TURNS, b, ranges.turns, b.cold_ohms)
    yield from _leaking(appliance, ranges)
    yield from _moved(appliance)


def _free(sort: Sort, branch: Branch, between: tuple[float, ...], unit: float = 1.0) -> Way:
    """A way whose value is anything between two times a unit, ohms."""
    return Way(sort, branch.name, between[0] * unit, between[1] * unit)


def _leaking(appliance: Appliance, ranges: Ranges) -> Iterator[Way]:
    by_name = {b.name: b for b in appliance.branches}
    for i, path in enumerate(appliance.branches):
        section = by_name.get(path.name.split("~", maxsplit=1)[0])
        if path.kind is not BranchKind.INSULATION or section is None or not math.isfinite(path.cold_ohms):
            continue
        for one, two in PLACES:
            between = (section.ends[one], section.ends[two], path.ends[1])
            yield replace(_free(Sort.LEAK, section, ranges.leak), between=between, path=i)


def _moved(appliance: Appliance) -> Iterator[Way]:
    """A wire's end on another terminal of the same part, where that is neither its other end nor joined to it."""
    terminals = {t: appliance.terminals.index(t) for part in appliance.parts for t in part.terminals}
    beside = {t: part.terminals for part in appliance.parts for t in part.terminals}
    for wire in (b for b in appliance.branches if b.kind is BranchKind.WIRE and math.isfinite(b.cold_ohms)):
        for stays, goes in (wire.ends, wire.ends[::-1]):
            near = beside.get(appliance.terminals[goes], ())
            at = near.index(appliance.terminals[goes]) if near else 0
            for other in (at - 1, at + 1):
                if 0 <= other < len(near) and terminals[near[other]] not in wire.ends:
                    to = terminals[near[other]]
                    yield Way(Sort.MOVED, wire.name, wire.cold_ohms, wire.cold_ohms, (stays, stays, to))


def _same(appliance: Appliance, fault: Fault) -> list[tuple[Sort, str, tuple[int, ...]]]:
    """The ways that a fault of the file is, whatever their values."""
    found: list[tuple[Sort, str, tuple[int, ...]]] = []
    ranges = appliance.assumptions.get(Ranges)
    if fault.kind is FaultKind.MISPLACED_WIRE:
        ends = [appliance.branches[appliance.branch(c.branch)].ends for c in fault.changes]
        wire = fault.changes[0].branch
        return [(Sort.MOVED, wire, (end,)) for end in set(ends[-1]) - set(ends[0])]
    for change in fault.changes:
        branch = appliance.branches[appliance.branch(change.branch)]
        sort = _sort_of(fault, branch, change.force, change.factor, ranges)
        name = branch.name.split("~", maxsplit=1)[0] if sort is Sort.LEAK else branch.name
        found.append((sort, name, ()))
    return found


def _sort_of(fault: Fault, branch: Branch, force: float | None, factor: float, ranges: Ranges) -> Sort:
    if branch.kind is BranchKind.INSULATION:
        return Sort.LEAK
    if fault.kind is FaultKind.STUCK_CLOSED:
        return Sort.WELDED
    if force is not None and math.isinf(force):
        return Sort.OPEN
    if branch.kind in _LOADS:
        return Sort.VALUE if factor >= ranges.element[0] and force is None else Sort.TURNS
    return Sort.JOINT


def listed_as(appliance: Appliance, way: Way) -> str:
    """Id of the listed fault that is the same failure, with some value of its own; empty for none.

    A poor joint is one whatever its ohms, and so is a leak; an element of another value is another element.
    """
    if way.sort in (Sort.VALUE, Sort.MOVED):
        return ""
    fits = (f.id for f in appliance.faults if way.what in _same(appliance, f))
    return next(fits, "")
