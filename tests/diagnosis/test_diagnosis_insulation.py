"""Insulation readings: paths in parallel, sums of lognormals, displays, and evidence that fits no paths."""

from __future__ import annotations

import math

import numpy as np
import pytest
from diagnosis_samples import APPLIANCES, appliance, dense_between, dense_ohms, meters, readings_of

from probebook.appliances import BranchKind, branch_ends
from probebook.diagnosis import Measured, model_of, observe, posterior, specimen, values
from probebook.diagnosis.inference import device_of, insulation_tail, leakage_of
from probebook.diagnosis.physics.paths import Leaks, LeaksTable, leaks_between
from probebook.diagnosis.probability import insulation
from probebook.diagnosis.probability.displays import Display, window
from probebook.diagnosis.probability.leakage import Leakage
from probebook.diagnosis.probability.lognormal import GRID, STEP, in_series, parallel
from probebook.diagnosis.trial import reading
from probebook.meters import Function

NEUTRAL = reading("off", "X1.N", "X1.E", Function.INSULATION)
DRIED = reading("off", "X1.N", "X1.E", Function.INSULATION, dried=True)


@pytest.mark.parametrize("law", [((-20.0, 1.5),) * 3, ((-20.0, 1.5), (-10.0, 0.4)), ((-19.0, 0.4), (-18.5, 0.4))])
def test_a_sum_of_lognormals_is_distributed_as_draws_of_it(law: tuple[tuple[float, float], ...]) -> None:
    """Parallel siemens and series ohms: distribution within 0.003 of 200,000 plain draws (their error is 0.0011)."""
    normal = np.random.default_rng(1).standard_normal((200_000, len(law)))
    parts = np.exp([m for m, _ in law] + [s for _, s in law] * normal)
    for found, drawn in (
        (parallel(law), parts.sum(axis=1)),
        (in_series(tuple((part,) for part in law)), 1.0 / (1.0 / parts).sum(axis=1)),
    ):
        at = np.quantile(np.log(drawn), [0.01, 0.1, 0.5, 0.9, 0.99])
        assert found.below_at(at) == pytest.approx([0.01, 0.1, 0.5, 0.9, 0.99], abs=3e-3)
        assert found.density.sum() * STEP == pytest.approx(1.0, abs=1e-6)
        assert found.below_at(GRID[[0, -1]]) == pytest.approx([0.0, 1.0], abs=1e-9)


@pytest.mark.parametrize("digits", [1.0, 1.5, 3.0])
def test_joined_probes_show_nought_or_a_little_more_and_never_both(digits: float) -> None:
    """The chances of all that joined probes can show add up to one; that of 0 is the Gaussian's below half a digit.

    ``digits`` is the standard deviation in steps of the last digit; what would be less than nought shows as nought.
    """
    step, joined = 10e3, np.array([1.0])
    shown = [Display(k * step, digits * step, 0.0, step, 100e6, 0.0, 1.0) for k in range(40)]
    chances = [float(window((display,)).at(joined)[0]) for display in shown]
    assert math.fsum(chances) == pytest.approx(1.0, abs=0.02)
    assert chances[0] == pytest.approx(0.5 * math.erfc(-0.5 / (digits * math.sqrt(2.0))), abs=1e-3)


def middle(leaks: Leaks) -> float:
    """Ohms of a reading with every path at its median."""
    siemens = leaks.shunt
    for path in leaks.paths:
        halves = (sum(math.exp(mean) for mean, _ in law) for law in path.laws)
        siemens += 1.0 / (path.series + sum(1.0 / half for half in halves))
    return math.inf if siemens == 0.0 else 1.0 / siemens


