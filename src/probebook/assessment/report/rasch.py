"""The Rasch model by marginal maximum likelihood, with a prior so that thirty learners are enough.

A learner of ability θ gets an item right with the probability 1/(1 + exp(offset + difficulty - θ)); abilities are
normal. Without a prior this is Bock and Aitkin 1981; with one, a difficulty that few answers speak of stays near the
offset, which is what the model of difficulty foretold.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from probebook.numerics.matrices import inverse, product, solution

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Table = NDArray[np.float64]

__all__ = ["Fit", "Prior", "abilities", "fit"]

#: Points of the quadrature over abilities.
POINTS = 41
#: Rounds of Newton's method, and the step at which it has arrived.
ROUNDS, ARRIVED = 100, 1e-9
#: The farthest that one step goes, in logits.
FARTHEST = 2.0
#: Half the width of the differences that curvature is taken from.
WIDTH = 1e-4


@dataclass(frozen=True, slots=True)
class Prior:
    """How far difficulties are thought to lie from their offset, and the logarithm of the spread from nought (logits).

    Infinite: nothing is thought of them; ``moving`` lets the mean ability move, which needs a finite prior of the items
    and is thought to lie within ``mean`` of nought, so that a class that got everything right has one too.
    """

    items: float = math.inf
    spread: float = math.inf
    moving: bool = False
    mean: float = 3.0


@dataclass(frozen=True, slots=True)
class Fit:
    """Difficulties beyond the offset (logits), the mean and the spread of abilities, and their covariance.

    ``covariance`` is in the order difficulties, spread, mean (where the mean moves); ``likelihood`` is the logarithm,
    without the prior.
    """

    difficulties: Table
    mean: float
    spread: float
    covariance: Table
    likelihood: float

    @property
    def errors(self) -> Table:
        """The standard error of each difficulty."""
        return np.sqrt(np.diag(self.covariance)[: len(self.difficulties)])


def fit(answers: Table, offsets: Table | None = None, prior: Prior | None = None) -> Fit:
    """Fit the model.

    Parameters
    ----------
    answers
        Learners × items: 1 right, 0 wrong, a share between them for what is partly right, nan for not given.
    offsets
        Of the same shape: what the difficulty of each learner's item was thought to be; nought when None.
    prior
        What is thought beforehand; nothing when None.

    Raises
    ------
    ValueError
        Nothing can be fitted: an item that all got right (or wrong) with no prior.
    """
    prior = prior or Prior()
    task = _Task(answers, np.zeros_like(answers) if offsets is None else offsets, prior)
    items = answers.shape[1]
    at = np.zeros(items + 1 + prior.moving)
    if math.isinf(prior.items):
        right = np.nanmean(answers, axis=0)
        if not ((right > 0) & (right < 1)).all():
            raise ValueError("an item that all answered alike has no difficulty without a prior")
        at[:items] = -np.log(right / (1 - right))
    value, slope, _ = task.value(at)
    for _ in range(ROUNDS):
        step = solution(-task.curvature(at), slope)
        if step is None:
            raise ValueError("the answers leave something open")
        at, value, slope, moved = task.climb(at, step, value, slope)
        if moved < ARRIVED:
            break
    _, _, likelihood = task.value(at)
    scale = np.ones(len(at))
    scale[items] = math.exp(at[items])
    covariance = inverse(-task.curvature(at)) * np.outer(scale, scale)
    mean = float(at[-1]) if prior.moving else 0.0
    return Fit(at[:items], mean, math.exp(at[items]), covariance, likelihood)


def abilities(answers: Table, offsets: Table, found: Fit) -> tuple[Table, Table]:
    """The expected ability of each learner, in logits, and how uncertain it is (standard deviation)."""
    at = np.array([*found.difficulties, math.log(found.spread), found.mean])
    task = _Task(answers, offsets, Prior(moving=True))
    weights = task.posterior(at)[0]
    theta = found.mean + found.spread * task.nodes
    mean = product(weights, theta)
    return mean, np.sqrt(np.maximum(product(weights, theta**2) - mean**2, 0.0))


class _Task:
    """The likelihood of answers, its slope and its curvature; unknowns: difficulties, log of spread, mean."""

    def __init__(self, answers: Table, offsets: Table, prior: Prior) -> None:
        self.held = ~np.isnan(answers)
        self.answers, self.offsets = np.where(self.held, answers, 0.0), np.where(self.held, offsets, 0.0)
        self.prior = prior
        self.items = answers.shape[1]
        self.nodes, weights = np.polynomial.hermite_e.hermegauss(POINTS)
        self.log_weights = np.log(weights / weights.sum())

    def posterior(self, at: Table) -> tuple[Table, Table, float]:
        """Weights of the abilities (learners × points), chances (× items), and the log likelihood."""
        mean = at[-1] if self.prior.moving else 0.0
        theta = mean + math.exp(at[self.items]) * self.nodes
        logit = theta[None, :, None] - (self.offsets + at[: self.items])[:, None, :]
        each = self.answers[:, None, :] * logit - np.logaddexp(0.0, logit)
        joint = (each * self.held[:, None, :]).sum(axis=2) + self.log_weights
        top = joint.max(axis=1, keepdims=True)
        raw = np.exp(joint - top)
        whole = raw.sum(axis=1, keepdims=True)
        return raw / whole, 1 / (1 + np.exp(-np.clip(logit, -600.0, 600.0))), float((np.log(whole) + top).sum())

    def value(self, at: Table) -> tuple[float, Table, float]:
        """The log posterior, its slope, and the log likelihood alone."""
        weights, chances, likelihood = self.posterior(at)
        missed = (self.answers[:, None, :] - chances) * self.held[:, None, :] * weights[:, :, None]
        slope = np.zeros(len(at))
        slope[: self.items] = -missed.sum(axis=(0, 1))
        slope[self.items] = float((missed.sum(axis=2) * math.exp(at[self.items]) * self.nodes).sum())
        value = likelihood
        if self.prior.moving:
            value -= float(at[-1] ** 2) / (2 * self.prior.mean**2)
            slope[-1] = float(missed.sum()) - float(at[-1]) / self.prior.mean**2
        if math.isfinite(self.prior.items):
            value -= float((at[: self.items] ** 2).sum()) / (2 * self.prior.items**2)
            slope[: self.items] -= at[: self.items] / self.prior.items**2
        if math.isfinite(self.prior.spread):
            value -= float(at[self.items] ** 2) / (2 * self.prior.spread**2)
            slope[self.items] -= at[self.items] / self.prior.spread**2
        return value, slope, likelihood

    def curvature(self, at: Table) -> Table:
        """The second derivatives, by differences of the slope."""
        table = np.zeros((len(at), len(at)))
        for place in range(len(at)):
            aside = np.zeros(len(at))
            aside[place] = WIDTH
            table[place] = (self.value(at + aside)[1] - self.value(at - aside)[1]) / (2 * WIDTH)
        return (table + table.T) / 2

    def climb(self, at: Table, step: Table, value: float, slope: Table) -> tuple[Table, float, Table, float]:
        """Go the step, or the half of it, or the quarter, …, that leads up; along the slope where none does."""
        if float((step * slope).sum()) < 0:
            step = slope
        step = step * min(1.0, FARTHEST / max(float(np.abs(step).max()), FARTHEST))
        for halving in range(30):
            trial = at + step / 2**halving
            found, new_slope, _ = self.value(trial)
            if found >= value - 1e-12:
                return trial, found, new_slope, float(np.abs(trial - at).max())
        return at, value, slope, 0.0
