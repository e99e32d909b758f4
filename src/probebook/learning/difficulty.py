"""How hard a question is: a stated model, its weights as data, ready to be fitted to results.

The model is a weighted sum on the logit scale of the Rasch model (a learner of ability θ gets a question of difficulty
d right with the probability 1/(1 + exp(d - θ)))::

    d = base + kind + branches × log2(paths) + steps × (steps - 1) + unit_changes × changes
        + traps × slips + rivals × wrong options + level × (level - 1)

What is counted can be counted in the question itself, except the paths and the changes of unit, which its builder
states. The weights are read from ``scenarios/difficulty.toml``; :func:`fitted` moves them towards what results show.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

from probebook.cases.library import Library
from probebook.questions.frame import Ask
from probebook.questions.model import Effort, FieldKind, Kind, Question
from probebook.questions.registry import build_question

__all__ = ["Features", "Weights", "difficulty", "features_of", "fitted", "load_weights", "rated", "rated_question"]


@dataclass(frozen=True, slots=True)
class Features:
    """What makes a question hard.

    Attributes
    ----------
    kind
        Kind of question.
    branches
        Paths or parts that have to be told apart, at least 1.
    steps
        Steps of the worked solution, at least 1.
    unit_changes
        Changes of unit or prefix on the way to the answer.
    traps
        Named slips that wait.
    rivals
        Wrong options offered.
    level
        1 to 4.
    """

    kind: Kind
    branches: int = 1
    steps: int = 1
    unit_changes: int = 0
    traps: int = 0
    rivals: int = 0
    level: int = 1

    def row(self) -> tuple[float, ...]:
        """The numbers that the weights multiply, in the order of :data:`TERMS`."""
        return (
            1.0,
            math.log2(max(self.branches, 1)),
            float(self.steps - 1),
            float(self.unit_changes),
            float(self.traps),
            float(self.rivals),
            float(self.level - 1),
        )


#: Names of the weights in the order of :meth:`Features.row`.
TERMS = ("base", "branches", "steps", "unit_changes", "traps", "rivals", "level")


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights of the model, in logits."""

    base: float
    branches: float
    steps: float
    unit_changes: float
    traps: float
    rivals: float
    level: float
    kinds: Mapping[str, float] = field(default_factory=dict)

    def row(self) -> tuple[float, ...]:
        """The weights in the order of :data:`TERMS`."""
        return tuple(float(getattr(self, name)) for name in TERMS)


@cache
def load_weights(folder: Path) -> Weights:
    """The weights in ``folder/difficulty.toml`` (``folder`` is the scenarios folder); ScenarioError when it is bad."""
    from probebook.questions.formats import DifficultyText
    from probebook.scenario_layers import load_joined

    text = load_joined(folder / "difficulty.toml", DifficultyText)
    kinds = {str(kind): weight for kind, weight in text.kinds.items()}
    return _weights([getattr(text, name) for name in TERMS], kinds)


def _weights(row: Sequence[float], kinds: Mapping[str, float]) -> Weights:
    base, branches, steps, unit_changes, traps, rivals, level = row
    return Weights(base, branches, steps, unit_changes, traps, rivals, level, kinds)


def difficulty(features: Features, weights: Weights) -> float:
    """Difficulty in logits: higher is harder."""
    summed = math.fsum(w * x for w, x in zip(weights.row(), features.row(), strict=True))
    return round(summed + weights.kinds.get(features.kind, 0.0), 3)


def features_of(question: Question) -> Features:
    """What can be counted in a question, with what its builder counted.

    For an order of n things the steps are at least its n - 1 decisions.
    """
    effort = question.effort or Effort()
    steps, rivals = max(1, effort.steps), 0
    for item in question.fields:
        if item.kind is FieldKind.CHOICE:
            rivals += len(item.options) - 1
        elif item.kind is FieldKind.CHOICES:
            rivals += len(item.options) - len(item.answer)
        elif item.kind is FieldKind.ORDER:
            steps = max(steps, len(item.options) - 1)
    return Features(
        kind=question.kind,
        branches=max(1, effort.paths),
        steps=steps,
        unit_changes=effort.unit_changes,
        traps=len({slip.slip for slip in question.slips}) if effort.traps is None else effort.traps,
        rivals=rivals,
        level=question.level,
    )


def rated(question: Question, library: Library) -> Question:
    """The question with its difficulty weighed from the effort that its builder counted."""
    return replace(question, difficulty=difficulty(features_of(question), load_weights(library.folder)), effort=None)


def rated_question(ask: Ask, library: Library) -> Question:
    """Build a question and weigh how hard it is.

    Raises
    ------
    ScenarioError
        The request cannot be met as it stands.
    """
    return rated(build_question(ask, library), library)


def fitted(
    rows: Sequence[tuple[Features, float]], weights: Weights, *, trust: float = 10.0, kinds: bool = True
) -> Weights:
    """The weights moved towards observed difficulties.

    Ridge regression towards the present weights: with few results they hardly move, with many they go where the
    results are (Hoerl and Kennard 1970, with the present weights in place of nought).

    Parameters
    ----------
    rows
        Features of questions and their observed difficulty in logits.
    weights
        The present weights.
    trust
        How many questions' worth of evidence the present weights count for, above 0.
    kinds
        Whether what each kind adds is fitted too.

    Raises
    ------
    ValueError
        The present weights count for nothing and the rows leave something open.
    """
    import numpy as np

    from probebook.numerics.matrices import product, solution

    names = sorted({str(found.kind) for found, _ in rows}) if kinds else []
    place = {name: len(TERMS) + i for i, name in enumerate(names)}
    start = np.array([*weights.row(), *(weights.kinds.get(name, 0.0) for name in names)])
    table = np.zeros((len(rows), len(start)))
    left = np.zeros(len(rows))
    for number, (found, observed) in enumerate(rows):
        table[number, : len(TERMS)] = found.row()
        if str(found.kind) in place:
            table[number, place[str(found.kind)]] = 1.0
        left[number] = observed - difficulty(found, weights)
    step = solution(product(table.T, table) + trust * np.eye(len(start)), product(table.T, left))
    if step is None:
        raise ValueError(f"the present weights have to count for something, not {trust:g}")
    moved = start + step
    changed = {name: float(moved[place[name]]) for name in names}
    return _weights([float(value) for value in moved[: len(TERMS)]], {**weights.kinds, **changed})
