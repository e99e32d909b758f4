"""Each gate of the making of cases: evidence by hand that must not pass it, and its neighbour that must."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import cast

import numpy as np
import pytest

from probebook.cases.gates import (
    PutBack,
    check_count,
    check_guard_bands,
    check_insulation,
    check_level,
    check_proved,
    check_ranges,
    check_steady,
    gives_away,
)
from probebook.cases.generate import _truth
from probebook.cases.instance import Instance
from probebook.cases.library import library
from probebook.cases.trial_table import TrialTable, trial_table
from probebook.diagnosis import Complaint, Measured, Observation, Posterior, Proof, model_of, posterior, reading
from probebook.diagnosis.trial import Trial
from probebook.meters import Function, limits

TRADE = library()
OVEN = TRADE.appliance("conventional-oven")
MODEL = model_of(OVEN)
TESTER, BENCH = TRADE.meter_for("insulation"), TRADE.meter_for("bench")
METERS = (TESTER, BENCH)
OPEN = frozenset({"base-open"})
ROW = MODEL.rows[OPEN]
BASE = reading("off", "E2.1", "E2.2", lifted=("W10",))
LINE = reading("oven", "X1.L", "X1.E", Function.INSULATION)


def shown(trial: Trial, value: float) -> Measured:
    """A reading with its leads nulled, by the displayed value."""
    return Measured(trial, value, nulled=trial.function.through_leads)


@pytest.fixture(scope="module")
def found() -> Posterior:
    """What follows from nothing heard and the base element reading open."""
    return posterior(MODEL, (Complaint(()), shown(BASE, np.inf)), METERS)


def shares(found: Posterior, truth: float, rival: float) -> Posterior:
    """The same with these probabilities of the truth and of one rival, the rest spread evenly."""
    rest = (1.0 - truth - rival) / (len(found.probabilities) - 2)
    probabilities = np.full(len(found.probabilities), rest)
    probabilities[ROW], probabilities[0] = truth, rival
    return replace(found, probabilities=probabilities)


@pytest.mark.parametrize(
    ("truth", "rival", "passes"), [(0.956, 0.017, True), (0.954, 0.017, False), (0.97, 0.019, False)]
)
def test_the_truth_has_to_be_settled_with_something_to_spare(
    found: Posterior, truth: float, rival: float, passes: bool
) -> None:
    """0.955 to the truth and 0.018 to a rival are the bounds (scenarios/assumptions.toml), each by itself."""
    changed = shares(found, truth, rival)
    if passes:
        check_proved(changed, ROW)
    else:
        with pytest.raises(PutBack, match="settle"):
            check_proved(changed, ROW)


@pytest.mark.parametrize(
    ("trial", "near", "clear"),
    [
        (LINE, 1.02e6, 1.5e6),
        (LINE, 0.98e6, 0.6e6),
        (reading("off", "X1.E", "M.1", Function.CONTINUITY), 0.09, 0.03),
        (reading("off", "X1.E", "M.1", Function.CONTINUITY), 0.11, 0.3),
    ],
)
def test_a_safety_reading_keeps_off_its_limit(trial: Trial, near: float, clear: float) -> None:
    """A reading whose limits of error reach across 1 MΩ or 0.1 Ω makes no case; one clear of it on either side does."""
    low, high = limits(TESTER, trial.function, near, nulled=trial.function.through_leads)
    bound = 1e6 if trial.function is Function.INSULATION else 0.1
    assert low < bound < high
    with pytest.raises(PutBack, match="guard band"):
        check_guard_bands(MODEL, (shown(trial, near),), METERS)
    check_guard_bands(MODEL, (shown(trial, clear),), METERS)


def test_no_reading_lies_where_the_meter_changes_range() -> None:
    """Within twice the accuracy of the upper range a display is put back; a little further off it is not."""
    lower, upper = BENCH.ranges_of(Function.OHMS)[:2]
    room = upper.accuracy(lower.full_scale)
    for value, passes in (
        (lower.full_scale, False),
        (lower.full_scale - 1.9 * room, False),
        (lower.full_scale + 1.9 * room, False),
        (lower.full_scale - 2.1 * room, True),
        (lower.full_scale + 2.1 * room, True),
    ):
        evidence: tuple[Observation, ...] = (Complaint(()), shown(BASE, value))
        if passes:
            check_ranges(OVEN, evidence, (BENCH,))
        else:
            with pytest.raises(PutBack, match="changes range"):
                check_ranges(OVEN, evidence, (BENCH,))


def test_good_insulation_does_not_find_an_open_part() -> None:
    """Where only a good insulation reading is left to speak for the key it is put back; with the ohms it passes."""
    good = shown(LINE, 200e6)
    by_insulation = posterior(MODEL, (Complaint(()), good), METERS)
    with pytest.raises(PutBack, match="only ohms should"):
        check_insulation(by_insulation, ROW)
    check_insulation(posterior(MODEL, (Complaint(()), good, shown(BASE, np.inf)), METERS), ROW)


class Bench:
    """Stands for an appliance on the bench that shows what it is told to for each error of the instrument."""

    def __init__(self, when_low: float) -> None:
        self.when_low = when_low

    def ohms(self, trials: Sequence[Trial]) -> list[float]:
        """Open, whatever is read."""
        return [np.inf] * len(trials)

    def shown(self, trial: Trial, ohms: float, *, errors: tuple[float, float]) -> Measured:
        """Open, but for an instrument that reads low."""
        return shown(trial, self.when_low if errors[0] < 0 else ohms)


def test_the_key_has_to_stay_when_the_meter_errs(found: Posterior) -> None:
    """A reading that tells of a sound element as soon as the gain is low is put back; one that stays open is not."""
    sound = next(b.cold_ohms for b in OVEN.branches if b.name.startswith("E2"))
    check_steady(found, ROW, cast(Instance, Bench(np.inf)), random.Random(1))
    with pytest.raises(PutBack, match="erred otherwise"):
        check_steady(found, ROW, cast(Instance, Bench(sound)), random.Random(1))


def tells(found: Posterior, *factors: float) -> Posterior:
    """The same with a complaint that tells nothing and readings, each this many times better under the truth."""
    table = np.zeros((len(found.hypotheses), 1 + len(factors)))
    table[ROW, 1:] = np.log(factors)
    evidence = (Complaint(()), *[shown(BASE, np.inf)] * len(factors))
    return replace(found, evidence=evidence, by_observation=table)


@pytest.mark.parametrize(
    ("level", "factors", "passes"),
    [
        (1, (1e9,), True),
        (1, (1e2, 1e2), False),
        (2, (1e9,), False),
        (2, (1e2, 1e2), True),
        (2, (20.0,) * 5, True),
        (2, (5.0,) * 9, True),
        (2, (3.0,) * 9, False),
        (2, (2.5,) * 9, False),
        (3, (1e9,), False),
        (3, (4.0,) * 8, True),
    ],
)
def test_as_many_readings_decide_as_the_level_says(
    found: Posterior, level: int, factors: tuple[float, ...], passes: bool
) -> None:
    """One at level 1, up to four by this quick look at level 2, more than one above; factors worked out by hand."""
    changed = tells(found, *factors)
    if passes:
        check_count(level, changed, ROW)
    else:
        with pytest.raises(PutBack):
            check_count(level, changed, ROW)


def proof(count: int, *, established: bool = True) -> Proof:
    """A proof by the complaint and so many readings."""
    return Proof(OPEN, established, tuple(range(count + 1)), 0.97, 0.01, ())


@pytest.fixture(scope="module")
def view() -> TrialTable:
    """The trials on the oven."""
    return trial_table(MODEL, METERS)


@pytest.mark.parametrize(
    ("level", "count", "passes"),
    [
        (1, 1, True),
        (1, 2, False),
        (2, 1, False),
        (2, 2, True),
        (2, 3, True),
        (2, 4, False),
        (4, 1, False),
        (4, 2, True),
    ],
)
def test_the_proof_is_of_the_length_of_its_level(view: TrialTable, level: int, count: int, passes: bool) -> None:
    """One reading at level 1, two or three at level 2, more than one above."""
    evidence = (Complaint(()), *[shown(BASE, np.inf)] * count)
    heard = np.full(len(MODEL.hypotheses), 0.01)
    heard[0] = 0.5
    if passes:
        check_level(level, ["base-open"], proof(count), evidence, view, ROW, heard)
    else:
        with pytest.raises(PutBack):
            check_level(level, ["base-open"], proof(count), evidence, view, ROW, heard)
    with pytest.raises(PutBack, match="falls short"):
        check_level(level, ["base-open"], proof(count, established=False), evidence, view, ROW, heard)


def test_level_three_has_a_misleading_path_or_two_positions(view: TrialTable) -> None:
    """The same reading twice at rest is put back; a second position of the controls is enough."""
    heard = np.full(len(MODEL.hypotheses), 0.01)
    twice = (Complaint(()), shown(BASE, np.inf), shown(BASE, np.inf))
    with pytest.raises(PutBack, match="only one position"):
        check_level(3, ["base-open"], proof(2), twice, view, ROW, heard)
    moved = (*twice[:2], shown(reading("oven", "E2.1", "E2.2", lifted=("W10",)), np.inf))
    check_level(3, ["base-open"], proof(2), moved, view, ROW, heard)


def test_level_four_is_not_the_usual_cause(view: TrialTable) -> None:
    """A single fault that half as much is thought of as of the likeliest, or more, is put back at level 4 alone."""
    evidence = (Complaint(()), *[shown(BASE, np.inf)] * 2)
    heard = np.full(len(MODEL.hypotheses), 0.001)
    heard[0], heard[ROW] = 0.4, 0.21
    with pytest.raises(PutBack, match="usual cause"):
        check_level(4, ["base-open"], proof(2), evidence, view, ROW, heard)
    check_level(4, ["base-open", "lamp-open"], proof(2), evidence, view, ROW, heard)
    heard[ROW] = 0.19
    check_level(4, ["base-open"], proof(2), evidence, view, ROW, heard)


@pytest.mark.parametrize(("most", "away"), [(0.59, False), (0.61, True)])
def test_the_complaint_gives_no_fault_away(most: float, away: bool) -> None:
    """The likeliest explanation of the complaint alone stays at 0.6 or below."""
    heard = np.full(len(MODEL.hypotheses), 0.001)
    heard[ROW] = most
    assert gives_away(OVEN, 1, ["base-open"], ROW, heard) is away


@pytest.mark.parametrize(
    ("own", "faults", "level", "away"), [(0.2, 1, 4, True), (0.14, 1, 4, False), (0.2, 2, 4, False), (0.2, 1, 3, False)]
)
def test_a_complaint_at_level_four_does_not_point_to_the_cause(own: float, faults: int, level: int, away: bool) -> None:
    """At level 4 a single fault keeps below half of the likeliest; two faults, and lower levels, may reach it."""
    heard = np.full(len(MODEL.hypotheses), 0.001)
    heard[0], heard[ROW] = 0.3, own
    assert gives_away(OVEN, level, ["base-open", "lamp-open"][:faults], ROW, heard) is away


def test_rare_faults_are_met_more_often_than_life_has_them() -> None:
    """Faults are drawn by the root of their likelihood: a fault 4 times as likely comes twice as often, not 4 times."""
    dial = Counter(_truth(OVEN, 1, random.Random(n))[0] for n in range(6000))
    weight = {f.id: f.likelihood for f in OVEN.faults if f.id in dial}
    common, rare = max(weight, key=lambda f: weight[f]), min(weight, key=lambda f: weight[f])
    assert weight[common] >= 4 * weight[rare]
    assert dial[common] / dial[rare] == pytest.approx((weight[common] / weight[rare]) ** 0.5, rel=0.3)
