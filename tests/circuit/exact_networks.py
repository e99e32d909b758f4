"""Networks in exact rational arithmetic, and hypothesis strategies that draw networks.

Floats are taken for the exact fractions they are; dead shorts are merged, parts found, and Kirchhoff's equations
solved by Gauss-Jordan elimination of fractions. Shares no code and no method with the package.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

import numpy as np
from hypothesis import strategies as st

Ends = Sequence[tuple[int, int]]


def _representatives(n: int, ends: Ends, joined: Sequence[bool]) -> list[int]:
    """Return for each terminal the lowest one it is joined to."""
    mark = list(range(n))
    for _ in range(n):
        for (a, b), together in zip(ends, joined, strict=True):
            if together:
                mark[a] = mark[b] = min(mark[a], mark[b])
    return mark


def solve(matrix: list[list[Fraction]], right: list[list[Fraction]]) -> list[list[Fraction]]:
    """Solve by Gauss-Jordan elimination; several right-hand sides, one a column."""
    size = len(matrix)
    rows = [[*m, *r] for m, r in zip(matrix, right, strict=True)]
    for c in range(size):
        pivot = next(i for i in range(c, size) if rows[i][c])
        rows[c], rows[pivot] = rows[pivot], rows[c]
        lead = rows[c][c]
        rows[c] = [x / lead for x in rows[c]]
        for i in range(size):
            if i != c and rows[i][c]:
                by = rows[i][c]
                rows[i] = [x - by * y for x, y in zip(rows[i], rows[c], strict=True)]
    return [row[size:] for row in rows]


def _laplacian(n: int, ends: Ends, ohms: Sequence[float], merged: Sequence[int]) -> list[list[Fraction]]:
    laplacian = [[Fraction(0)] * n for _ in range(n)]
    for (a, b), r in zip(ends, ohms, strict=True):
        i, j = merged[a], merged[b]
        if r == 0 or math.isinf(r) or i == j:
            continue
        g = 1 / Fraction(r)
        laplacian[i][i] += g
        laplacian[j][j] += g
        laplacian[i][j] -= g
        laplacian[j][i] -= g
    return laplacian


def exact_resistances(n: int, ends: Ends, ohms: Sequence[float]) -> list[list[Fraction | float]]:
    """Return ohms between every two terminals: a fraction, or ``inf`` where nothing joins them."""
    merged = _representatives(n, ends, [r == 0 for r in ohms])
    part = _representatives(n, ends, [not math.isinf(r) for r in ohms])
    laplacian = _laplacian(n, ends, ohms, merged)
    found: list[list[Fraction | float]] = [[math.inf] * n for _ in range(n)]
    for root in set(part):
        inside = [t for t in range(n) if part[t] == root]
        free = sorted({merged[t] for t in inside} - {merged[root]})
        unit = [[Fraction(int(i == j)) for j in free] for i in free]
        rows = solve([[laplacian[i][j] for j in free] for i in free], unit)
        inverse = {(i, j): rows[p][q] for p, i in enumerate(free) for q, j in enumerate(free)}

        def at(i: int, j: int, inverse: dict[tuple[int, int], Fraction] = inverse) -> Fraction:
            return inverse.get((i, j), Fraction(0))

        for a in inside:
            for b in inside:
                i, j = merged[a], merged[b]
                found[a][b] = at(i, i) + at(j, j) - 2 * at(i, j)
    return found


def exact_volts(n: int, ends: Ends, ohms: Sequence[float], held: Mapping[int, float]) -> list[Fraction | None]:
    """Return the potential of each terminal, None where no held terminal reaches; held ones must not be shorted."""
    merged = _representatives(n, ends, [r == 0 for r in ohms])
    part = _representatives(n, ends, [not math.isinf(r) for r in ohms])
    fixed = {merged[t]: Fraction(v) for t, v in held.items()}
    live = {part[t] for t in held}
    laplacian = _laplacian(n, ends, ohms, merged)
    free = sorted({merged[t] for t in range(n) if part[t] in live} - fixed.keys())
    right = [[-sum((laplacian[i][h] * v for h, v in fixed.items()), Fraction(0))] for i in free]
    rows = solve([[laplacian[i][j] for j in free] for i in free], right)
    volts = fixed | {i: row[0] for i, row in zip(free, rows, strict=True)}
    return [volts.get(merged[t]) for t in range(n)]


def worst_error(found: Any, exact: Sequence[Sequence[Fraction | float]]) -> float:
    """Return the largest relative error over all pairs; ``inf`` if an open circuit or a dead short is missed."""
    worst = 0.0
    for row, exact_row in zip(np.asarray(found).tolist(), exact, strict=True):
        for value, truth in zip(row, exact_row, strict=True):
            if truth == 0 or math.isinf(truth):
                worst = worst if value == truth else math.inf
            elif not math.isfinite(value):
                worst = math.inf
            else:
                worst = max(worst, float(abs(Fraction(value) / Fraction(truth) - 1)))
    return worst


decades = st.floats(-3, 9).map(lambda e: 10.0**e)
"""Resistances over twelve decades, from a milliohm to a gigaohm."""

any_ohms = st.one_of(decades, decades, decades, st.sampled_from([0.0, math.inf]))
"""The same with dead shorts and open circuits among them."""


@st.composite
def networks(
    draw: st.DrawFn, ohms: st.SearchStrategy[float] = any_ohms, most: int = 7
) -> tuple[int, list[tuple[int, int]], list[float]]:
    """Draw terminals, branches (some in parallel, some with both ends on one terminal) and resistances."""
    n = draw(st.integers(2, most))
    terminal = st.integers(0, n - 1)
    ends = draw(st.lists(st.tuples(terminal, terminal), min_size=1, max_size=2 * n))
    return n, ends, draw(st.lists(ohms, min_size=len(ends), max_size=len(ends)))


@st.composite
def connected_networks(
    draw: st.DrawFn, ohms: st.SearchStrategy[float] = decades, most: int = 7
) -> tuple[int, list[tuple[int, int]], list[float]]:
    """Draw a network in which every terminal is joined to every other: a tree, and more branches."""
    n, ends, values = draw(networks(ohms, most))
    tree = [(draw(st.integers(0, t - 1)), t) for t in range(1, n)]
    return n, tree + ends, draw(st.lists(ohms, min_size=n - 1, max_size=n - 1)) + values


@st.composite
def series_parallel(draw: st.DrawFn) -> tuple[int, list[tuple[int, int]], list[float]]:
    """Draw a network between terminals 0 and 1 grown by doubling branches in series or in parallel."""
    ends = [(0, 1)]
    n = 2
    for in_series in draw(st.lists(st.booleans(), min_size=1, max_size=8)):
        k = draw(st.integers(0, len(ends) - 1))
        a, b = ends[k]
        if in_series:
            ends[k : k + 1] = [(a, n), (n, b)]
            n += 1
        else:
            ends.append((a, b))
    return n, ends, draw(st.lists(decades, min_size=len(ends), max_size=len(ends)))
