"""The value of a trial and the policy built on it: against scipy, a Bayesian network and published search costs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
from diagnosis_samples import APPLIANCES, SCENARIOS, appliance, meters, readings_of, taken
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.stats import entropy as scipy_entropy

from probebook.diagnosis import (
    Complaint,
    Measured,
    Person,
    Seen,
    Trial,
    TrialKind,
    noticed,
    observe,
    posterior,
    proved,
    proving_trials,
    solve,
    specimen,
    trials,
    values,
)
from probebook.diagnosis.evidence import sight_table, trial_of
from probebook.diagnosis.proving import Proved
from probebook.diagnosis.trial import look, reading
from probebook.diagnosis.value import contenders, entropy, expected_bits, information, outcome_table, reading_table
from probebook.meters import Function


@given(st.lists(st.lists(st.floats(1e-6, 1), min_size=3, max_size=3), min_size=2, max_size=6))
def test_entropy_and_information_are_those_of_scipy(rows: list[list[float]]) -> None:
    """Entropy agrees with scipy.stats.entropy, and mutual information with the divergence of joint and product."""
    table = np.array(rows) / np.sum(rows, axis=1, keepdims=True)
    weights = np.arange(1.0, len(rows) + 1)
    weights /= weights.sum()
    assert entropy(table) == pytest.approx(scipy_entropy(table, base=2, axis=1), abs=1e-12)
    joint = weights[:, None] * table
    product = weights[:, None] * joint.sum(axis=0)
    expected = scipy_entropy(joint.ravel(), product.ravel(), base=2)
    assert information(weights, table[:, None, :])[0] == pytest.approx(expected, abs=1e-9)


def network_of(tables: dict[str, NDArray[np.float64]], prior: NDArray[np.float64]) -> object:
    """A Bayesian network in pgmpy: what is wrong, and one outcome for each table of shape (hypotheses, outcomes)."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.models import DiscreteBayesianNetwork

    network = DiscreteBayesianNetwork([("wrong", name) for name in tables])
    network.add_cpds(TabularCPD("wrong", len(prior), prior[:, None] / prior.sum()))
    for name, table in tables.items():
        network.add_cpds(TabularCPD(name, table.shape[1], table.T, ["wrong"], [len(prior)]))
    assert network.check_model()
    return network


@pytest.mark.filterwarnings("ignore")
def test_looks_give_the_posterior_of_a_bayesian_network() -> None:
    """Seeing things at three places gives, for all hypotheses of the oven, the posterior pgmpy infers, to 1e-6."""
    from pgmpy.inference import VariableElimination

    which = appliance()
    found = posterior(which, (), meters())
    places = ("E2", "S1", "W10")
    seen = {at: sight_table(which, at) for at in places}
    network = network_of({at: table for at, (_, table) in seen.items()}, found.probabilities)
    shown = {"E2": 1, "S1": 0, "W10": 0}
    expected = VariableElimination(network).query(["wrong"], evidence=shown, show_progress=False).values
    evidence = [Seen(at, seen[at][0][i]) for at, i in shown.items()]
    assert posterior(which, evidence, meters()).probabilities == pytest.approx(expected, abs=1e-6)


@pytest.mark.filterwarnings("ignore")
def test_expected_information_is_that_of_a_bayesian_network() -> None:
    """Expected bits of readings, looks and runs equal entropy before less mean entropy after, by pgmpy, to 1e-6."""
    from pgmpy.inference import VariableElimination

    which = appliance()
    complaint = Complaint(noticed(which, ["base-open"])[:1])
    found = posterior(which, (complaint,), meters())
    rows, weights = contenders(found)
    chosen = [
        reading("off", "E2.1", "E2.2"),
        reading("oven", "X1.L", "X1.N"),
        reading("off", "E2.1", "E2.2", lifted={"W10"}),
        look("E2"),
        Trial(TrialKind.RUN, "oven"),
    ]
    tables = {
        f"t{i}": reading_table(found, [t], rows)[:, 0] if t.kind is TrialKind.METER else outcome_table(found, t, rows)
        for i, t in enumerate(chosen)
    }
    inference = VariableElimination(network_of(tables, weights))
    before = scipy_entropy(weights, base=2)
    for i, (name, bits) in enumerate(zip(tables, expected_bits(found, chosen), strict=True)):
        outcomes = inference.query([name], show_progress=False).values
        after = sum(
            chance * scipy_entropy(inference.query(["wrong"], evidence={name: k}, show_progress=False).values, base=2)
            for k, chance in enumerate(outcomes)
            if chance > 0
        )
        assert bits == pytest.approx(before - after, abs=1e-6), chosen[i]


@lru_cache
def halving(suspects: int) -> float:
    """Mean number of tests when each asks of the first k suspects whether the fault is among them, k by information."""
    if suspects == 1:
        return 0.0
    table = np.array([[[float(i < k), float(i >= k)] for k in range(1, suspects)] for i in range(suspects)])
    k = 1 + int(np.argmax(np.round(information(np.full(suspects, 1 / suspects), table), 12)))
    return 1 + k / suspects * halving(k) + (suspects - k) / suspects * halving(suspects - k)


