"""A search of branches and loops, and a dense solution: what this floor knows of circuits, written for it alone.

A branch is a *bridge* when no other path joins its ends; what lies behind a bridge is cut off when it opens. That is
found by a walk that numbers the nodes (Tarjan, A note on finding the bridges of a graph, 1974), never by a difference
of two nearly equal numbers. Everything else follows from the inverse of one matrix of conductances.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from probebook.numerics.matrices import inverse

__all__ = ["Topology", "conductances", "impedances"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


class Topology:
    """Pieces and bridges of a network of ``n`` nodes, of whose branches some conduct.

    Attributes
    ----------
    piece
        Number of the piece each node belongs to, shape ``(n,)``.
    bridge
        Whether each branch is a bridge, shape ``(m,)``; False where it does not conduct.
    """

    def __init__(self, n: int, ends: IntArray, conducting: BoolArray) -> None:
        near: list[list[tuple[int, int]]] = [[] for _ in range(n)]
        pairs = ends.tolist()
        for k in np.flatnonzero(conducting).tolist():
            a, b = pairs[k]
            near[a].append((b, k))
            near[b].append((a, k))
        self.piece = np.full(n, -1, dtype=np.intp)
        self.bridge = np.zeros(len(pairs), dtype=np.bool_)
        self._first = np.zeros(n, dtype=np.intp)
        self._last = np.zeros(n, dtype=np.intp)
        self._behind = np.zeros(len(pairs), dtype=np.intp)
        self._walk(near)

    def _walk(self, near: list[list[tuple[int, int]]]) -> None:
        order = [-1] * len(near)
        low = [0] * len(near)
        clock = 0
        for root in range(len(near)):
            if order[root] >= 0:
                continue
            order[root] = low[root] = clock
            self.piece[root] = root
            clock += 1
            ahead = [(root, -1, iter(near[root]))]
            while ahead:
                node, came, rest = ahead[-1]
                step = next(rest, None)
                if step is None:
                    ahead.pop()
                    self._last[node] = clock
                    if ahead:
                        parent = ahead[-1][0]
                        low[parent] = min(low[parent], low[node])
                        if low[node] > order[parent]:
                            self.bridge[came], self._behind[came] = True, node
                    continue
                other, by = step
                if by == came:
                    continue
                if order[other] >= 0:
                    low[node] = min(low[node], order[other])
                    continue
                order[other] = low[other] = clock
                self.piece[other] = root
                clock += 1
                ahead.append((other, by, iter(near[other])))
        self._first[:] = order

    def parts(self, a: int, b: int) -> BoolArray:
        """Whether each branch is a bridge between two nodes of one piece, shape ``(m,)``."""
        first, last = self._first[self._behind], self._last[self._behind]
        a_behind = (self._first[a] >= first) & (self._first[a] < last)
        b_behind = (self._first[b] >= first) & (self._first[b] < last)
        return np.asarray(self.bridge & (a_behind != b_behind))


def conductances(n: int, ends: IntArray, siemens: FloatArray) -> FloatArray:
    """Matrices of conductances ``(k, n, n)`` of networks whose branches have ``siemens``, shape ``(k, m)``."""
    count = len(siemens)
    found = np.zeros((count, n * n))
    a, b = ends[:, 0], ends[:, 1]
    for row, here in zip(found, siemens, strict=True):
        for at, sign in ((a * n + a, 1.0), (b * n + b, 1.0), (a * n + b, -1.0), (b * n + a, -1.0)):
            row += sign * np.bincount(at, here, minlength=n * n)
    return found.reshape(count, n, n)


def impedances(matrices: FloatArray, piece: IntArray) -> FloatArray:
    """Inverses of matrices of conductances ``(k, n, n)``, one node of each piece being tied to a common ground.

    Nothing flows in the ties when the current put into a piece is taken out of it again.
    """
    roots = np.unique(piece)
    tied = matrices.copy()
    tied[:, roots, roots] += 1.0
    return inverse(tied)