@pytest.mark.parametrize("name", APPLIANCES)
def test_the_paths_of_a_test_are_those_of_the_whole_network(name: str) -> None:
    """With every path at its median their conductances give the ohms of the solved network, to 1 % of itself.

    Elements and wires in the way are left out of the sum, and paths behind one neon are summed before it or after.
    """
    which = appliance(name)
    model = model_of(which)
    tests = [t for t in readings_of(which) if t.function is Function.INSULATION][::3]
    for trial in tests:
        table = model.responses.leaks(trial)
        for row in range(0, len(model.hypotheses), 7):
            exact = dense_ohms(which, trial, model.hypotheses[row].faults)
            found = middle(table.kinds[table.back[row]])
            if exact > 1e12:
                assert found > 1e12
            else:
                assert found == pytest.approx(exact, rel=0.02, abs=2e3)


def test_line_to_neutral_goes_by_way_of_metalwork() -> None:
    """Between two pieces that only metalwork joins the test finds both insulations in series."""
    which = appliance()
    trial = reading("off", "E2.1", "E1.1", Function.INSULATION, lifted={"W7", "W10", "W5", "W8", "W9"})
    leaks = model_of(which).responses.leaks(trial)
    assert middle(leaks.kinds[leaks.back[0]]) == pytest.approx(dense_ohms(which, trial, ()), rel=1e-3)


def test_readings_in_another_order_weigh_the_same() -> None:
    """The evidence of three tests is the same to nine figures in whatever order they were done."""
    line = reading("oven", "X1.L", "X1.E", Function.INSULATION)
    taken = [Measured(NEUTRAL, 0.58e6), Measured(DRIED, 120e6), Measured(line, 0.57e6)]
    one, other = (posterior(appliance(), e, meters()).probabilities for e in (taken, taken[::-1]))
    assert one == pytest.approx(other, rel=1e-9)


def test_all_displays_of_a_test_have_probability_one() -> None:
    """Summed over all that the tester can show, over range among it, within 1 %."""
    total = chance_of(math.inf)
    for step, low, high in ((0.01e6, 0.0, 9.99e6), (0.1e6, 10e6, 99.9e6), (1e6, 100e6, 999e6)):
        shown = [low + step * k for k in range(round((high - low) / step) + 1)]
        chosen = shown[2::5]  # the middle one of each five
        total += 5.0 * math.fsum(chance_of(value) for value in chosen)
    assert total == pytest.approx(1.0, abs=0.01)


def test_a_dead_short_shows_some_display_near_nought() -> None:
    """Joined probes show nought or a little more: more than half a digit as often as the digits' error is more.

    By hand, of 2 digits evenly about and of rounding: deviation 11.9 kilohms, so 34 in 100 lie above 5 kilohms.
    """
    joined = LeaksTable((Leaks((), math.inf),), np.zeros(1, dtype=np.intp))
    taken = [Measured(NEUTRAL, 1e4 * digits) for digits in range(8)]
    chances = [math.exp(Leakage.of([joined], device_of([t], meters())).alone()[0, 0]) for t in taken]
    assert chances == sorted(chances, reverse=True)
    assert chances[1] > 0.1
    assert chances[7] < 1e-3
    assert math.fsum(chances[1:]) == pytest.approx(0.337, abs=0.01)


def test_resistors_one_after_the_other_add_up() -> None:
    """A wire on the earth terminal leaves the resistors of two neons between line and earth: by hand 440 kilohms."""
    boiler = appliance("water-boiler")
    ohms, deviation = model_of(boiler).responses.insulation(reading("filling", "X1.L", "X1.E", Function.INSULATION))
    ends = branch_ends(boiler).copy()
    line, earth = boiler.terminal("X1.L"), boiler.terminal("X1.E")
    ends[boiler.branch("W16")] = boiler.terminal("H2.2"), earth
    none = np.zeros((1, len(ohms)), dtype=np.bool_)
    table = leaks_between(boiler, ohms[None], deviation[None], none, (line, earth), ends)
    conducts = np.array([b.kind is not BranchKind.INSULATION for b in boiler.branches])
    plain = dense_between(len(boiler.terminals), ends, np.where(conducts, ohms, math.inf), line, earth)
    assert plain == pytest.approx(440e3, rel=0.01)
    assert 1.0 / table.kinds[0].shunt == pytest.approx(plain, rel=0.01)


