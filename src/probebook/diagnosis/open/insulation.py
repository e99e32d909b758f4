"""Insulation readings under generated failures: a leak of its own law, a break that takes leaking parts away."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import branch_ends
from probebook.diagnosis.evidence import Measured
from probebook.diagnosis.inference import Posterior, device_of
from probebook.diagnosis.open.cells import OVERLAP, Cells, leak_law
from probebook.diagnosis.open.ways import Sort, Way
from probebook.diagnosis.physics.paths import Leaks, LeaksTable, leaks_between
from probebook.diagnosis.probability.leakage import Leakage
from probebook.diagnosis.trial import Trial

__all__ = ["leakage_of_ways"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: A leak whose value plain readings tell nothing of keeps its law: cells may differ by this much in ln.
TELLS = 1e-3


def leakage_of_ways(
    found: Posterior, ways: Sequence[Way], rows: IntArray, tests: list[Measured], cells: Cells, score: FloatArray
) -> Leakage:
    """Insulation readings as they stand under some ways."""
    laws = [_law(ways[row], np.flatnonzero(cells.way == row), cells, score) for row in rows.tolist()]
    chosen = [ways[row] for row in rows.tolist()]
    tables = [_table(found, chosen, laws, m.trial) for m in tests]
    return Leakage.of(tables, device_of(tests, found.meters))


def _law(way: Way, mine: IntArray, cells: Cells, score: FloatArray) -> tuple[float, float]:
    """Mean and deviation of ln of the value of a way, by what plain readings leave of it."""
    if way.least == way.most:
        return (math.log(way.least) if math.isfinite(way.least) else math.inf), 0.0
    told = score[mine] - cells.ln_share[mine]
    if way.sort is Sort.LEAK and float(told.max() - told.min()) < TELLS:
        return leak_law(way)
    weight = np.exp(score[mine] - score[mine].max())
    weight /= weight.sum()
    ln, width = np.log(cells.value[mine]), OVERLAP * cells.width[mine]
    mean = float((weight * ln).sum())
    return mean, float(np.sqrt((weight * ((ln - mean) ** 2 + width**2)).sum()))


def _table(found: Posterior, ways: Sequence[Way], laws: Sequence[tuple[float, float]], trial: Trial) -> LeaksTable:
    """What a test finds under each of some ways."""
    model, appliance = found.model, found.appliance
    sound, deviation = model.responses.insulation(trial)
    a, b = (appliance.terminal(t) for t in trial.probes)
    ohms = np.tile(sound, (len(ways), 1))
    spread = np.tile(deviation, (len(ways), 1))
    leaks = np.zeros(ohms.shape, dtype=np.bool_)
    moved: list[int] = []
    for k, (way, (ln, width)) in enumerate(zip(ways, laws, strict=True)):
        i = appliance.branch(way.branch)
        if way.sort is Sort.LEAK:
            ohms[k, way.path], spread[k, way.path], leaks[k, way.path] = math.exp(ln), width, True
        elif way.sort is Sort.OPEN:  # a joint of any ohms is nothing beside megohms
            ohms[k, i] = math.inf
        elif way.sort is Sort.WELDED:
            ohms[k, i] = way.least
        elif way.sort is Sort.MOVED:
            moved.append(k)
    table = leaks_between(appliance, ohms, spread, leaks, (a, b))
    kinds: dict[Leaks, int] = {kind: i for i, kind in enumerate(table.kinds)}
    back = table.back.copy()
    for k in moved:
        ends = branch_ends(appliance).copy()
        ends[appliance.branch(ways[k].branch)] = (ways[k].between[0], ways[k].between[2])
        one = slice(k, k + 1)
        other = leaks_between(appliance, ohms[one], spread[one], leaks[one], (a, b), ends)
        back[k] = kinds.setdefault(other.kinds[0], len(kinds))
    return LeaksTable(tuple(kinds), back)
