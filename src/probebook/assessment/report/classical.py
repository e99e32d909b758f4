"""Classical statistics of items and of a whole paper. Tables are learners × items, shares of the marks, 0 to 1.

Sources: Kuder and Richardson 1937 (KR-20), Cronbach 1951 (alpha), Henrysson 1963 (point-biserial, the item left out of
its total), Kelley 1939 (the upper and the lower 27 %).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Table = NDArray[np.float64]

__all__ = [
    "alpha",
    "alpha_interval",
    "correlation",
    "discrimination",
    "facility",
    "kr20",
    "standard_error",
    "upper_lower",
    "weights",
    "wilson",
]

#: Share of a class that is its upper and its lower group (Kelley 1939).
GROUP = 0.27
#: Normal deviate of an interval that holds 95 % of the time.
Z95 = 1.959963984540054


def facility(table: Table) -> Table:
    """The mean share of the marks of each item; an item that nobody was given has none (nan)."""
    held = ~np.isnan(table)
    return np.asarray(np.nansum(table, axis=0) / np.where(held.any(axis=0), held.sum(axis=0), np.nan))


def wilson(share: float, number: int) -> tuple[float, float]:
    """The 95 % interval of a share seen in ``number`` learners (Wilson 1927); (0, 1) where there is none."""
    if number <= 0 or math.isnan(share):
        return 0.0, 1.0
    square = Z95**2 / number
    middle = (share + square / 2) / (1 + square)
    half = math.sqrt(max(share * (1 - share) / number + square / (4 * number), 0.0)) * Z95 / (1 + square)
    return max(0.0, middle - half), min(1.0, middle + half)


def discrimination(table: Table, worth: Table) -> Table:
    """The correlation of each item with the marks of all others; nan where one of them does not vary.

    Parameters
    ----------
    table
        Shares of the marks; an item that was not given (nan) is left out for that learner.
    worth
        Marks of each item.
    """
    marks = table * worth
    total = np.nansum(marks, axis=1)
    found = np.full(table.shape[1], np.nan)
    for column in range(table.shape[1]):
        had = ~np.isnan(table[:, column])
        found[column] = correlation(marks[had, column], total[had] - marks[had, column])
    return found


def correlation(one: Table, other: Table) -> float:
    """The correlation of two rows of figures; nan for fewer than three, or where one does not vary."""
    if len(one) < 3:
        return math.nan
    a, b = one - one.mean(), other - other.mean()
    size = math.sqrt(float((a * a).sum()) * float((b * b).sum()))
    return float((a * b).sum()) / size if size > 1e-12 else math.nan


def upper_lower(table: Table, worth: Table) -> Table:
    """How much better each item went in the upper 27 % of the class than in the lower 27 %, -1 to 1.

    Learners at the edge of a group who have the same marks count in part, so that the order of a list decides nothing.
    """
    total = np.nansum(table * worth, axis=1)
    size = max(1.0, GROUP * len(total))
    upper, lower = weights(-total, size), weights(total, size)
    held = ~np.isnan(table)
    values = np.where(held, table, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        high = (values * upper[:, None]).sum(axis=0) / (held * upper[:, None]).sum(axis=0)
        low = (values * lower[:, None]).sum(axis=0) / (held * lower[:, None]).sum(axis=0)
    return np.asarray(high - low)


def weights(order: Table, size: float) -> Table:
    """The weight of each learner in the group of ``size`` that comes first by ``order``; ties share alike."""
    found, left = np.zeros(len(order)), size
    for value in np.unique(order):
        tied = np.isclose(order, value)
        if found[tied].any() or left <= 0:
            continue
        found[tied] = min(1.0, left / tied.sum())
        left -= tied.sum()
    return found


def kr20(table: Table) -> float:
    """Reliability of items that are right or wrong, variances of the learners there are; nan where it has none."""
    return _reliability(table * 1.0, facility(table) * (1 - facility(table)))


def alpha(marks: Table) -> float:
    """Cronbach's alpha of a table of marks; of right and wrong alone it is KR-20. Nan where marks do not vary."""
    return _reliability(marks, marks.var(axis=0))


def _reliability(marks: Table, spread: Table) -> float:
    items = marks.shape[1]
    whole = float(marks.sum(axis=1).var()) if len(marks) else 0.0
    if items < 2 or len(marks) < 2 or not whole > 1e-12:
        return math.nan
    return float(items / (items - 1) * (1 - float(spread.sum()) / whole))


def alpha_interval(value: float, learners: int, items: int) -> tuple[float, float]:
    """The 95 % interval of an alpha: its logarithm is nearly normal (Bonett 2002); nan where nothing can be told."""
    if math.isnan(value) or learners < 3 or items < 2 or value >= 1:
        return math.nan, math.nan
    half = Z95 * math.sqrt(2 * items / ((items - 1) * (learners - 2)))
    return 1 - (1 - value) * math.exp(half), 1 - (1 - value) * math.exp(-half)


def standard_error(marks: Table, reliability: float) -> float:
    """The standard error of measurement of the whole, in marks; nan where the reliability is."""
    if math.isnan(reliability):
        return math.nan
    return float(marks.sum(axis=1).std(ddof=1) * math.sqrt(max(0.0, 1 - max(reliability, 0.0))))
