"""Resistance between terminals, for many states of one network at once.

Between terminals that nothing joins the resistance is ``inf``; between a terminal and itself, or terminals joined
by dead shorts, it is 0. Everything else is right to some units in the last place, however far apart the values.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

from probebook.circuit.extremes import FloatArray
from probebook.circuit.network import (
    Edge,
    IntArray,
    branch_conductances,
    check_terminal,
    edges_of_matrix,
    pairs_of_terminals,
    structure,
)
from probebook.circuit.plan import pair_plan
from probebook.circuit.replay import pair_ohms


def resistance_matrix(conductance: ArrayLike) -> FloatArray:
    """Return the resistance between every two terminals.

    Parameters
    ----------
    conductance
        Shape ``(..., n, n)``, siemens, symmetric; the diagonal is not read. As `conductance_matrix` makes it.

    Returns
    -------
    numpy.ndarray
        Shape ``(..., n, n)``, ohms.

    Raises
    ------
    ValueError
        If the matrix is not square and symmetric, or holds a negative value or one that is not a number.

    See Also
    --------
    resistances : the same from branches, without looking for those in use.
    """
    n, edges, siemens = edges_of_matrix(conductance)
    pairs, pick = _all_pairs(n)
    return _solve(n, edges, siemens, pairs, pick).reshape(*siemens.shape[:-1], n, n)


def resistance_between(conductance: ArrayLike, a: int, b: int) -> FloatArray:
    """Return the resistance between two terminals, by eliminating all others.

    Parameters
    ----------
    conductance
        Shape ``(..., n, n)``, siemens, symmetric; the diagonal is not read.
    a, b
        The two terminals, 0 to ``n - 1``.

    Returns
    -------
    numpy.ndarray
        Shape ``(...)``, ohms.

    Raises
    ------
    ValueError
        As `resistance_matrix`, or if there is no such terminal.
    """
    n, edges, siemens = edges_of_matrix(conductance)
    pairs, pick = _chosen(np.array([[check_terminal(n, a), check_terminal(n, b)]]))
    return _solve(n, edges, siemens, pairs, pick)[..., 0]


def resistances(n: int, ends: ArrayLike, ohms: ArrayLike) -> FloatArray:
    """Return the resistance between every two terminals of a network of branches.

    Parameters
    ----------
    n
        Number of terminals.
    ends
        Shape ``(m, 2)``: the terminals of each branch, 0 to ``n - 1``.
    ohms
        Shape ``(..., m)``: resistance of each branch in each state; ``inf`` is open, 0 a dead short.

    Returns
    -------
    numpy.ndarray
        Shape ``(..., n, n)``, ohms.

    Raises
    ------
    ValueError
        If a resistance is negative or not a number, or ends and ohms do not fit each other.
    """
    s = structure(n, ends)
    siemens = s.merge(branch_conductances(ends, ohms))
    pairs, pick = _all_pairs(n)
    return _solve(n, s.edges, siemens, pairs, pick).reshape(*siemens.shape[:-1], n, n)


def resistances_for(n: int, ends: ArrayLike, ohms: ArrayLike, pairs: ArrayLike) -> FloatArray:
    """Return the resistance between chosen pairs of terminals, without the work for the others.

    Parameters
    ----------
    n, ends, ohms
        As for `resistances`.
    pairs
        Shape ``(p, 2)``: terminals to measure between; a pair may be repeated, reversed or of one terminal.

    Returns
    -------
    numpy.ndarray
        Shape ``(..., p)``, ohms, in the order of ``pairs``.

    Raises
    ------
    ValueError
        As `resistances`, or if there is no such terminal.
    """
    s = structure(n, ends)
    siemens = s.merge(branch_conductances(ends, ohms))
    wanted, pick = _chosen(pairs_of_terminals(n, pairs, "a pair"))
    return _solve(n, s.edges, siemens, wanted, pick)


def _solve(n: int, edges: tuple[Edge, ...], siemens: FloatArray, pairs: tuple[Edge, ...], pick: IntArray) -> FloatArray:
    flat = siemens.reshape(-1, len(edges)) if edges else np.zeros((int(np.prod(siemens.shape[:-1])), 0))
    ohms = pair_ohms(pair_plan(n, edges, pairs), flat, pick)
    return ohms.reshape(*siemens.shape[:-1], len(pick))


@lru_cache(maxsize=64)
def _all_pairs(n: int) -> tuple[tuple[Edge, ...], IntArray]:
    pairs = tuple(combinations(range(n), 2))
    pick = np.zeros((n, n), dtype=np.int64)
    for place, (a, b) in enumerate(pairs, 1):
        pick[a, b] = pick[b, a] = place
    return pairs, pick.ravel()


def _chosen(wanted: IntArray) -> tuple[tuple[Edge, ...], IntArray]:
    asked = [(min(pair), max(pair)) for pair in wanted.tolist()]
    pairs = tuple(sorted({(a, b) for a, b in asked if a != b}))
    place = {pair: i for i, pair in enumerate(pairs, 1)}
    return pairs, np.array([place.get(pair, 0) for pair in asked], dtype=np.int64)
