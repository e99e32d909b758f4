"""The posterior: against brute force, against a Bayesian network, and against what the trade knows."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from diagnosis_samples import APPLIANCES, appliance, dense_between, meter_of, meters, readings_of, taken
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from probebook.appliances import Appliance, BranchKind, Change, branch_ends, branch_ohms
from probebook.diagnosis import (
    Complaint,
    Measured,
    Observation,
    Seen,
    Symptom,
    determined,
    hypotheses,
    model_of,
    noticed,
    posterior,
)
from probebook.diagnosis.evidence import sights
from probebook.diagnosis.trial import reading
from probebook.errors import UsageError
from probebook.meters import Function

NEVER_HOT = Complaint((Symptom("oven", "temperature", "never reaches it"),))
TOP_SOUND = (reading("off", "E1.1", "E1.2"), reading("off", "E1.3", "E1.4"))


def test_open_base_element_is_concluded_with_its_wire_off() -> None:
    """Warm but never hot, both top circuits sound, base element open with its wire off: the base element is open.

    Common practice, no published source.
    """
    which = appliance()
    base = reading("off", "E2.1", "E2.2", lifted={"W10"})
    evidence = (NEVER_HOT, *(taken(which, t, ["base-open"]) for t in (*TOP_SOUND, base)))
    found = posterior(which, evidence, meters())
    assert found.probability_of(["base-open"]) >= 0.95
    assert found.ranked()[1][1] <= 0.02
    assert determined(found)


def test_nothing_is_concluded_from_the_same_readings_with_the_wire_left_on() -> None:
    """The same displays, but taken with the wire on and the selector at oven, leave the matter open.

    In that position the top element and the wiring lie across the base element, so a sound path should show: an open
    reading there needs more than an open base element. Common practice, no published source.
    """
    which = appliance()
    base = reading("oven", "E2.1", "E2.2")
    tops = (taken(which, t, ["base-open"]) for t in TOP_SOUND)
    found = posterior(which, (NEVER_HOT, *tops, Measured(base, math.inf)), meters())
    assert not determined(found)
    assert found.probability_of(["base-open"]) < 0.5


def brute_force(
    which: Appliance, faults: frozenset[str], evidence: list[Measured], count: int, seed: int
) -> tuple[float, float]:
    """The probability of readings under a hypothesis by plain sampling, and its standard error.

    Every unknown is drawn from its distribution, the network solved again for each draw, and the display's probability
    written out with the error function.
    """
    rng = np.random.default_rng(seed)
    m, ends = len(which.branches), branch_ends(which)
    weights: NDArray[np.float64] = np.empty(count)
    for draw in range(count):
        ln = np.zeros(m)
        alloy = model_of(appliance()).assumed.spreads.alloy * rng.standard_normal()
        for i, branch in enumerate(which.branches):
            if branch.kind is BranchKind.ELEMENT:
                ln[i] = branch.tolerance / math.sqrt(3) * rng.standard_normal() + alloy
            elif branch.kind is BranchKind.LAMP:
                ln[i] = model_of(appliance()).assumed.spreads.lamp * rng.standard_normal()
        gain = rng.standard_normal() / math.sqrt(3)
        weights[draw] = 1.0
        for observation in evidence:
            trial = observation.trial
            ohms = branch_ohms(which, [trial.state(faults)], spread=np.exp(ln))[0]
            a, b = (which.terminal(t) for t in trial.probes)
            weights[draw] *= shown(dense_between(len(which.terminals), ends, ohms, a, b), gain, observation)
    return float(weights.mean()), float(weights.std() / math.sqrt(count))


def shown(ohms: float, gain: float, observation: Measured) -> float:
    """The probability that a display shows these ohms, one in ten thousand of all readings saying nothing."""
    meter = meter_of(observation.trial.function)
    ranges = meter.ranges_of(observation.trial.function)
    value = observation.value
    span = next((r for r in ranges if value <= r.full_scale), ranges[-1])
    nothing = 1e-4 * (0.1 if math.isinf(value) else 0.8 * span.resolution / value / math.log(40e6 / 0.1))
    if math.isinf(ohms) or math.isinf(value):
        return float(math.isinf(ohms) and math.isinf(value)) * (1 - 1e-4) + nothing
    middle = (ohms + meter.lead_ohms) * math.exp(gain * span.fraction_of_reading)
    deviation = span.digits * span.resolution / math.sqrt(3)
    low, high = ((value + side * span.resolution / 2 - middle) / deviation / math.sqrt(2) for side in (-1, 1))
    return (1 - 1e-4) * (math.erf(high) - math.erf(low)) / 2 + nothing


@pytest.mark.parametrize(
    ("truth", "trials"),
    [
        ((), (TOP_SOUND[0], reading("off", "E2.1", "E2.2"))),
        (("outer-open",), (reading("oven", "X1.L", "X1.N"),)),
        (("base-wrong",), (reading("oven", "E2.1", "E2.2"), TOP_SOUND[0])),
    ],
)
def test_evidence_is_that_of_brute_force(truth: tuple[str, ...], trials: tuple) -> None:
    """ln p(readings | hypothesis) is what plain sampling with an exact solution for every draw gives, within its error.

    Only hypotheses without a severity of their own are sampled; the severity is an assumption tested elsewhere.
    """
    which = appliance()
    evidence = [taken(which, t, truth, gain=0.3, wobble=-0.4) for t in trials]
    found = posterior(which, evidence, meters())
    chosen = [(), ("base-open",), ("outer-open",), ("base-wrong",), ("contact-a-burnt",), ("base-wrong", "inner-open")]
    best = max(found.log_evidence)
    compared = 0
    for faults in map(frozenset, chosen):
        mine = found.log_evidence[found.row(faults)]
        if mine < best - 4:
            continue  # sampling would need millions of draws to see it
        mean, error = brute_force(which, faults, evidence, 1500, seed=3)
        assert math.exp(mine) == pytest.approx(mean, abs=4 * error + 0.03 * mean)
        compared += 1
    assert compared >= 2


def test_few_common_draws_are_enough() -> None:
    """64 draws give the posterior that 2,000 give to 0.001, and so does the highest point alone to 0.01."""
    which = appliance()
    whole = (reading(position, "X1.L", "X1.N") for position in ("oven", "grill"))
    trials = (*TOP_SOUND, reading("off", "E2.1", "E2.2"), *whole)
    evidence = [taken(which, t, ["base-drift"], gain=-0.5, wobble=0.5) for t in trials]
    many = posterior(which, evidence, meters(), draws=2000, seed=5).probabilities
    assert np.allclose(posterior(which, evidence, meters()).probabilities, many, atol=1e-3)
    assert np.allclose(posterior(which, evidence, meters(), draws=1).probabilities, many, atol=1e-2)


@pytest.mark.parametrize("count", [1, 3])
def test_few_draws_serve_where_displays_are_over_range(count: int) -> None:
    """Insulation shown over range, where it is hardly to be expected, is worth with 64 draws what it is with 4,000.

    Odds agree within a fifth: the draws then cover the tail of a distribution, not its middle.
    """
    which = appliance()
    insulation = [t for t in readings_of(which) if t.function is Function.INSULATION][:count]
    evidence = [Measured(t, math.inf) for t in insulation]
    few, many = (posterior(which, evidence, meters(), draws=n, seed=5).log_evidence for n in (64, 4000))
    likely = many > many.max() - 6
    assert likely.sum() > 20
    assert np.allclose(few[likely], many[likely], atol=0.2)


def some_evidence(name: str, truth: list[str]) -> list[Observation]:
    """A handful of readings, a look and a complaint about one appliance."""
    which = appliance(name)
    chosen = readings_of(which)[:: max(1, len(readings_of(which)) // 6)]
    told = noticed(which, truth)[:1]
    sight = which.parts[-1].mark
    return [*(taken(which, t, truth) for t in chosen), Seen(sight, sights(which, sight)[-1]), Complaint(told)]


@pytest.mark.parametrize("name", APPLIANCES)
def test_probabilities_sum_to_one_and_nothing_is_impossible(name: str) -> None:
    """After any evidence the probabilities sum to 1, none is nought, and marginals lie between 0 and 1."""
    which = appliance(name)
    for fault in which.faults[::4]:
        found = posterior(which, some_evidence(name, [fault.id]), meters())
        assert found.probabilities.sum() == pytest.approx(1.0)
        assert (found.probabilities > 0).all()
        assert np.isfinite(found.by_observation).all()
        assert all(0 <= p <= 1 for p in found.marginals().values())


@given(st.permutations(range(8)))
def test_order_of_evidence_does_not_matter(order: list[int]) -> None:
    """The same observations in any order give the same posterior."""
    evidence = some_evidence("conventional-oven", ["base-leak"])
    count = len(evidence)
    mixed = [evidence[i] for i in order if i < count] + evidence[8:]
    first, second = (posterior(appliance(), e, meters()).probabilities for e in (evidence, mixed))
    assert np.allclose(first, second, rtol=1e-9, atol=1e-12)


def test_no_evidence_and_no_news_leave_the_prior() -> None:
    """Without evidence the posterior is the prior; so it is after a look where nothing can be seen."""
    which = appliance()
    prior = [h.prior for h in hypotheses(which)]
    assert np.allclose(posterior(which, (), meters()).probabilities, prior)
    blind = [mark for mark in (p.mark for p in which.parts) if len(sights(which, mark)) == 1]
    assert blind
    for mark in blind:
        assert np.allclose(posterior(which, [Seen(mark)], meters()).probabilities, prior)


def test_the_same_reading_twice_tells_little_more_than_once() -> None:
    """Making tolerance and gain are common to all readings, so repeating one cannot stand for independent evidence.

    Ten readings of an element between two hypotheses bring the odds nowhere near the tenth power of one reading's.
    """
    near = replace(appliance().fault("base-wrong"), changes=(Change("E2.heater", factor=1500 / 1050),))
    which = replace(appliance(), faults=tuple(near if f.id == near.id else f for f in appliance().faults))
    trial = reading("off", "E2.1", "E2.2", lifted={"W10"})
    between = math.sqrt(1.28 * 1500 / 1050)  # of a drifted element and one of the wrong rating
    sound = taken(which, trial, ()).value
    ohms = Measured(trial, round(sound * between * 0.98, 1))

    def odds(times: int) -> float:
        found = posterior(which, [ohms] * times, meters())
        return math.log(found.probability_of(["base-drift"]) / found.probability_of(["base-wrong"]))

    assert abs(odds(10) - odds(1)) < 0.5
    assert abs(odds(1)) > 0.2


def test_a_coarser_meter_discriminates_less() -> None:
    """Widening the accuracy of the meter lowers the probability of the true fault in a close decision."""
    which = appliance()
    fine = meter_of(Function.OHMS)
    trial = reading("off", "E2.1", "E2.2", lifted={"W10"})
    found = []
    for factor in (1, 5, 20):
        ranges = tuple(
            (
                function,
                tuple(
                    replace(r, fraction_of_reading=r.fraction_of_reading * factor, digits=r.digits * factor)
                    for r in spans
                ),
            )
            for function, spans in fine.ranges
        )
        coarse = replace(fine, ranges=ranges)
        found.append(posterior(which, [taken(which, trial, ["base-drift"])], coarse).probability_of(["base-drift"]))
    assert found[0] > found[1] > found[2]


def test_what_cannot_be_asked_is_refused_by_name() -> None:
    """An unlisted set of faults, and a function no instrument has, are each refused in one sentence."""
    which = appliance()
    found = posterior(which, (), meters())
    with pytest.raises(UsageError, match="not among the hypotheses"):
        found.row(["base-open", "outer-open", "inner-open"])
    insulation = Measured(reading("off", "X1.N", "X1.E", Function.INSULATION), math.inf)
    with pytest.raises(UsageError, match="has no insulation function"):
        posterior(which, [insulation], meters()[0])
    with pytest.raises(KeyError):
        posterior(which, [Measured(reading("off", "X1.N", "X9.E"), 1.0)], meters())
