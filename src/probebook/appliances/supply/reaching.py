"""Which lines of three phases are joined to a load in a position of the controls, with the appliance dead.

An insulation test from a line that ends at an open contact tells of the lead to that contact and of nothing behind it.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from probebook.appliances.model import LOADS, Appliance, BranchKind, Position, State
from probebook.appliances.states import branch_ends, branch_ohms
from probebook.circuit import piece_numbers
from probebook.memo import memo_by_identity

__all__ = ["apart", "mounted", "position_for", "reaching", "tells_of"]

#: What a line does not reach through: a load is what is to be reached, and the coil of a relay is none to be read.
_ENDS = (*LOADS, BranchKind.COIL)


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
    return tuple(b.name for b in appliance.branches if b.kind in LOADS and metal & set(b.ends))


@memo_by_identity(256)
def tells_of(appliance: Appliance, position: str, *, calling: bool) -> Mapping[str, tuple[str, ...]]:
    """By terminal the loads with a path to metalwork that an insulation test from it tells of, dead, nothing lifted.

    To an insulation tester a load, or a coil, joins its two ends as a wire does.
    """
    pieces = _pieces(appliance, position, (BranchKind.INSULATION,), calling=calling)
    at = {name: {pieces[t] for t in appliance.branches[appliance.branch(name)].ends} for name in mounted(appliance)}
    return {
        terminal: tuple(name for name, own in at.items() if piece in own)
        for terminal, piece in zip(appliance.terminals, pieces, strict=True)
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
    pieces = _pieces(appliance, position.name, (BranchKind.INSULATION, *_ENDS), calling=calling)
    names = mounted(appliance)
    loads = [b for b in appliance.branches if (b.name in names if names else b.kind in LOADS)]
    wanted = {pieces[end] for b in loads for end in b.ends}
    return frozenset(line for line in appliance.lines if pieces[appliance.terminal(line)] in wanted)


def _pieces(appliance: Appliance, position: str, apart: tuple[BranchKind, ...], *, calling: bool) -> list[int]:
    """The piece that each terminal is in, dead, with nothing lifted; kinds in ``apart`` join nothing."""
    ohms = branch_ohms(appliance, [State(position, calling=calling)])[0]
    joins = np.isfinite(ohms) & [b.kind not in apart for b in appliance.branches]
    return piece_numbers(len(appliance.terminals), branch_ends(appliance)[joins])
