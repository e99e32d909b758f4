"""How far two markers agree: Cohen's kappa (Cohen 1960) and its standard error (Fleiss, Cohen and Everitt 1969)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Agreement", "agreement", "kappa"]


@dataclass(frozen=True, slots=True)
class Agreement:
    """Pairs judged, share of them alike, share alike by chance, kappa, its standard error; nan where untold."""

    pairs: int
    alike: float
    chance: float
    kappa: float
    error: float


def agreement(one: Sequence[str], other: Sequence[str]) -> Agreement:
    """The agreement of two markers who put the same things, in the same order, into categories."""
    names = sorted({*one, *other})
    place = {name: at for at, name in enumerate(names)}
    table = [[0] * len(names) for _ in names]
    for a, b in zip(one, other, strict=True):
        table[place[a]][place[b]] += 1
    return kappa(table)


def kappa(table: Sequence[Sequence[int]]) -> Agreement:
    """Kappa of a square table of counts: rows are the first marker's categories, columns the second's.

    The standard error is that of a kappa that need not be nought, in large samples.
    """
    number = sum(map(sum, table))
    if not number:
        return Agreement(0, math.nan, math.nan, math.nan, math.nan)
    share = [[cell / number for cell in row] for row in table]
    places = range(len(share))
    rows = [math.fsum(row) for row in share]
    columns = [math.fsum(share[i][j] for i in places) for j in places]
    alike = math.fsum(share[i][i] for i in places)
    chance = math.fsum(rows[i] * columns[i] for i in places)
    if chance > 1 - 1e-12:
        return Agreement(number, alike, chance, math.nan, math.nan)
    on = math.fsum(share[i][i] * ((1 - chance) - (rows[i] + columns[i]) * (1 - alike)) ** 2 for i in places)
    off = math.fsum(share[i][j] * (columns[i] + rows[j]) ** 2 for i in places for j in places if i != j)
    spread = on + (1 - alike) ** 2 * off - (alike * chance - 2 * chance + alike) ** 2
    error = math.sqrt(max(spread, 0.0) / number) / (1 - chance) ** 2
    return Agreement(number, alike, chance, (alike - chance) / (1 - chance), error)
