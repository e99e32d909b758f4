"""An appliance's circuit in the states that readings were taken in: impedances, pieces, and what is cut where.

All states of some evidence are worked out together by one stack of inverses. Which branches are bridges, and what lies
behind them, is read off the same circuit with one ohm in every branch, where it is a matter of whole numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, BranchKind, branch_ends, controlled_ohms
from probebook.circuit import piece_numbers
from probebook.diagnosis.trial import Trial
from probebook.numerics.matrices import inverse

__all__ = ["Circuit", "State", "circuits", "state_of"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

#: In a circuit of one ohm each, a branch is a bridge when this little of its own ohm is missing between its ends.
BRIDGE = 1e-9

#: What sets the circuit: position, calling, wires lifted, cut-outs opened.
State = tuple[str, bool, frozenset[str], frozenset[str]]


def state_of(trial: Trial) -> State:
    """The state a reading is taken in."""
    return trial.position, trial.calling, trial.lifted, trial.opened


@dataclass(frozen=True, slots=True, eq=False)
class Circuit:
    """A state worked out, insulation left out; ``n`` nodes, ``m`` branches.

    Attributes
    ----------
    ends, ohms, on
        Of each branch: its nodes ``(m, 2)``, its ohms, whether it conducts.
    off
        Whether each branch is a wire that is lifted.
    piece
        Number of the piece each node belongs to.
    z
        Potential of each node for one ampere into another, by way of one node of each piece, ``(n, n)``.
    mutual
        Drop across each branch for one ampere through the ends of another, ``(m, m)``.
    bridge
        Whether opening a branch parts its ends.
    side
        Whether a node lies behind a branch, seen from its first end, where that is a bridge, ``(m, n)``.
    """

    ends: IntArray
    ohms: FloatArray
    on: BoolArray
    off: BoolArray
    piece: IntArray
    z: FloatArray
    mutual: FloatArray
    bridge: BoolArray
    side: BoolArray


def circuits(appliance: Appliance, states: Sequence[State]) -> list[Circuit]:
    """The circuits of some states; KeyError for a position, wire or cut-out that the appliance does not have."""
    if not states:
        return []
    n, ends = len(appliance.terminals), branch_ends(appliance)
    leaks = np.array([b.kind is BranchKind.INSULATION for b in appliance.branches])
    ohms, off = [], []
    for position, calling, lifted, opened in states:
        here = controlled_ohms(appliance, position, calling=calling, opened=sorted(opened))
        away = np.array([b.part in lifted for b in appliance.branches])
        ohms.append(np.where(leaks | away, np.inf, here))
        off.append(away)
    pieces = [np.array(piece_numbers(n, ends[np.isfinite(r)]), dtype=np.intp) for r in ohms]
    roots = [np.unique(p) for p in pieces]
    siemens = np.stack([1.0 / r for r in ohms])
    z = _inverses(n, ends, np.concatenate([siemens, (siemens > 0.0).astype(np.float64)]), [*roots, *roots])
    found = []
    for k, (r, piece) in enumerate(zip(ohms, pieces, strict=True)):
        ones = z[len(ohms) + k]
        on, (p, q) = np.isfinite(r), ends.T
        whole = ones[p, p] + ones[q, q] - 2.0 * ones[p, q]
        bridge = on & (1.0 - whole < BRIDGE)
        behind = ones[p] - ones[p, p][:, None] - ones[q] + ones[q, p][:, None]
        side = bridge[:, None] & (np.abs(behind) > 0.5) & (piece[p][:, None] == piece)
        drops = z[k][p] - z[k][q]
        found.append(Circuit(ends, r, on, off[k], piece, z[k], drops[:, p] - drops[:, q], bridge, side))
    return found


def _inverses(n: int, ends: IntArray, siemens: FloatArray, roots: Sequence[IntArray]) -> FloatArray:
    count = len(siemens)
    matrix = np.zeros((count, n, n))
    (p, q), k = ends.T, np.arange(count)[:, None]
    np.add.at(matrix, (k, p, p), siemens)
    np.add.at(matrix, (k, q, q), siemens)
    np.add.at(matrix, (k, p, q), -siemens)
    np.add.at(matrix, (k, q, p), -siemens)
    for row, root in zip(matrix, roots, strict=True):
        row[root, root] += 1.0
    return inverse(matrix)
