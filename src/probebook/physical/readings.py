"""What a reading leaves open of each failure: from which value on, and up to which, it can have given the display.

The ohms between two terminals rise with those of every branch (Rayleigh's monotonicity law). So the least that can be
found is found where every sound part has its least, the most where it has its most, and what a display says of one
branch is an interval. With the drop ``d`` that one ampere between the probes makes across a branch of ``r`` ohms, and
``z`` ohms found across that branch, adding ``x`` ohms to it turns R into R + d² x / ((r - z) x + r²), and a new path of
``y`` ohms between two terminals with ``z`` ohms found between them turns R into R - d² / (y + z).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Fault
from probebook.physical.board import Board, Setting
from probebook.physical.evidence import Read
from probebook.physical.network import Topology, conductances, impedances

__all__ = ["Interval", "Reader", "readers"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Siemens to ground of every piece in an insulation test: nothing, but for the arithmetic.
_AIR = 1e-13
#: Ohms that wires and loads may have between the ends of what counts as one node in an insulation test.
_METAL = 500.0
#: A drop of less than this share of a branch's own ohms is none.
_NO_DROP = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Interval:
    """Least and most value of each of some failures that a reading leaves; none where least is above most."""

    least: FloatArray
    most: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """A setting worked out for least and most ohms: the two rows of ``z`` and of ``ohms``."""

    nodes: IntArray
    ohms: FloatArray
    topology: Topology
    z: FloatArray

    def between(self, k: int, a: IntArray, b: IntArray) -> FloatArray:
        """Ohms found between nodes of one piece."""
        z = self.z[k]
        return np.asarray(z[a, a] + z[b, b] - 2.0 * z[a, b])


class Reader:
    """One reading, held against failures."""

    def __init__(self, board: Board, read: Read, state: _State) -> None:
        self._board, self._state = board, state
        self._a, self._b = (int(state.nodes[board.appliance.terminal(t)]) for t in read.probes)
        piece = state.topology.piece
        self._insulation, self._dried = read.insulation, read.dried
        self._joined = bool(read.insulation or piece[self._a] == piece[self._b])
        nothing = board.assumed.nothing
        beyond = not read.insulation and read.low >= nothing
        least = read.low - _METAL if read.insulation else read.low
        self.low, self.high = (nothing, np.inf) if beyond else (least, read.high)
        self._flow = [z[self._a] - z[self._b] for z in state.z]
        self._found = [float(u[self._a] - u[self._b]) if self._joined else np.inf for u in self._flow]

    @property
    def is_dried(self) -> bool:
        """Whether it was taken after drying out."""
        return self._dried

    def sound(self) -> bool:
        """Whether an appliance without the failures asked about can have given the display."""
        return self._found[0] <= self.high and self._found[1] >= self.low

    def branches(self) -> Interval:
        """What is left of the ohms of each branch, shape ``(m,)``."""
        m = len(self._board.ends)
        if self._insulation or not self._joined:
            # A break can only take leaking parts away, and joins nothing.
            possible = self._found[0] <= self.high
            return Interval(np.zeros(m), np.full(m, np.inf if possible else -1.0))
        (own, d, q), (own_most, d_most, q_most) = self._series(0), self._series(1)
        over, need = self.high - self._found[0], self.low - self._found[1]
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            most = np.where(d**2 > over * q, own + over * own**2 / (d**2 - over * q), np.inf)
            reached = d_most**2 > need * q_most
            least = np.where(reached, own_most + need * own_most**2 / (d_most**2 - need * q_most), np.inf)
        most = np.where(d == 0.0, np.inf if over >= 0.0 else -1.0, most if np.isfinite(over) else np.inf)
        least = np.where(d_most == 0.0, 0.0, np.maximum(least, 0.0))
        impossible = np.where(d_most == 0.0, need > 0.0, ~reached)
        return Interval(least, np.where(impossible, -1.0, most))

    def _series(self, k: int) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Own ohms ``r`` of each branch, the drop ``d`` across it, and ``r - z``; no drop where it changes nothing."""
        state = self._state
        i, j = state.nodes[self._board.ends].T
        conducts = np.isfinite(state.ohms[k])
        own = np.where(conducts, state.ohms[k], 1.0)
        bridge, parts = state.topology.bridge, state.topology.parts(self._a, self._b)
        d = np.where(bridge, np.where(parts, own, 0.0), self._flow[k][i] - self._flow[k][j])
        q = np.where(bridge, 0.0, np.maximum(own - state.between(k, i, j), 0.0))
        return own, np.where(conducts & (np.abs(d) > _NO_DROP * own), d, 0.0), q

    def paths(self, ends: IntArray) -> Interval:
        """What is left of the ohms of each new path between terminals ``ends``, shape ``(p, 2)``."""
        i, j = self._state.nodes[ends].T
        if self._joined:
            return self._beside(i, j)
        return self._across(i, j)

    def _beside(self, i: IntArray, j: IntArray) -> Interval:
        """New paths where the probes are joined already: within their piece they take ohms away."""
        state, piece = self._state, self._state.topology.piece
        one = np.full(len(i), self._insulation) | ((piece[i] == piece[self._a]) & (piece[j] == piece[self._a]))
        found = []
        for k in (0, 1):
            z, d = state.between(k, i, j), self._flow[k][i] - self._flow[k][j]
            found.append((z, np.where(one & (np.abs(d) > _NO_DROP * z), d, 0.0)))
        (z, d), (z_most, d_most) = found
        need, spare = self._found[0] - self.high, self._found[1] - self.low
        with np.errstate(divide="ignore", invalid="ignore"):
            most = d**2 / need - z if need > 0.0 else np.full(len(i), np.inf)
            least = d_most**2 / spare - z_most if spare > 0.0 else np.full(len(i), np.inf)
        most = np.where(d == 0.0, np.inf if need <= 0.0 else -1.0, most)
        least = np.where(d_most == 0.0, 0.0, np.maximum(least, 0.0))
        return Interval(least, np.where(spare < 0.0, -1.0, most))

    def _across(self, i: IntArray, j: IntArray) -> Interval:
        """New paths where nothing joins the probes: one from one's piece to the other's does."""
        state, piece = self._state, self._state.topology.piece
        a, b = np.full(len(i), self._a), np.full(len(i), self._b)
        straight = (piece[i] == piece[self._a]) & (piece[j] == piece[self._b])
        turned = (piece[j] == piece[self._a]) & (piece[i] == piece[self._b])
        i, j = np.where(turned, j, i), np.where(turned, i, j)
        before = [state.between(k, a, i) + state.between(k, j, b) for k in (0, 1)]
        joins = straight | turned
        untouched = np.inf if np.isinf(self.high) else -1.0
        return Interval(
            np.where(joins, np.maximum(self.low - before[1], 0.0), 0.0),
            np.where(joins, self.high - before[0], untouched),
        )


