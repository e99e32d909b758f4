"""Sums of lognormal quantities: conductances in parallel, and ohms in series, over decades.

A law is held as density and distribution of the logarithm on one even grid. The density of the logarithm s of a sum is
an integral over how the sum is shared: with shares σ(x) and σ(-x) of the two, σ the logistic function::

    p(s) = ∫ p₁(s + ln σ(x)) p₂(s + ln σ(-x)) dx

(the change from both logarithms to s and x has the Jacobian 1). What is integrated is smooth and dies away at both
ends, so an even rule of few nodes is exact to many figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache, reduce

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.physics.paths import Law

FloatArray = NDArray[np.float64]

#: The grid of ln of siemens: from far above any tester's range down to hundreds of ohms.
STEP = 1 / 16
GRID = np.arange(-36.0, -2.0, STEP)
#: The least standard deviation that the grid can hold.
NARROWEST = 0.12
#: How the sum is shared: the widest step of the rule, in standard deviations of the narrower law, and where it ends.
SHARE_STEP, SHARE_OF_DEVIATION, SHARE_END = 0.75, 0.6, 24.0
#: What is less probable than this, below or above, is left out of a law's reach.
NEGLIGIBLE = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """How ln of siemens is distributed: density and distribution on :data:`GRID`.

    Attributes
    ----------
    density, below
        Of ln of siemens, shape of the grid.
    low, high
        Where it begins and ends, but for what is negligible.
    mean, deviation
        Of ln of siemens.
    """

    density: FloatArray
    below: FloatArray
    low: float
    high: float
    mean: float
    deviation: float

    @classmethod
    def of(cls, density: FloatArray) -> Spread:
        """From a density on the grid."""
        # The trapezium's first correction, by Euler and Maclaurin, makes the running integral good to STEP⁴.
        slope = np.gradient(density, STEP)
        each = 0.5 * STEP * (density[1:] + density[:-1]) - STEP**2 / 12.0 * (slope[1:] - slope[:-1])
        below = np.concatenate([[0.0], np.cumsum(np.maximum(each, 0.0))])
        whole = below[-1]
        density, below = density / whole, below / whole
        first, last = np.searchsorted(below, [NEGLIGIBLE, 1.0 - NEGLIGIBLE]).tolist()
        mean = float((density * GRID).sum() * STEP)
        deviation = math.sqrt(float((density * (GRID - mean) ** 2).sum() * STEP))
        low, high = float(GRID[max(first - 1, 0)]), float(GRID[min(last, len(GRID) - 1)])
        return cls(density, below, low, high, mean, deviation)

    def density_at(self, ln: FloatArray) -> FloatArray:
        """Density at ln of siemens, any shape."""
        place, part = _place(ln)
        left, right = self.density[place], self.density[place + 1]
        return np.asarray(left + part * (right - left))

    def below_at(self, ln: FloatArray) -> FloatArray:
        """Probability of less than these ln of siemens, any shape; -inf is nothing."""
        place, part = _place(ln)
        f0, f1 = self.below[place], self.below[place + 1]
        # A cubic with the densities as its slopes at both ends (Hermite).
        rise = f1 - f0
        d0, d1 = STEP * self.density[place] - rise, rise - STEP * self.density[place + 1]
        return np.asarray(f0 + part * (rise + (1.0 - part) * ((1.0 - part) * d0 + part * d1)))


def _place(ln: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    at = np.clip((ln - GRID[0]) * (1.0 / STEP), 0.0, len(GRID) - 1.001)
    place = at.astype(np.intp)
    return place, at - place


def normal_density(ln: FloatArray, mean: float, deviation: float) -> FloatArray:
    """Density of a normal quantity, any shape."""
    z = (ln - mean) / deviation
    return np.asarray(np.exp(-0.5 * z * z) * (1.0 / (math.sqrt(2.0 * math.pi) * deviation)))


@lru_cache(maxsize=4096)
def parallel(law: Law) -> Spread:
    """How ln of the sum of independent lognormal siemens is distributed; parts in rising order."""
    mean, deviation = law[-1]
    deviation = max(deviation, NARROWEST)
    if len(law) == 1:
        return Spread.of(normal_density(GRID, mean, deviation))
    rest = parallel(law[:-1])
    x = _shares(min(deviation, max(rest.deviation / 2.0, NARROWEST)))
    # ln σ(x) and ln σ(-x), without loss at either end.
    mine, others = -np.logaddexp(0.0, -x), -np.logaddexp(0.0, x)
    at = GRID[:, None]
    both = rest.density_at(at + others) * normal_density(at + mine, mean, deviation)
    return Spread.of(both.sum(axis=1) * (x[1] - x[0]))


@lru_cache(maxsize=1024)
def in_series(laws: tuple[Law, ...]) -> Spread:
    """How ln of siemens is distributed where sums stand in series: ohms add as siemens do in parallel."""
    return reduce(_harmonic, (parallel(law) for law in laws))


def _harmonic(one: Spread, other: Spread) -> Spread:
    x = _shares(max(min(one.deviation, other.deviation) / 2.0, NARROWEST))
    mine, others = np.logaddexp(0.0, -x), np.logaddexp(0.0, x)
    at = GRID[:, None]
    return Spread.of((one.density_at(at + mine) * other.density_at(at + others)).sum(axis=1) * (x[1] - x[0]))


def _shares(deviation: float) -> FloatArray:
    step = min(SHARE_STEP, SHARE_OF_DEVIATION * deviation)
    count = math.ceil(SHARE_END / step)
    return np.asarray(step * np.arange(-count, count + 1), dtype=np.float64)


__all__ = ["Spread", "in_series", "parallel"]
