"""Decision diagrams over the wires that are off: what is read between two points, for every set of wires at once.

Sixteen wires have 65,536 sets that may be off. But a reading depends on few of them, and taking one more branch out of
a circuit never lowers the resistance between two points (Rayleigh's monotonicity law; Doyle and Snell, *Random Walks
and Electric Networks*, 1984, section 1.4; from memory). So all wires left to be decided being on and all being off
bound all that lies between: when both show the same, nothing else need be asked.

A node asks of one wire whether it is on or off. Nodes that ask the same of the same are one node, as in the binary
decision diagrams of Bryant (*Graph-Based Algorithms for Boolean Function Manipulation*, 1986; from memory), save that
each path may ask in an order of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from probebook.circuit import resistances_for

__all__ = ["Circuit", "Diagram", "Node", "explore"]

FloatArray: TypeAlias = NDArray[np.float64]
#: Wire asked for, where to go when it is on, where to go when it is off. Nought and more is a class of readings,
#: -1 - n the n-th node.
Node: TypeAlias = tuple[int, int, int]
#: Number of a setting, number of a pair of terminals, the wires known to be off and those known to be on, as bits.
_Asked: TypeAlias = tuple[int, int, int, int]
#: A circuit to be solved: number of a setting, and the wires that are off.
_Solved: TypeAlias = tuple[int, int]

#: So many circuits are solved at a time.
_BATCH = 4096


@dataclass(frozen=True, slots=True)
class Circuit:
    """A circuit in several settings, some of whose branches are wires that can be taken off.

    Attributes
    ----------
    n
        Number of terminals.
    ends
        Terminals of each branch, shape ``(m, 2)``.
    ohms
        Of each branch in each setting with every wire on, shape ``(settings, m)``.
    wires
        For each wire the rows of its branches.
    """

    n: int
    ends: NDArray[np.intp]
    ohms: FloatArray
    wires: tuple[tuple[int, ...], ...]

    def pairs(self) -> list[tuple[int, int]]:
        """Every two terminals, in order."""
        return list(combinations(range(self.n), 2))

    def solved(self, wanted: Sequence[_Solved]) -> dict[_Solved, FloatArray]:
        """Ohms between every two terminals, shape ``(n, n)``, in settings with sets of wires off."""
        pairs = np.array(self.pairs(), dtype=np.intp)
        found: dict[_Solved, FloatArray] = {}
        for start in range(0, len(wanted), _BATCH):
            part = wanted[start : start + _BATCH]
            table = self.ohms[[setting for setting, _ in part]]
            for wire, rows in enumerate(self.wires):
                off = [place for place, (_, mask) in enumerate(part) if mask >> wire & 1]
                for row in rows:
                    table[off, row] = np.inf
            squares = np.zeros((len(part), self.n, self.n))
            squares[:, pairs[:, 0], pairs[:, 1]] = resistances_for(self.n, self.ends, table, pairs)
            squares[:, pairs[:, 1], pairs[:, 0]] = squares[:, pairs[:, 0], pairs[:, 1]]
            found |= zip(part, squares, strict=True)
        return found

    def shares(self, setting: int, ohms: FloatArray, pairs: NDArray[np.intp]) -> FloatArray:
        """Of a current through each pair of terminals, the share that each wire carries, shape ``(pairs, wires)``."""
        found = np.zeros((len(pairs), len(self.wires)))
        a, b = ohms[pairs[:, 0]], ohms[pairs[:, 1]]
        for wire, rows in enumerate(self.wires):
            for row in rows:
                u, v = self.ends[row]
                with np.errstate(invalid="ignore"):
                    volts = np.abs(a[:, v] + b[:, u] - a[:, u] - b[:, v]) / 2
                each = np.nan_to_num(volts / self.ohms[setting, row], nan=0.0, posinf=0.0)
                found[:, wire] = np.maximum(found[:, wire], each)
        return found


@dataclass(slots=True)
class Diagram:
    """Nodes that are shared by all that is asked; a node stands after those it leads to."""

    nodes: list[Node] = field(default_factory=list)
    _known: dict[Node, int] = field(default_factory=dict)

    def node(self, wire: int, on: int, off: int) -> int:
        """Where one asks of a wire; where both answers lead to the same, nothing is asked."""
        if on == off:
            return on
        key = (wire, on, off)
        if key not in self._known:
            self._known[key] = len(self.nodes)
            self.nodes.append(key)
        return -1 - self._known[key]

    def at(self, root: int, is_off: Callable[[int], bool]) -> int:
        """The class that a root leads to, with those wires off."""
        while root < 0:
            wire, on, off = self.nodes[-1 - root]
            root = off if is_off(wire) else on
        return root


def explore(circuit: Circuit, class_of: Callable[[float], int], diagram: Diagram) -> list[list[int]]:
    """For every setting of a circuit the roots for every two terminals, in the order of :meth:`Circuit.pairs`.

    ``class_of`` says to which class ohms belong; ohms between two of one class must be of that class too.
    """
    pairs, full = np.array(circuit.pairs(), dtype=np.intp), (1 << len(circuit.wires)) - 1
    settings = range(len(circuit.ohms))
    solved: dict[_Solved, FloatArray] = {}
    tree: dict[_Asked, Node | int] = {}
    asked: list[_Asked] = [(setting, pair, 0, 0) for setting in settings for pair in range(len(pairs))]
    while asked:
        wanted = dict.fromkeys((setting, mask) for setting, _, off, on in asked for mask in (off, full & ~on))
        solved |= circuit.solved([one for one in wanted if one not in solved])
        open_ones: dict[_Solved, list[_Asked]] = {}
        for one in asked:
            setting, pair, off, on = one
            a, b = pairs[pair]
            least = class_of(float(solved[setting, off][a, b]))
            if least == class_of(float(solved[setting, full & ~on][a, b])):
                tree[one] = least
            else:
                open_ones.setdefault((setting, off), []).append(one)
        asked = []
        for (setting, off), ones in open_ones.items():
            shares = circuit.shares(setting, solved[setting, off], pairs[[one[1] for one in ones]])
            for one, wire in zip(ones, _most(shares, ones), strict=True):
                tree[one] = wire, 0, 0
                asked += _answers(one, wire)
    return [[_folded((setting, pair, 0, 0), tree, diagram) for pair in range(len(pairs))] for setting in settings]


def _answers(one: _Asked, wire: int) -> tuple[_Asked, _Asked]:
    """What is to be asked where a wire is on, and where it is off."""
    setting, pair, off, on = one
    return (setting, pair, off, on | 1 << wire), (setting, pair, off | 1 << wire, on)


def _most(shares: FloatArray, ones: Sequence[_Asked]) -> list[int]:
    """Of each, the wire that carries most among those not decided yet."""
    decided = np.array([off | on for _, _, off, on in ones])
    is_decided = (decided[:, None] >> np.arange(shares.shape[1])) & 1 == 1
    return [int(place) for place in np.where(is_decided, -1.0, shares).argmax(axis=1)]


def _folded(one: _Asked, tree: Mapping[_Asked, Node | int], diagram: Diagram) -> int:
    found = tree[one]
    if isinstance(found, int):
        return found
    wire = found[0]
    on, off = _answers(one, wire)
    return diagram.node(wire, _folded(on, tree, diagram), _folded(off, tree, diagram))
