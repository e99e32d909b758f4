"""The difficulty model: counted features, weights as data, fitted as a general optimiser fits them."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import numpy as np
import pytest
from bank_checks import asked, sample
from scipy.optimize import minimize

from probebook.cases.library import library
from probebook.learning.difficulty import Features, Weights, difficulty, features_of, fitted, load_weights, rated
from probebook.questions.model import Effort, FieldKind, Kind

TRADE = library()
WEIGHTS = load_weights(TRADE.folder)


def _random_rows(count: int, truth: Weights) -> list[tuple[Features, float]]:
    rng = random.Random(7)
    rows = []
    for _ in range(count):
        features = Features(
            rng.choice([Kind.READING, Kind.POWER, Kind.VERDICT]),
            branches=rng.randint(1, 8),
            steps=rng.randint(1, 7),
            unit_changes=rng.randint(0, 2),
            traps=rng.randint(3, 8),
            rivals=rng.randint(0, 8),
            level=rng.randint(1, 4),
        )
        rows.append((features, difficulty(features, truth) + rng.gauss(0, 0.3)))
    return rows


def test_the_model_by_hand() -> None:
    """With the weights of this test, four paths, three steps and two traps at level 2 give the sum worked out here."""
    weights = Weights(-2.0, 0.5, 0.25, 0.1, 0.125, 0.05, 0.4, {"reading": 0.2})
    features = Features(Kind.READING, branches=4, steps=3, unit_changes=1, traps=2, rivals=4, level=2)
    # -2 + 0.5*log2(4) + 0.25*2 + 0.1 + 0.125*2 + 0.05*4 + 0.4 + 0.2
    assert difficulty(features, weights) == pytest.approx(0.65)


def test_more_is_harder() -> None:
    """With the weights in use, more of any feature never makes a question easier."""
    base = Features(Kind.READING, branches=2, steps=2, unit_changes=1, traps=3, rivals=3, level=2)
    for name in ("branches", "steps", "unit_changes", "traps", "rivals", "level"):
        more = replace(base, **{name: getattr(base, name) + 1})
        assert difficulty(more, WEIGHTS) > difficulty(base, WEIGHTS)


def test_features_are_counted_in_the_question() -> None:
    """Traps are the slips, rivals the wrong options, steps what the builder counted or the decisions of order."""
    for kind, form in (
        (Kind.POWER, "watts"),
        (Kind.VERDICT, "earth"),
        (Kind.TRACE, "break"),
        (Kind.ORDER, "check-meter"),
    ):
        for _, question in itertools.islice(sample(TRADE, kind, form, levels=(2,), seeds=1), 3):
            question = replace(question, effort=Effort(paths=3, steps=2))
            found = features_of(question)
            assert (found.branches, found.steps >= 2) == (3, True)
            assert found.traps == len({slip.slip for slip in question.slips})
            wrong = 0
            for field in question.fields:
                if field.kind in (FieldKind.CHOICE, FieldKind.CHOICES):
                    right = 1 if field.kind is FieldKind.CHOICE else len(field.answer)
                    wrong += len(field.options) - right
            assert found.rivals == wrong
            if kind is Kind.ORDER:
                assert found.steps >= len(question.fields[0].options) - 1
            assert rated(question, TRADE).difficulty == difficulty(found, WEIGHTS)


def test_levels_get_harder() -> None:
    """Over all appliances and seeds the mean difficulty rises with the level, for every kind of this bank."""
    forms = {Kind.READING: "across", Kind.POWER: "watts", Kind.VERDICT: "power", Kind.TRACE: "break", Kind.ORDER: ""}
    for kind, form in forms.items():
        means = []
        for level in (1, 2, 3, 4):
            built = [
                asked(TRADE, kind, form, a, level, "levels") for a in ("conventional-oven", "solid-plate", "kettle")
            ]
            means.append(np.mean([q.difficulty for q in built if q is not None]))
        assert means == sorted(means)
        assert means[3] > means[0] + 1


def test_fitting_agrees_with_a_general_optimiser() -> None:
    """The closed form is the least of the penalised squares that scipy's optimiser finds."""
    truth = Weights(-1.5, 0.6, 0.2, 0.4, 0.05, 0.1, 0.3, {"reading": 0.1, "power": -0.2, "verdict": 0.5})
    rows = _random_rows(60, truth)
    trust = 4.0
    found = fitted(rows, WEIGHTS, trust=trust)
    names = sorted({str(features.kind) for features, _ in rows})
    start = np.array([*WEIGHTS.row(), *(WEIGHTS.kinds[name] for name in names)])
    table = np.array([[*f.row(), *(float(str(f.kind) == name) for name in names)] for f, _ in rows])
    wanted = np.array([observed for _, observed in rows])

    def cost(w: np.ndarray) -> float:
        return float(np.sum((table @ w - wanted) ** 2) + trust * np.sum((w - start) ** 2))

    best = minimize(cost, start, method="BFGS", options={"gtol": 1e-9}).x
    mine = np.array([*found.row(), *(found.kinds[name] for name in names)])
    assert mine == pytest.approx(best, abs=2e-3)


def test_results_move_the_weights_and_few_hardly_do() -> None:
    """With five hundred results the fit predicts better than the first guess by far; with one it hardly moves."""
    truth = Weights(-1.5, 0.6, 0.2, 0.4, 0.05, 0.1, 0.3, {"reading": 0.1, "power": -0.2, "verdict": 0.5})
    rows = _random_rows(500, truth)
    many = fitted(rows, WEIGHTS)

    def error(weights: Weights) -> float:
        return float(np.mean([(difficulty(f, weights) - difficulty(f, truth)) ** 2 for f, _ in rows]))

    assert error(many) < 0.05 * error(WEIGHTS)
    one = fitted(rows[:1], WEIGHTS, trust=1000.0)
    assert np.max(np.abs(np.array(one.row()) - np.array(WEIGHTS.row()))) < 0.05
