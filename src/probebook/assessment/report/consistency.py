"""How surely a pass mark tells who can from who cannot: Livingston and Lewis 1995, with a beta of two figures.

The true share of a learner is drawn from a beta distribution, a paper is so many trials that each succeed with it, and
whoever has the passing count passes. *Accuracy* is how often the paper decides as the true share would, *consistency*
how often two such papers would decide alike, *kappa* what of the consistency is more than chance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Row = NDArray[np.float64]

__all__ = ["Consistency", "TrueShares", "classify", "estimate"]

#: Points of the quadrature on either side of the cut.
POINTS = 200


@dataclass(frozen=True, slots=True)
class TrueShares:
    """The beta distribution of true shares, and how many trials a paper is worth."""

    a: float
    b: float
    trials: int


@dataclass(frozen=True, slots=True)
class Consistency:
    """Shares of a class: decided as the truth would, decided alike twice, alike by chance; and kappa."""

    accuracy: float
    consistency: float
    chance: float
    kappa: float


def estimate(shares: Row, reliability: float) -> TrueShares | None:
    """The distribution of true shares behind the shares of the marks of a class.

    None where it cannot be told: a reliability that is not between 0 and 1, marks that do not vary, or that lie so that
    no beta distribution has their mean and spread.
    """
    mean, spread = float(np.mean(shares)), float(np.var(shares))
    if not 0 < reliability < 1 or not 0 < mean < 1 or spread <= 0:
        return None
    trials = (mean * (1 - mean) - reliability * spread) / (spread * (1 - reliability))
    size = mean * (1 - mean) / (reliability * spread) - 1
    if size <= 0 or trials < 1:
        return None
    return TrueShares(mean * size, (1 - mean) * size, max(1, round(trials)))


def passing_count(trials: int, cut: float) -> int:
    """The least number of successes that reaches the cut, a share."""
    return math.ceil(cut * trials - 1e-9)


def classify(shares: TrueShares, count: int, cut: float) -> Consistency:
    """How surely a paper decides.

    Parameters
    ----------
    shares
        True shares and length of the paper.
    count
        The least number of successes that passes.
    cut
        The true share from which a learner should pass.
    """
    below, above = _side(shares, count, 0.0, cut), _side(shares, count, cut, 1.0)
    whole = below[0] + above[0]
    passing = (below[1] + above[1]) / whole
    twice = (below[2] + above[2]) / whole
    accuracy = (below[0] - below[1] + above[1]) / whole
    consistency = 1 - 2 * passing + 2 * twice
    chance = passing**2 + (1 - passing) ** 2
    return Consistency(accuracy, consistency, chance, (consistency - chance) / (1 - chance) if chance < 1 else math.nan)


def _side(shares: TrueShares, count: int, low: float, high: float) -> tuple[float, float, float]:
    """The integrals, from one true share to another, of the density, of passing, and of passing twice.

    The share is the squared sine of an angle, which tames the ends of the density.
    """
    points, weights = np.polynomial.legendre.leggauss(POINTS)
    start, end = math.asin(math.sqrt(low)), math.asin(math.sqrt(high))
    angle = (end - start) / 2 * points + (end + start) / 2
    size = math.lgamma(shares.a + shares.b) - math.lgamma(shares.a) - math.lgamma(shares.b)
    density = 2 * np.exp(size + (2 * shares.a - 1) * np.log(np.sin(angle)) + (2 * shares.b - 1) * np.log(np.cos(angle)))
    mass = weights * density * (end - start) / 2
    passes = _at_least(np.sin(angle) ** 2, shares.trials, count)
    return float(mass.sum()), float((mass * passes).sum()), float((mass * passes**2).sum())


def _at_least(share: Row, trials: int, count: int) -> Row:
    """The chance of at least ``count`` successes."""
    total = np.zeros_like(share)
    for k in range(max(count, 0), trials + 1):
        ways = math.lgamma(trials + 1) - math.lgamma(k + 1) - math.lgamma(trials - k + 1)
        total += np.exp(ways + k * np.log(share) + (trials - k) * np.log1p(-share))
    return np.asarray(np.clip(total, 0.0, 1.0))
