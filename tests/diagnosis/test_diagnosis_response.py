"""Hypotheses and the table of what the meter would find, against a second way of working it out."""

from __future__ import annotations

import math

import networkx
import numpy as np
import pytest
from diagnosis_samples import APPLIANCES, SCENARIOS, appliance, dense_ohms, meter_of, readings_of

from probebook.appliances import FaultKind, branch_ends, branch_ohms
from probebook.diagnosis import Expected, band_words, hypotheses, model_of, response, trials
from probebook.diagnosis.candidates import settled
from probebook.diagnosis.prediction import between
from probebook.diagnosis.trial import reading, trial_from_json, trial_to_json
from probebook.meters import Function
from probebook.words import Words

#: What diagnosis takes for granted.
ASSUMED = model_of(appliance()).assumed


@pytest.mark.parametrize("name", APPLIANCES)
def test_priors_are_probabilities_and_pairs_are_rare(name: str) -> None:
    """Priors sum to 1, none is nought, and every pair is far rarer than either of its faults alone."""
    listed = hypotheses(appliance(name))
    assert sum(h.prior for h in listed) == pytest.approx(1.0)
    prior = {h.faults: h.prior for h in listed}
    assert len(prior) == len(listed)
    for faults, p in prior.items():
        assert p > 0
        if len(faults) == 2:
            assert p <= ASSUMED.chances.pair * min(prior[frozenset({f})] for f in faults)
    assert prior[frozenset()] >= ASSUMED.chances.nothing_wrong / 2


@pytest.mark.parametrize("name", APPLIANCES)
def test_pairs_are_physically_possible(name: str) -> None:
    """No pair forces, scales or adds to the same branch, and no user setting counts as a fault."""
    which = appliance(name)
    for hypothesis in hypotheses(which):
        faults = [which.fault(f) for f in sorted(hypothesis.faults)]
        touched = [c.branch for f in faults for c in f.changes]
        assert len(touched) == len(set(touched))
        assert all(f.kind is not FaultKind.USER_SETTING for f in faults)
        assert settled(which, hypothesis.faults) == hypothesis.faults


@pytest.mark.parametrize("name", APPLIANCES)
def test_trials_are_distinct_few_and_go_through_json(name: str) -> None:
    """The sensible trials are each listed once, at most a few hundred, and survive being written and read."""
    found = trials(appliance(name))
    assert len(found) == len(set(found)) == len({t.key for t in found})
    assert 10 < len(found) < 400
    assert [trial_from_json(trial_to_json(t)) for t in found] == list(found)


def test_nominal_ohms_are_those_of_networkx() -> None:
    """The table holds, for readings of the oven under all single faults, the resistance networkx finds."""
    which = appliance()
    chosen = readings_of(which)[::7]
    table = response(which, chosen).ln_ohms
    for row, hypothesis in enumerate(hypotheses(which)):
        if len(hypothesis.faults) > 1:
            continue
        for column, trial in enumerate(chosen):
            volts = 500.0 if trial.function is Function.INSULATION else 1.0
            ohms = branch_ohms(which, [trial.state(hypothesis.faults)], test_volts=volts)[0]
            graph = networkx.MultiGraph()
            graph.add_nodes_from(range(len(which.terminals)))
            for (i, j), r in zip(branch_ends(which).tolist(), ohms.tolist(), strict=True):
                if math.isfinite(r):
                    graph.add_edge(i, j, resistance=r)
            a, b = (which.terminal(t) for t in trial.probes)
            if b not in networkx.node_connected_component(graph, a):
                assert table[row, column] == math.inf
                continue
            joined = graph.subgraph(networkx.node_connected_component(graph, a))
            expected = networkx.resistance_distance(joined, a, b, weight="resistance", invert_weight=True)
            # A pseudo-inverse loses figures where milliohms stand beside hundreds of megohms.
            lost = 1e-2 if expected > 1e6 else 1e-5
            assert math.exp(table[row, column]) == pytest.approx(expected, rel=lost, abs=1e-6)