@pytest.mark.parametrize(
    ("suspects", "bits", "best", "one_by_one"),
    [
        (4, 2.000, 2.0000, 2.2500),
        (6, 2.585, 2.6667, 3.3333),
        (8, 3.000, 3.0000, 4.3750),
        (10, 3.322, 3.4000, 5.4000),
        (16, 4.000, 4.0000, 8.4375),
        (24, 4.585, 4.6667, 12.4583),
        (54, 5.755, 5.8148, 27.4815),
    ],
)
def test_most_informative_tests_reach_the_best_possible_mean(
    suspects: int, bits: float, best: float, one_by_one: float
) -> None:
    """Always taking the most informative test finds one of equal suspects in the fewest tests a mean can be.

    24 and 54 suspects are the network sizes of a study of half-split troubleshooting (Human Factors, 1987). The
    figures are arithmetic: the best mean is that of a Huffman code, one by one is (n(n+1)/2 - 1)/n with the last
    suspect inferred.
    """
    assert scipy_entropy(np.full(suspects, 1 / suspects), base=2) == pytest.approx(bits, abs=5e-4)
    assert halving(suspects) == pytest.approx(best, abs=5e-5)
    assert (suspects * (suspects + 1) / 2 - 1) / suspects == pytest.approx(one_by_one, abs=5e-5)


def test_uneven_suspects_are_not_halved_by_count() -> None:
    """Of suspects .5 .2 .1 .1 .05 .05 (2.0610 bits) testing the likely one first is worth more than half of them."""
    weights = np.array([0.5, 0.2, 0.1, 0.1, 0.05, 0.05])
    table = np.array([[[float(i < k), float(i >= k)] for k in (1, 3)] for i in range(6)])
    likely, half = information(weights, table)
    assert entropy(weights) == pytest.approx(2.0610, abs=5e-5)
    assert likely == pytest.approx(1.0)
    assert likely > half


@pytest.mark.parametrize("name", APPLIANCES)
def test_information_is_never_more_than_there_is_to_know(name: str) -> None:
    """No trial is worth less than nothing or more than the entropy of the posterior, and minutes are positive."""
    found = posterior(appliance(name), (), meters())
    for worth in values(found, planning=True):
        assert 0 <= worth.bits <= scipy_entropy(contenders(found)[1], base=2) + 1e-9
        assert worth.minutes > 0


def test_a_reading_taken_is_hardly_worth_taking_again() -> None:
    """After a reading the same one is worth next to nothing, because what is unknown of the parts is common to both."""
    which = appliance()
    trial = reading("off", "E2.1", "E2.2")
    before = posterior(which, (), meters())
    after = posterior(which, [taken(which, trial, ["base-drift"])], meters())
    assert expected_bits(before, [trial])[0] > 0.5
    assert expected_bits(after, [trial])[0] < 0.05


def test_more_noise_never_sharpens() -> None:
    """Expected information of every reading falls, or stays, as the meter's accuracy is made worse."""
    which = appliance()
    chosen = readings_of(which)
    bits = []
    for factor in (1, 4, 16, 64):
        coarse = [
            replace(
                m,
                ranges=tuple(
                    (
                        f,
                        tuple(
                            replace(
                                r,
                                fraction_of_reading=min(0.4, factor * r.fraction_of_reading),
                                digits=factor * r.digits,
                            )
                            for r in spans
                        ),
                    )
                    for f, spans in m.ranges
                ),
            )
            for m in meters()
        ]
        bits.append(expected_bits(posterior(which, (), coarse), chosen))
    for finer, coarser in pairwise(bits):
        # Cutting the display in classes loses up to a few hundredths of a bit, not always the same.
        assert (coarser <= finer + 0.05).all()
        assert coarser.sum() < finer.sum()


@pytest.mark.parametrize("name", APPLIANCES)
def test_the_policy_solves_every_single_fault(name: str) -> None:
    """From one thing the customer says the policy finds every single fault of every appliance within fifteen trials.

    Of two rods, each behind a pole of its own, a customer cannot say which is cold: that costs up to three trials more.
    """
    which = appliance(name)
    most = 18 if name == "water-boiler" else 15
    for fault in which.faults:
        told = Complaint(noticed(which, [fault.id])[:1])
        run = solve(specimen(which, [fault.id], seed=7), meters(), evidence=(told,))
        assert run.solved, (fault.id, [(h.name, p) for h, p in run.final.ranked()[:3]])
        assert run.trials <= most, fault.id
        assert run.trials == len(run.evidence) - 1


def test_the_policy_puts_no_supply_back_before_earth_and_insulation_are_good() -> None:
    """In every solution a functional run or heat-up record comes only after good earth and insulation readings."""
    which = appliance()
    energised = 0
    for fault in ("low-supply", "thermostat-low", "base-leak", "earth-off", "thermostat-welded"):
        run = solve(specimen(which, [fault], seed=3), meters())
        for i, observation in enumerate(run.evidence):
            if not isinstance(observation, Measured | Seen):
                energised += 1
                assert proved(which, run.evidence[:i])[0] is Proved.GOOD
    assert energised


