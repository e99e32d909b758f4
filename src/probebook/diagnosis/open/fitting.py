"""Whether any generated failure explains the readings, where no listed fault does."""

from __future__ import annotations

import numpy as np

from probebook.diagnosis.evidence import Measured
from probebook.diagnosis.fit import Fit, chances_of, residuals, together
from probebook.diagnosis.open.insulation import leakage_of_ways
from probebook.diagnosis.open.weighing import OpenPosterior, readings_of
from probebook.numerics.rounding import rounded, rounded_number

__all__ = ["explaining_ways", "ways_besides"]


def explaining_ways(op: OpenPosterior) -> tuple[int, ...]:
    """Places of the generated failures, of the likeliest few, that explain all readings; likeliest first.

    Each is held against the readings at its likeliest value; to have drawn that from them is what its leniency is.
    """
    found, assumed = op.found, op.found.model.assumed.fitting
    scores = rounded(op.unlisted)
    whole = float(op.unlisted.sum())
    if not whole > 0.0:
        return ()
    order = np.argsort(-scores, kind="stable")[: 2 * assumed.most].tolist()
    rows = [w for w in order if rounded_number(scores[w] / whole) >= assumed.weighed] or order[:1]
    plain, tests = readings_of(found)
    pairs = zip(_by_ohms(op, rows, plain), _by_insulation(op, rows, tests), strict=True)
    count = max(1, bool(plain) + bool(tests))
    chances = [together(pair, count=count) for pair in pairs]
    return tuple(w for w, c in zip(rows, chances, strict=True) if rounded_number(c) >= assumed.least_chance)


def ways_besides(op: OpenPosterior, fit: Fit) -> tuple[int, ...]:
    """The explaining ways where no listed hypothesis fits, by its ``fit``; none where the evidence fits nothing.

    Readings of one state that contradict each other are explained by no failure.
    """
    return () if fit.against else explaining_ways(op)


def _by_ohms(op: OpenPosterior, rows: list[int], plain: list[Measured]) -> list[float]:
    """The p-value of the readings by ohmmeter under each of some ways, at its likeliest value; 1 without any."""
    if not plain:
        return [1.0] * len(rows)
    cells = np.array([_best(op, w) for w in rows], dtype=np.intp)
    known = op.world.response([m.trial for m in plain], op.cells.of(cells))
    left = residuals(op.found, known.ln_ohms, known.slope, plain)
    wrong: list[bool] = np.any(left.outright, axis=1).tolist()
    return [0.0 if bad else c for bad, c in zip(wrong, chances_of(left), strict=True)]


def _by_insulation(op: OpenPosterior, rows: list[int], tests: list[Measured]) -> list[float]:
    """The p-value of the readings of insulation under each of some ways; 1 without any."""
    if not tests:
        return [1.0] * len(rows)
    with np.errstate(divide="ignore"):
        score = np.log(op.weight)
    leakage = leakage_of_ways(op.found, op.world.ways, np.array(rows, dtype=np.intp), tests, op.cells, score)
    return [leakage.tail_probability(k) for k in range(len(rows))]


def _best(op: OpenPosterior, way: int) -> int:
    """Place of the likeliest cell of a way."""
    mine = np.flatnonzero(op.cells.way == way)
    return int(mine[np.argmax(rounded(op.weight[mine]))])
