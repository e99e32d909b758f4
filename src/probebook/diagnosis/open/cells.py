"""Failures with what is free of them cut into cells, narrow in ln: each cell a value and a spread about it.

Neighbouring cells overlap like the weights of a smooth rule, so that their mixture is even over the range.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance
from probebook.diagnosis.open.predicting import Rows
from probebook.diagnosis.open.ways import Sort, Way

__all__ = ["Cells", "coarse", "finer", "leak_law", "rows_of"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: The spread of a cell beside its width: of even cells that overlap so the sum is even to a hundredth.
OVERLAP = 0.5
#: Width in ln of cells at first, by what is free.
WIDTH = {Sort.JOINT: 0.7, Sort.VALUE: 0.15, Sort.TURNS: 0.25, Sort.LEAK: 0.8}
#: Into how many a cell is cut.
CUT = 8


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Cells of ways; arrays ``(cells,)``.

    Attributes
    ----------
    way
        Place of the way of each.
    value
        Ohms in its middle; inf for open.
    width
        In ln; 0 where nothing is free.
    ln_share
        Ln of its share of its way.
    """

    way: IntArray
    value: FloatArray
    width: FloatArray
    ln_share: FloatArray

    def __len__(self) -> int:
        """How many."""
        return len(self.way)

    def of(self, places: IntArray) -> Cells:
        """Some of them."""
        return Cells(*(getattr(self, name)[places] for name in self.__slots__))


def coarse(ways: Sequence[Way]) -> Cells:
    """The widest cells of all ways."""
    parts = [_cut(way) for way in ways]
    return Cells(
        np.repeat(np.arange(len(parts), dtype=np.intp), [len(v) for v, _, _ in parts]),
        np.concatenate([v for v, _, _ in parts]),
        np.concatenate([np.full(len(v), w) for v, w, _ in parts]),
        np.concatenate([s for _, _, s in parts]),
    )


def _cut(way: Way) -> tuple[FloatArray, float, FloatArray]:
    """Values, width and ln of the shares of the cells of a way."""
    if way.least == way.most:
        return np.array([way.least]), 0.0, np.zeros(1)
    span = math.log(way.most / way.least)
    count = max(2, round(span / WIDTH[way.sort]))
    step = span / count
    at = step * (np.arange(count) + 0.5)
    share = np.ones(count)
    if way.sort is Sort.LEAK:
        middle, deviation = leak_law(way)
        share = np.exp(-0.5 * ((math.log(way.least) + at - middle) / deviation) ** 2)
    return way.least * np.exp(at), step, np.log(share / share.sum())


def leak_law(way: Way) -> tuple[float, float]:
    """Mean and standard deviation of ln of the ohms of a leak: it lies two deviations about the middle of its range."""
    low, high = math.log(way.least), math.log(way.most)
    return (low + high) / 2.0, (high - low) / 4.0


def finer(cells: Cells) -> Cells:
    """Each cell cut into narrower ones; what has nothing free stays."""
    free = np.flatnonzero(cells.width > 0.0)
    fixed = np.flatnonzero(cells.width == 0.0)
    step = cells.width[free] / CUT
    at = (np.arange(CUT) - (CUT - 1) / 2.0)[None, :] * step[:, None]
    value = (cells.value[free, None] * np.exp(at)).ravel()
    share = np.repeat(cells.ln_share[free] - math.log(CUT), CUT)
    return Cells(
        np.concatenate([cells.way[fixed], np.repeat(cells.way[free], CUT)]),
        np.concatenate([cells.value[fixed], value]),
        np.concatenate([cells.width[fixed], np.repeat(step, CUT)]),
        np.concatenate([cells.ln_share[fixed], share]),
    )


def rows_of(appliance: Appliance, ways: Sequence[Way], cells: Cells) -> Rows:
    """The cells as failures with a value each."""
    at = np.array([appliance.branch(w.branch) for w in ways], dtype=np.intp)[cells.way]
    sorts = list(Sort)
    sort = np.array([sorts.index(w.sort) for w in ways], dtype=np.intp)[cells.way]
    between = np.array([w.between or _ends(appliance, w) for w in ways], dtype=np.intp)[cells.way]
    joint, forced, off, new = (
        np.isin(sort, [sorts.index(s) for s in those])
        for those in (
            (Sort.JOINT,),
            (Sort.VALUE, Sort.TURNS),
            (Sort.OPEN, Sort.MOVED),
            (Sort.WELDED, Sort.LEAK, Sort.MOVED),
        )
    )
    leak, weld, moved = (sort == sorts.index(s) for s in (Sort.LEAK, Sort.WELDED, Sort.MOVED))
    none = np.full(len(cells), -1, dtype=np.intp)
    return Rows(
        branch=np.where(weld | leak, none, at),
        force=np.where(forced, cells.value, np.where(off, np.inf, np.nan)),
        added=np.where(joint, cells.value, 0.0),
        between=between,
        path=np.where(new, cells.value, np.inf),
        within=np.where(leak & (between[:, 0] != between[:, 1]), at, none),
        instead=np.where(weld, at, none),
        held=np.where(moved, at, none),
        deviation=OVERLAP * cells.width,
    )


def _ends(appliance: Appliance, way: Way) -> tuple[int, int, int]:
    a, b = appliance.branches[appliance.branch(way.branch)].ends
    return a, a, b