@pytest.mark.parametrize("name", APPLIANCES)
def test_linear_response_is_as_good_as_solving_again(name: str) -> None:
    """With every made part moved at random, exp(ln R0 + slope·θ) is the exact R to well within a meter's error.

    Elements are moved within their tolerance; the worst case may take a third of the accuracy of a good meter.
    """
    which = appliance(name)
    chosen = [t for t in readings_of(which) if t.function is Function.OHMS][::11]
    table = response(which, chosen)
    elements = [i for i, b in enumerate(which.branches) if b.tolerance > 0]
    columns = [table.unknowns.index(which.branches[i].name) for i in elements]
    meter = meter_of(Function.OHMS)
    rng = np.random.default_rng(11)
    rows = [r for r, h in enumerate(hypotheses(which)) if len(h.faults) < 2]
    for _ in range(3):
        half_widths = rng.uniform(-1, 1, len(elements))
        theta = np.zeros(len(table.unknowns))
        spread = np.ones(len(which.branches))
        for k, (i, column) in enumerate(zip(elements, columns, strict=True)):
            theta[column] = math.sqrt(3) * half_widths[k]
            spread[i] = math.exp(which.branches[i].tolerance * half_widths[k])
        for row in rows:
            for column, trial in enumerate(chosen):
                exact = dense_ohms(which, trial, hypotheses(which)[row].faults, spread)
                linear = math.exp(table.ln_ohms[row, column] + float(table.slope[row, column] @ theta))
                if math.isinf(exact):
                    assert math.isinf(linear)
                    continue
                span = next((r for r in meter.ranges_of(Function.OHMS) if exact <= r.full_scale), None)
                if span is None:
                    continue  # shown as over range either way
                assert abs(linear - exact) <= span.accuracy(exact) / 3


def test_severity_moves_the_reading_as_the_fault_would() -> None:
    """A burnt joint of twice the ohms reads what the slope of its severity says, measured across the joint alone."""
    which = appliance()
    trial = reading("off", "E2.2", "X1.N")
    table = response(which, [trial])
    row = next(r for r, h in enumerate(hypotheses(which)) if h.faults == {"base-tag-burnt"})
    slope = table.slope[row, 0, table.unknowns.index("severity 1")]
    # Nearly all of the resistance is the joint, so ln R moves as ln of its ohms does.
    assert slope == pytest.approx(ASSUMED.spreads.severity[FaultKind.HIGH_RESISTANCE], rel=5e-3)


def test_neon_conducts_only_at_the_insulation_voltage() -> None:
    """A neon is open to an ohmmeter and conducts at 500 V (its striking voltage is in the appliance's file)."""
    which = appliance()
    ohms, insulation = (reading("off", "H2.1", "H2.2", f, lifted={"W13"}) for f in (Function.OHMS, Function.INSULATION))
    table = response(which, [ohms, insulation]).ln_ohms
    assert table[0, 0] == math.inf
    neon = which.branches[which.branch("H2")]
    assert math.exp(table[0, 1]) == pytest.approx(neon.cold_ohms, rel=1e-3)


@pytest.mark.parametrize(
    ("low", "high", "band"),
    [
        ("50.1 Ω", "55.3 Ω", "50.1–55.3 Ω"),
        ("144.2 Ω", "0.217 kΩ", "144.2–217 Ω"),
        ("0.85 kΩ", "1.1025 MΩ", "0.85–1102.5 kΩ"),
        ("1.20 MΩ", ">999 MΩ", "1.20 MΩ to >999 MΩ"),
        ("OL", "OL", "OL"),
    ],
)
def test_a_band_of_displays_has_one_unit(low: str, high: str, band: str) -> None:
    """Two displays on neighbouring ranges are told in one unit, by the SI prefixes: 0.217 kΩ is 217 Ω."""
    assert band_words(Expected(0.0, 0.0, 0.0, between(low, high)), Words(SCENARIOS)) == band