def chance_of(value: float) -> float:
    """Probability of a display of the test from neutral to earth of a sound oven."""
    return math.exp(leakage_of(appliance(), [Measured(NEUTRAL, value)], meters()).alone()[0, 0])


def test_readings_that_fit_no_paths_have_a_small_tail() -> None:
    """Repeating a test with a third of the megohms fits nothing; the same megohms fit; so does what is usual.

    A drop to a third without drying or wetting is beyond any meter's statement: common practice, no published source.
    """
    which = appliance()
    usual = posterior(which, [Measured(NEUTRAL, 120e6)], meters())
    assert insulation_tail(usual, usual.row(())) > 0.3
    assert insulation_tail(posterior(which, [], meters()), 0) == 1.0
    again = posterior(which, [Measured(NEUTRAL, 120e6), Measured(NEUTRAL, 121e6)], meters())
    assert insulation_tail(again, again.row(())) > 0.05
    apart = posterior(which, [Measured(NEUTRAL, 120e6), Measured(NEUTRAL, 40e6)], meters())
    assert max(insulation_tail(apart, row) for row in range(len(apart.hypotheses))) < 1e-3
    low = posterior(which, [Measured(NEUTRAL, 0.6e6)], meters())
    assert insulation_tail(low, low.row(())) < 1e-3
    assert insulation_tail(low, low.row(["base-damp"])) > 0.3


def test_a_true_hypothesis_seldom_has_a_small_tail() -> None:
    """Of 200 appliances with all paths drawn from their laws at most one in ten has a p-value below 0.05."""
    which = appliance()
    model = model_of(which)
    tests = [NEUTRAL, reading("oven", "X1.L", "X1.E", Function.INSULATION)]
    rng = np.random.default_rng(7)
    small = 0
    for seed in range(200):
        made = specimen(which, ["base-open"], seed)
        insulation = [i for i, b in enumerate(which.branches) if b.name.partition("~")[1]]
        made.spread[insulation] = np.exp(model.assumed.spreads.insulation * rng.standard_normal(len(insulation)))
        found = posterior(which, [observe(made, t, meters()) for t in tests], meters())
        small += insulation_tail(found, found.row(["base-open"])) < 0.05
    assert small <= 20


def test_repeating_an_insulation_test_is_worth_next_to_nothing() -> None:
    """A second test that finds the same paths under all that is likely tells nothing, however far from usual they lie.

    The first showed 1.2 megohm, eight times below anything that sound parts would do often.
    """
    found = posterior(appliance(), [Measured(NEUTRAL, 1.2e6)], meters())
    lamp = reading("lamp", "X1.L", "X1.E", Function.INSULATION)
    again, other, dried = (values(found, trials=[t], blocked=True) for t in (NEUTRAL, lamp, DRIED))
    assert not again
    assert dried[0].bits > 3.0 * other[0].bits


def test_many_tests_are_weighed_in_few_sums(monkeypatch: pytest.MonkeyPatch) -> None:
    """Forty insulation tests, as a nervous hand takes them, cost no more sums a hypothesis than there are readings."""
    sums: list[int] = []
    weigh = insulation.evidence.__wrapped__
    true = insulation._true
    monkeypatch.setattr(insulation, "_true", lambda seen, displays: sums.append(len(displays)) or true(seen, displays))
    assert weigh(*readings_taken(40)) > 0.0
    assert 81 <= len(sums) <= 81 + 40  # all together, each by itself, and one left out


def readings_taken(count: int) -> tuple[insulation.Seen, tuple[insulation.Display, ...]]:
    """What ``count`` readings of one path see that disagree with each other a hundredfold, and their displays."""
    law = ((math.log(1 / 20e6), 0.5),)  # siemens
    seen = insulation.Seen((insulation.Quantity((law,), (1.0,) * count, (0,) * count),), (0.0,) * count)
    shown = tuple(
        insulation.Display(
            value=2e5 * 100 ** (i % 2), noise=1e4, gain=0.03, step=1e4, top=1e9, slipped=1e-3, says=0.999, tail=False
        )
        for i in range(count)
    )
    return seen, shown
