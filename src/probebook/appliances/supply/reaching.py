"""Which lines of three phases are joined to a load in a position of the controls, with the appliance dead.

An insulation test from a line that ends at an open contact tells of the lead to that contact and of nothing behind it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from probebook.appliances.model import Appliance, Branch, BranchKind, Position, State
from probebook.appliances.states import branch_ohms
from probebook.memo import memo_by_identity

__all__ = ["apart", "mounted", "position_for", "reaching", "tells_of"]

#: What a line does not reach through: a load is what is to be reached, and the coil of a relay is none to be read.
_ENDS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.COIL)
_LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON)


@memo_by_identity(32)
def reaching(appliance: Appliance, *, calling: bool) -> Mapping[str, tuple[str, ...]]:
    """Terminals of the lines that are joined to a load, dead, by position that heats; none in any other.

    A line that no position joins to a load, as where all of its loads lie behind contactors, is told in every position
    that heats: from its terminal there is no more to be read. ``calling`` says whether thermostats call.
    """
    found = {p.name: _joined(appliance, p, calling=calling) if p.heats else frozenset() for p in appliance.positions}
    called = found if calling else {p.name: _joined(appliance, p, calling=True) for p in appliance.positions if p.heats}
    never = set(appliance.lines) - {line for lines in called.values() for line in lines}
    return {
        p.name: tuple(line for line in appliance.lines if p.heats and (line in found[p.name] or line in never))
        for p in appliance.positions
    }


def position_for(appliance: Appliance, line: str) -> str:
    """The position in which the insulation of a line is read: of those that join it to a load, that with most heat."""
    joins = reaching(appliance, calling=True) if appliance.other_lines else {}
    return max(appliance.positions, key=lambda p: (line in joins.get(p.name, ()), len(p.heats), p.name)).name


def mounted(appliance: Appliance) -> tuple[str, ...]:
    """Names of the loads that have a path to metalwork."""
    metal = {end for b in appliance.branches if b.kind is BranchKind.INSULATION for end in b.ends}
    return tuple(b.name for b in appliance.branches if b.kind in _LOADS and metal & set(b.ends))


@memo_by_identity(256)
def tells_of(appliance: Appliance, position: str, *, calling: bool) -> Mapping[str, tuple[str, ...]]:
    """By terminal the loads with a path to metalwork that an insulation test from it tells of, dead, nothing lifted.

    To an insulation tester a load, or a coil, joins its two ends as a wire does.
    """
    ohms = branch_ohms(appliance, [State(position, calling=calling)])[0]
    ends = [
        b.ends
        for b, value in zip(appliance.branches, ohms, strict=True)
        if b.kind is not BranchKind.INSULATION and np.isfinite(value)
    ]
    at = {name: set(appliance.branches[appliance.branch(name)].ends) for name in mounted(appliance)}
    reached = [_from(k, ends) for k in range(len(appliance.terminals))]
    return {
        terminal: tuple(name for name, own in at.items() if own & found)
        for terminal, found in zip(appliance.terminals, reached, strict=True)
    }


def apart(appliance: Appliance, still: str) -> tuple[str, ...]:
    """Terminals, beside those of the supply, whose insulation is to be read so that that of every load has been.

    None of one phase. ``still`` is the position in which neutral, and these, are read.
    """
    if not appliance.other_lines:
        return ()
    at_rest = tells_of(appliance, still, calling=True)
    known = set(at_rest[appliance.neutral]) if appliance.neutral else set[str]()
    for line in appliance.lines:
        known |= set(tells_of(appliance, position_for(appliance, line), calling=True)[line])
    found: list[str] = []
    for name in mounted(appliance):
        if name not in known:
            found.append(appliance.terminals[appliance.branches[appliance.branch(name)].ends[0]])
            known |= set(at_rest[found[-1]])
    return tuple(found)


def _joined(appliance: Appliance, position: Position, *, calling: bool) -> frozenset[str]:
    """The lines that some load hangs on in a position, of the loads with a path to metalwork where there are such."""
    branches = appliance.branches
    ohms = branch_ohms(appliance, [State(position.name, calling=calling)])[0]
    ends = [b.ends for b, value in zip(branches, ohms, strict=True) if _conducts(b) and np.isfinite(value)]
    loads = [b for b in branches if b.kind in _LOADS]
    metal = {end for b in branches if b.kind is BranchKind.INSULATION for end in b.ends}
    wanted = {end for b in [b for b in loads if metal & set(b.ends)] or loads for end in b.ends}
    return frozenset(line for line in appliance.lines if _from(appliance.terminal(line), ends) & wanted)


def _conducts(branch: Branch) -> bool:
    return branch.kind is not BranchKind.INSULATION and branch.kind not in _ENDS


def _from(start: int, ends: Collection[tuple[int, int]]) -> set[int]:
    """The terminals that are joined to one, itself among them."""
    reached, fresh = {start}, {start}
    while fresh:
        fresh = {b for pair in ends for a, b in (pair, pair[::-1]) if a in fresh} - reached
        reached |= fresh
    return reached