def readers(board: Board, reads: Sequence[Read], given: Sequence[Fault] = ()) -> list[Reader]:
    """The readings, each with its circuit worked out; settings that come twice are worked out once."""
    states: dict[tuple[Setting, bool, bool], _State] = {}
    found = []
    for read in reads:
        key = (read.setting, read.insulation, read.dried)
        if key not in states:
            ohms = board.ohms(read.setting, given, dried=read.dried)
            states[key] = _insulation(board, ohms) if read.insulation else _ohmic(board, ohms)
        found.append(Reader(board, read, states[key]))
    return found


def _ohmic(board: Board, ohms: FloatArray) -> _State:
    """A setting at an ohmmeter's volts: sound insulation is nothing there."""
    n = len(board.appliance.terminals)
    here = np.where(board.insulation & (ohms[0] > board.assumed.nothing), np.inf, ohms)
    topology = Topology(n, board.ends, np.isfinite(here[0]))
    z = impedances(conductances(n, board.ends, _siemens(here)), topology.piece)
    return _State(np.arange(n), here, topology, z)


def _insulation(board: Board, ohms: FloatArray) -> _State:
    """A setting in an insulation test: all that metal joins is one node."""
    n = len(board.appliance.terminals)
    metal = np.isfinite(ohms[0]) & board.bare
    joined = Topology(n, board.ends, metal)
    _, nodes = np.unique(joined.piece, return_inverse=True)
    count = int(nodes.max()) + 1
    rest = np.where(metal, np.inf, ohms)
    matrices = conductances(count, nodes[board.ends], _siemens(rest))
    matrices[:, np.arange(count), np.arange(count)] += _AIR
    z = impedances(matrices, np.zeros(count, dtype=np.intp))
    return _State(nodes, rest, Topology(count, nodes[board.ends], np.isfinite(rest[0])), z)


def _siemens(ohms: FloatArray) -> FloatArray:
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(np.isfinite(ohms), 1.0 / ohms, 0.0))
