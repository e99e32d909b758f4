"""Every resistance that the readings of cases rest on, against ngspice on the same netlist."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import networkx as nx
import numpy as np
import pytest

import spice
from probebook.appliances import Appliance, State, branch_ends, branch_ohms
from probebook.appliances.probing import probe_ohms
from probebook.cases import instance as made
from probebook.cases.generate import make_case
from probebook.cases.library import library
from probebook.diagnosis import Measured
from probebook.errors import ScenarioError

CASES = 200

#: What the case generator asked for: appliance, state, probes, test volts, spread, and the ohms it was given.
Taken = tuple[Appliance, State, tuple[str, str], float, np.ndarray, float]


def _watched(monkeypatch: pytest.MonkeyPatch) -> list[Taken]:
    """Watch every resistance that cases ask for."""
    taken: list[Taken] = []

    def watch(
        appliance: Appliance, states: Sequence[State], probes: Sequence[tuple[str, str]], **how: Any
    ) -> np.ndarray:
        found = probe_ohms(appliance, states, probes, **how)
        for row, state in enumerate(states):
            for column, pair in enumerate(probes):
                ohms = float(found[row, column])
                taken.append((appliance, state, pair, how["test_volts"], how["spread"], ohms))
        return found

    monkeypatch.setattr(made, "probe_ohms", watch)
    return taken


def _by_ngspice(appliance: Appliance, state: State, probes: tuple[str, str], volts: float, spread: np.ndarray) -> float:
    """Ohms between the probes by ngspice; infinite where the wiring graph says that nothing joins them."""
    ends = [(int(a), int(b)) for a, b in branch_ends(appliance)]
    ohms = branch_ohms(appliance, [state], test_volts=volts, spread=spread)[0]
    graph = nx.Graph()
    graph.add_nodes_from(range(len(appliance.terminals)))
    graph.add_edges_from(pair for pair, r in zip(ends, ohms, strict=True) if math.isfinite(r))
    a, b = (appliance.terminal(name) for name in probes)
    if not nx.has_path(graph, a, b):
        return math.inf
    # only the part of the network that the probes touch: a node without a path to ground upsets ngspice
    here = nx.node_connected_component(graph, a)
    kept = [k for k, (one, _) in enumerate(ends) if one in here]
    return spice.resistances([ends[k] for k in kept], [float(ohms[k]) for k in kept], [(a, b)], [a])[0]


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_readings_of_two_hundred_cases_agree_with_ngspice(
    monkeypatch: pytest.MonkeyPatch, one_in: Callable[[int, Sequence[int]], Sequence[int]]
) -> None:
    """Each reading in the evidence of each case rests on the resistance that ngspice finds, within 1e-3, or both open.

    Every fifth of the two hundred, which goes by all appliances and levels; all of them with ``--whole``.
    ngspice loses digits where milliohms lie beside hundreds of megohms, hence no tighter.
    """
    taken = _watched(monkeypatch)
    trade = library()
    compared = cases = 0
    numbers = one_in(5, range(CASES))
    for number in numbers:
        appliance_id = trade.appliance_ids[number % len(trade.appliance_ids)]
        taken.clear()
        try:
            case = make_case(trade, appliance_id, f"ngspice-{number}", 1 + number % 3)
        except ScenarioError:
            continue  # the appliance has no case of that level
        cases += 1
        spread = taken[-1][4]
        known = {(entry[1], entry[2]): entry for entry in taken if entry[4] is spread}
        wanted = {
            (o.trial.state(frozenset(case.truth)), o.trial.probes) for o in case.evidence if isinstance(o, Measured)
        }
        for key in wanted & known.keys():
            appliance, state, pair, volts, made_so, ohms = known[key]
            theirs = _by_ngspice(appliance, state, pair, volts, made_so)
            # ngspice lays 1 pS (GMIN, its manual) over each junction: beside gigohms that tells.
            near = 1e-3 + 2e-12 * theirs if theirs < 1e11 else 1e-3
            assert ohms == theirs or ohms == pytest.approx(theirs, rel=near, abs=1e-6), (case.id, state, pair)
            compared += 1
    assert cases >= len(numbers) * 0.9
    assert compared >= 4 * cases
