"""Branches and terminals: from lists of resistors to conductances, and the checks on both."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from probebook.circuit.extremes import FloatArray, conductances

IntArray = NDArray[np.int64]
Edge = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Structure:
    """Which terminals a list of branches joins; what a batch of states has in common.

    Parameters
    ----------
    n
        Number of terminals.
    edges
        The distinct pairs of terminals joined, lower number first, sorted.
    edge_of_branch
        For each branch the place of its pair in ``edges``, or -1 where both its ends are one terminal.
    sign
        For each branch +1.0 where its first end is the lower number, -1.0 where it is the higher.
    order, starts
        Branches sorted by edge, and where each edge's run of parallel branches starts among them.
    """

    n: int
    edges: tuple[Edge, ...]
    edge_of_branch: IntArray
    sign: FloatArray
    order: IntArray
    starts: IntArray

    def merge(self, siemens: FloatArray) -> FloatArray:
        """Return conductances of the edges ``(..., edges)`` from those of the branches ``(..., m)``: parallels add."""
        runs = siemens[..., self.order]
        if len(self.order) == len(self.starts):
            return runs
        return np.add.reduceat(runs, self.starts, axis=-1)


def structure(n: int, ends: ArrayLike) -> Structure:
    """Return the structure of branches between ``n`` terminals.

    Parameters
    ----------
    n
        Number of terminals.
    ends
        Shape ``(m, 2)``: the terminals of each branch, 0 to ``n - 1``.

    Raises
    ------
    ValueError
        If ``ends`` has another shape, is not of whole numbers, or names a terminal that is not there.
    """
    given = pairs_of_terminals(n, ends, "a branch")
    return _structure(n, given.tobytes())


def pairs_of_terminals(n: int, pairs: ArrayLike, each: str) -> IntArray:
    """Return pairs as whole numbers ``(m, 2)``.

    Raises
    ------
    ValueError
        If they have another shape, are not whole numbers, or name a terminal that is not there. ``each``
        says what a pair is.
    """
    given = np.asarray(pairs)
    if given.size == 0:
        return np.zeros((0, 2), dtype=np.int64)
    if given.ndim != 2 or given.shape[1] != 2:
        raise ValueError(f"{each} has two terminals, so give an array of shape (m, 2), not {given.shape}")
    if given.dtype.kind not in "iu":
        raise ValueError(f"terminals are whole numbers, but {each} is given as {given.dtype}")
    for end in (int(given.min()), int(given.max())):
        if not 0 <= end < n:
            raise ValueError(f"{each} has terminal {end}, but terminals run from 0 to {n - 1}")
    return np.ascontiguousarray(given, dtype=np.int64)


@lru_cache(maxsize=512)
def _structure(n: int, ends: bytes) -> Structure:
    pairs = np.frombuffer(ends, dtype=np.int64).reshape(-1, 2)
    low, high = pairs.min(axis=1), pairs.max(axis=1)
    proper = np.flatnonzero(low != high)
    codes, edge = np.unique(low[proper] * n + high[proper], return_inverse=True)
    edge_of_branch = np.full(len(pairs), -1, dtype=np.int64)
    edge_of_branch[proper] = edge
    by_edge = np.argsort(edge, kind="stable")
    starts = np.searchsorted(edge[by_edge], np.arange(len(codes)))
    return Structure(
        n=n,
        edges=tuple((int(c) // n, int(c) % n) for c in codes),
        edge_of_branch=edge_of_branch,
        sign=np.where(pairs[:, 0] == low, 1.0, -1.0),
        order=proper[by_edge],
        starts=starts.astype(np.int64),
    )


def branch_conductances(ends: ArrayLike, ohms: ArrayLike) -> FloatArray:
    """Return the conductance ``(..., m)`` of each branch in siemens, checked against the number of branches.

    Raises
    ------
    ValueError
        If a resistance is negative or not a number, or there is not one for each branch.
    """
    siemens = conductances(ohms)
    m = len(np.asarray(ends))
    if siemens.ndim == 0 or siemens.shape[-1] != m:
        raise ValueError(f"ohms has shape {siemens.shape}, but there are {m} branches; its last axis is one a branch")
    return siemens


def check_terminal(n: int, terminal: int) -> int:
    """Return ``terminal`` as an int; raise ValueError if it is not among ``n``."""
    if not 0 <= terminal < n:
        raise ValueError(f"there is no terminal {terminal}; terminals run from 0 to {n - 1}")
    return int(terminal)


def conductance_matrix(n: int, ends: ArrayLike, ohms: ArrayLike) -> FloatArray:
    """Return the conductance between every two terminals of a network of branches.

    Parameters
    ----------
    n
        Number of terminals.
    ends
        Shape ``(m, 2)``: the terminals of each branch, 0 to ``n - 1``. Branches in parallel add; a branch
        with both ends on one terminal is ignored.
    ohms
        Shape ``(..., m)``: resistance of each branch in each state; ``inf`` is open, 0 a dead short.

    Returns
    -------
    numpy.ndarray
        Shape ``(..., n, n)``, siemens, symmetric, nought on the diagonal; 0 where nothing joins two
        terminals directly, ``inf`` where a dead short does.

    Raises
    ------
    ValueError
        If a resistance is negative or not a number, or ends and ohms do not fit each other.
    """
    s = structure(n, ends)
    siemens = s.merge(branch_conductances(ends, ohms))
    matrix = np.zeros((*siemens.shape[:-1], n, n))
    if s.edges:
        low, high = np.array(s.edges).T
        matrix[..., low, high] = matrix[..., high, low] = siemens
    return matrix


def edges_of_matrix(conductance: ArrayLike) -> tuple[int, tuple[Edge, ...], FloatArray]:
    """Return terminals, the edges used in any state, and their conductances ``(..., edges)`` in siemens.

    Raises
    ------
    ValueError
        If the matrix is not square and symmetric, or holds a negative value or one that is not a number.
    """
    g = np.asarray(conductance, dtype=np.float64)
    if g.ndim < 2 or g.shape[-1] != g.shape[-2]:
        raise ValueError(f"a conductance matrix has shape (..., n, n), not {g.shape}")
    n = g.shape[-1]
    low, high = np.triu_indices(n, 1)
    upper = g[..., low, high]
    if not (upper >= 0.0).all():
        raise ValueError("a conductance matrix holds siemens from 0 to inf; one of these is negative or not a number")
    if not (upper == g[..., high, low]).all():
        raise ValueError("a conductance matrix is symmetric; one of these is not")
    used = np.flatnonzero((upper > 0.0).reshape(-1, len(low)).any(axis=0))
    edges = tuple(zip(low[used].tolist(), high[used].tolist(), strict=True))
    return n, edges, upper[..., used]
