"""How probable every hypothesis is, listed or generated, given everything observed.

The listed ones keep what :func:`probebook.diagnosis.inference.posterior` makes of them. A generated failure is weighed
by the same likelihood, its free value in cells: wide ones first, and those that stay in the running cut finer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.evidence import Measured, Seen, plain_log_likelihood
from probebook.diagnosis.inference import Posterior, device_of
from probebook.diagnosis.model import ApplianceModel
from probebook.diagnosis.open.assumed import OpenWorld
from probebook.diagnosis.open.cells import OVERLAP, Cells, coarse, finer, rows_of
from probebook.diagnosis.open.insulation import leakage_of_ways
from probebook.diagnosis.open.networks import Circuit, State, circuits, state_of
from probebook.diagnosis.open.predicting import predicted
from probebook.diagnosis.open.use import use_log_likelihood
from probebook.diagnosis.open.ways import list_ways
from probebook.diagnosis.physics.responses import SEVERITIES, Response
from probebook.diagnosis.probability.linear import Linear
from probebook.diagnosis.trial import Trial
from probebook.memo import memo_by_identity
from probebook.meters import Function
from probebook.numerics.rounding import rounded

__all__ = ["OpenPosterior", "World", "open_posterior", "readings_of", "world_of"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Wide cells are kept so much longer, in ln, than narrow ones: a value within may do better than the cell does.
WIDER = 8.0


class World:
    """Every generated failure of an appliance, and its circuits in the states asked about so far."""

    def __init__(self, model: ApplianceModel) -> None:
        self.model = model
        self.ways = list_ways(model.appliance)
        self.cells = coarse(self.ways)
        self.running = model.appliance.assumptions.get(OpenWorld).running
        self._circuits: dict[State, Circuit] = {}

    def circuits(self, trials: list[Trial]) -> list[Circuit]:
        """The circuit in which each reading is taken."""
        states = [state_of(t) for t in trials]
        fresh = [s for s in dict.fromkeys(states) if s not in self._circuits]
        self._circuits.update(zip(fresh, circuits(self.model.appliance, fresh), strict=True))
        return [self._circuits[s] for s in states]

    def response(self, trials: list[Trial], cells: Cells) -> Response:
        """What readings would find under each cell, in the unknowns of the listed hypotheses."""
        table, appliance = self.model.responses, self.model.appliance
        rows = rows_of(appliance, self.ways, cells)
        making = table.making
        ln_ohms = np.empty((len(cells), len(trials)))
        slope = np.zeros((len(cells), len(trials), making.shape[1] + SEVERITIES))
        for t, (trial, circuit) in enumerate(zip(trials, self.circuits(trials), strict=True)):
            a, b = (appliance.terminal(p) for p in trial.probes)
            ln_ohms[:, t], slope[:, t, : making.shape[1] + 1] = predicted(circuit, (a, b), rows, making)
        return Response(ln_ohms, slope, table.unknowns)


@memo_by_identity(64)
def world_of(model: ApplianceModel) -> World:
    """The generated failures of an appliance, worked out once."""
    return World(model)


@dataclass(frozen=True, slots=True, eq=False)
class OpenPosterior:
    """Probabilities of all hypotheses, listed and generated.

    Attributes
    ----------
    found
        What follows for the listed ones among themselves.
    world
        The generated failures.
    listed, unlisted
        Probabilities, shapes ``(h,)`` and ``(w,)``; together they sum to 1.
    cells, weight
        The cells that stayed in the running, and the share of each of the whole.
    """

    found: Posterior
    world: World
    listed: FloatArray
    unlisted: FloatArray
    cells: Cells
    weight: FloatArray

    def among(self, ways: Sequence[int]) -> OpenPosterior:
        """The same with these generated failures as all that there is."""
        kept = np.zeros(len(self.unlisted), dtype=np.bool_)
        kept[list(ways)] = True
        unlisted = np.where(kept, self.unlisted, 0.0)
        return replace(self, listed=np.zeros(len(self.listed)), unlisted=unlisted / unlisted.sum())

    def value(self, way: int) -> tuple[float, float]:
        """Mean and standard deviation of ln of the free value of a way; (nan, nan) where it is out of the running."""
        mine = np.flatnonzero(self.cells.way == way)
        weight = self.weight[mine]
        whole = float(weight.sum())
        if not whole > 0.0:
            return np.nan, np.nan
        ln, width = np.log(self.cells.value[mine]), OVERLAP * self.cells.width[mine]
        if not np.isfinite(ln).all():
            return np.inf, 0.0
        mean = float((weight * ln).sum() / whole)
        return mean, float(np.sqrt((weight * ((ln - mean) ** 2 + width**2)).sum() / whole))


def readings_of(found: Posterior) -> tuple[list[Measured], list[Measured]]:
    """The readings by ohmmeter and those of insulation, in an order that is not that in which they were taken."""
    readings = sorted((o for o in found.evidence if isinstance(o, Measured)), key=lambda o: (*o.trial.key, o.value))
    tests = [m for m in readings if m.trial.function is Function.INSULATION]
    return [m for m in readings if m.trial.function is not Function.INSULATION], tests


def open_posterior(found: Posterior) -> OpenPosterior:
    """Weigh the generated failures beside the listed hypotheses of a posterior."""
    model = found.model
    world = world_of(model)
    plain, tests = readings_of(found)
    prior = np.array([h.prior for h in found.hypotheses])
    single = float(prior[[len(h.faults) == 1 for h in found.hypotheses]].sum()) or 1.0
    own = np.log(np.array([w.weight for w in world.ways]) * single)
    listed = np.log(prior) + found.log_evidence
    before = float(listed.max())
    looked = sum(float(plain_log_likelihood(model, o)[0]) for o in found.evidence if isinstance(o, Seen))
    cells = world.cells
    score = own[cells.way] + cells.ln_share + looked
    score = score + use_log_likelihood(model, found.evidence, world.ways, cells)
    # Insulation can only take away from what plain readings leave, beside what it takes away from the listed ones.
    least = before if not tests else -np.inf
    if plain:
        trials, device = [m.trial for m in plain], device_of(plain, found.meters)
        here = score + Linear.of(world.response(trials, cells), device).log_evidence(score, 1, 0)
        kept = np.flatnonzero(rounded(here) >= max(here.max(), least) - world.running - WIDER)
        rest, cells = score - cells.ln_share, cells.of(kept)
        parent = np.arange(len(kept))
        cells, parent = _cut(cells, parent)
        score = rest[kept][parent] + cells.ln_share
        if len(score):  # else nothing that could fail comes near the best of what is listed
            score = score + Linear.of(world.response(trials, cells), device).log_evidence(score, 1, 0)
    ways = _by_way(score, cells.way, len(world.ways))
    if tests:
        ways, score = _with_insulation(found, world, tests, (ways, score, cells), before)
    top = max(float(ways.max()), before)
    whole = np.exp(listed - top).sum() + np.exp(ways - top).sum()
    return OpenPosterior(
        found,
        world,
        np.exp(listed - top) / whole,
        np.exp(ways - top) / whole,
        cells,
        np.exp(score - top) / whole,
    )


def _cut(cells: Cells, parent: IntArray) -> tuple[Cells, IntArray]:
    """Cells cut finer, and of which of the wider ones each is a part."""
    marked = finer(Cells(parent, cells.value, cells.width, cells.ln_share))
    return Cells(cells.way[marked.way], marked.value, marked.width, marked.ln_share), marked.way


def _by_way(score: FloatArray, way: IntArray, count: int) -> FloatArray:
    """Ln of the sum over the cells of each way; -inf for none."""
    top = np.full(count, -np.inf)
    np.maximum.at(top, way, score)
    level = np.where(np.isfinite(top), top, 0.0)
    return np.asarray(np.log(np.bincount(way, np.exp(score - level[way]), count) + (~np.isfinite(top))) + top)


def _with_insulation(
    found: Posterior,
    world: World,
    tests: list[Measured],
    so_far: tuple[FloatArray, FloatArray, Cells],
    before: float,
) -> tuple[FloatArray, FloatArray]:
    """Scores of ways and of cells with the insulation readings taken in."""
    ways, score, cells = so_far
    rows = np.flatnonzero(np.isfinite(ways) & (rounded(ways) >= ways.max() - 2.0 * world.running))
    leakage = leakage_of_ways(found, world.ways, rows, tests, cells, score)
    told = np.full(len(ways), -np.inf)
    told[rows] = leakage.log_evidence(ways[rows], before)
    return ways + told, score + told[cells.way]