def test_asking_for_more_certainty_takes_no_fewer_trials() -> None:
    """Told to go on past a first fault, the policy does at least as much and ends at least as sure."""
    which = appliance()
    item = specimen(which, ["base-neutral-broken", "lamp-open"], 2)
    told = (Complaint(noticed(which, ["base-neutral-broken"])[:1]),)
    first, further = (solve(item, meters(), evidence=told, enough=p) for p in (0.95, 0.9995))
    assert further.trials >= first.trials
    assert further.final.ranked()[0][1] >= min(0.9995, first.final.ranked()[0][1])
    assert further.solved


def test_every_trial_is_known_again_from_what_it_showed() -> None:
    """The trial an observation came from is found from the observation: reading, look, run and heat-up record alike."""
    which = appliance()
    item = specimen(which, ["base-open"], 2)
    for trial in trials(which):
        assert trial_of(observe(item, trial, meters())) == trial


def test_bad_earth_or_insulation_forbids_a_run_and_missing_readings_are_named() -> None:
    """Proving is not yet while a reading is missing, good with all of them, bad as soon as one is out of bounds."""
    which = appliance()
    wanted = proving_trials(which)
    assert proved(which, ()) == (Proved.NOT_YET, wanted)
    good = [observe(specimen(which, [], 1), t, meters()) for t in wanted]
    assert proved(which, good, meters()) == (Proved.GOOD, ())
    for fault in ("earth-off", "base-leak"):
        bad = [observe(specimen(which, [fault], 1), t, meters()) for t in wanted]
        assert proved(which, bad, meters())[0] is Proved.BAD
        allowed = values(posterior(which, bad, meters()), planning=True)
        assert all(w.trial.kind in (TrialKind.METER, TrialKind.LOOK) for w in allowed)


def test_an_owner_is_offered_no_live_work_and_no_cover_off() -> None:
    """For an owner nothing behind a cover, on fixed wiring or energised is offered; what is not says why."""
    for name in APPLIANCES:
        found = posterior(appliance(name), (), meters())
        for worth in values(found, person=Person.OWNER, blocked=True):
            trial = worth.trial
            if trial.kind in (TrialKind.RUN, TrialKind.RECORD) or trial.dried:
                assert worth.objection
            if trial.kind is TrialKind.METER and not worth.objection:
                covers = {p.cover for p in appliance(name).parts for t in p.terminals if t in trial.probes}
                assert covers == {""}
                assert appliance(name).supply.kind == "plug"


def test_a_specimen_reads_the_same_whenever_it_is_asked() -> None:
    """The same trial on the same specimen gives the same display in any order, and another seed another display."""
    which = appliance()
    chosen = readings_of(which)[:20]
    first = [observe(specimen(which, ["base-drift"], 5), t, meters()) for t in chosen]
    again = [observe(specimen(which, ["base-drift"], 5), t, meters()) for t in reversed(chosen)]
    assert first == again[::-1]
    assert first != [observe(specimen(which, ["base-drift"], 6), t, meters()) for t in chosen]


def test_ties_and_order_do_not_depend_on_hashing(fresh_python: Callable[..., str]) -> None:
    """The ranking of trials is the same in interpreters with different hash seeds."""
    code = (
        "from pathlib import Path\n"
        "from probebook.appliances import load_appliance\n"
        "from probebook.meters import load_meter\n"
        "from probebook.diagnosis import posterior, values\n"
        f"root = Path({str(SCENARIOS)!r})\n"
        "oven = load_appliance(root / 'appliances/conventional-oven.toml')\n"
        "meter = load_meter(root / 'meters/bench-multimeter.toml')\n"
        "print([(w.trial.key, w.bits, w.minutes) for w in values(posterior(oven, (), meter), planning=True)])\n"
    )
    assert fresh_python(code, PYTHONHASHSEED="1") == fresh_python(code, PYTHONHASHSEED="2")


def test_every_trial_can_be_done_on_every_appliance() -> None:
    """Every sensible trial gives an observation, and readings with the tester give one at 500 V."""
    for name in APPLIANCES:
        which = appliance(name)
        item = specimen(which, [which.faults[0].id], 2)
        for trial in trials(which):
            observation = observe(item, trial, meters())
            assert not isinstance(observation, Measured) or observation.value >= 0 or math.isinf(observation.value)


def test_a_reading_after_drying_stands_for_the_one_before() -> None:
    """Damp insulation that reads good once it is dried proves the appliance; read the other way round it does too."""
    which = appliance()
    good = {t: 0.1 if t.function.through_leads else 200e6 for t in proving_trials(which)}
    everything = [Measured(t, value) for t, value in good.items()]
    wet = next(t for t in good if t.function is Function.INSULATION)
    poor, dry = Measured(wet, 0.2e6), Measured(replace(wet, dried=True), 200e6)
    rest = [m for m in everything if m.trial != wet]
    assert proved(which, [*rest, poor])[0] is Proved.BAD
    assert proved(which, [*rest, poor, dry])[0] is Proved.GOOD
    assert proved(which, [*rest, Measured(wet, 200e6), Measured(replace(wet, dried=True), 0.2e6)])[0] is Proved.BAD
