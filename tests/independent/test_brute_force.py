"""A sample of cases judged by the brute-force script beside this file, and that script's own circuits."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import networkx as nx
import pytest
from brute_force import (
    COMPLAINT_ALONE,
    DETERMINED,
    RUNNER_UP,
    TRIALS,
    Judged,
    branch_values,
    judged,
    policy_trials,
    resistance,
    same_key,
    sample,
)

from probebook.appliances import FaultKind
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import library
from probebook.cases.model import Case
from probebook.diagnosis import posterior
from probebook.diagnosis.trial import reading

TRADE = library()


@pytest.fixture(scope="module")
def cases(one_in: Callable[[int, Sequence[tuple[str, str, int]]], Sequence[tuple[str, str, int]]]) -> list[Case]:
    """Every fifth of 120 cases, which goes by all appliances and levels; with ``--whole`` all of them."""
    return [make_case(TRADE, *asked) for asked in one_in(5, sample(TRADE, 120, "sample"))]


@pytest.fixture(scope="module")
def judgements(cases: list[Case]) -> list[Judged]:
    """What brute force makes of each of them."""
    return [judged(case, TRADE) for case in cases]


def test_brute_force_determines_every_key(cases: list[Case], judgements: list[Judged]) -> None:
    """Worked out apart from the core, the key of each case has at least 0.95 and no rival more than 0.02."""
    for case, found in zip(cases, judgements, strict=True):
        kinds = {f: TRADE.appliance(case.appliance).fault(f).kind for f in case.truth}
        assert found.best == {f for f, kind in kinds.items() if kind is not FaultKind.USER_SETTING}, case.id
        assert found.probability >= DETERMINED, case.id
        assert found.runner_up <= RUNNER_UP, case.id


def test_brute_force_and_core_agree(cases: list[Case], judgements: list[Judged]) -> None:
    """The probability of each key agrees between brute force and the core to 0.02."""
    for case, found in zip(cases, judgements, strict=True):
        core = posterior(TRADE.appliance(case.appliance), case.evidence, case_meters(case, TRADE))
        assert found.probability == pytest.approx(core.probability_of(case.truth), abs=0.02), case.id


def test_no_complaint_gives_its_fault_away(judgements: list[Judged]) -> None:
    """Going by the complaint alone, no explanation has more than 0.6."""
    assert all(found.complaint_alone <= COMPLAINT_ALONE + 1e-9 for found in judgements)


def test_the_policy_solves_cases_within_the_limit_of_their_level(cases: list[Case]) -> None:
    """Always doing what is worth most a minute finds the fault in no more trials than the level allows."""
    for case in cases[::3]:
        trials, solved = policy_trials(case, TRADE)
        assert solved, case.id
        assert trials <= TRIALS[case.level], case.id


def test_the_key_stays_when_the_meter_errs_otherwise(cases: list[Case]) -> None:
    """With the instruments' errors drawn anew twenty times, the same key comes out every time."""
    for case in cases[::5]:
        kept, _ = same_key(case, TRADE, 20)
        assert kept == 20, case.id


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_brute_force_circuits_agree_with_networkx(appliance_id: str) -> None:
    """The script's resistances agree with networkx.resistance_distance, open circuits included.

    To 1 part in 10⁶; through insulation to 3 in 1000, as good as networkx's pseudo-inverse is beside milliohms.
    """
    appliance = TRADE.appliance(appliance_id)
    position = max(appliance.positions, key=lambda p: len(p.heats))
    trial = reading(position.name, appliance.line, appliance.neutral)
    for fault in [(), *((f.id,) for f in appliance.faults)]:
        branches = branch_values(appliance, trial, fault, {})
        graph = nx.Graph()
        for one, other, ohms in branches:
            siemens = graph.edges[one, other]["siemens"] if graph.has_edge(one, other) else 0.0
            graph.add_edge(one, other, siemens=siemens + 1.0 / ohms)
        a, b = (appliance.terminal(t) for t in trial.probes)
        found = resistance(len(appliance.terminals), branches, a, b)
        joined = a in graph and b in graph and nx.has_path(graph, a, b)
        if not joined:
            assert math.isinf(found)
            continue
        part = graph.subgraph(nx.node_connected_component(graph, a))
        wanted = nx.resistance_distance(part, a, b, weight="siemens", invert_weight=False)
        assert found == pytest.approx(wanted, rel=1e-6 if wanted < 1e7 else 3e-3)
