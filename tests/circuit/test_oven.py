"""Every pair of terminals of the conventional oven: healthy, under each fault, and with each single wire lifted.

Three references on the same states: exact rational arithmetic, ngspice, and ``networkx.resistance_distance``. The last
two lose digits where a wire of milliohms lies beside 400 Mohm of insulation, so their tolerances are wider; the exact
one is the gate.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from exact_networks import exact_resistances, worst_error

import spice
from probebook.appliances import Appliance, State, branch_ends, branch_ohms, load_appliance
from probebook.circuit import resistances

OVEN = load_appliance(Path(__file__).parents[2] / "scenarios" / "appliances" / "conventional-oven.toml")
ENDS = [(int(a), int(b)) for a, b in branch_ends(OVEN)]
COUNT = len(OVEN.terminals)


def _states(oven: Appliance) -> Iterator[State]:
    for position in ("oven", "off"):
        yield State(position)
        for fault in oven.faults:
            yield State(position, faults=frozenset({fault.id}))
        for wire in oven.wires:
            yield State(position, lifted=frozenset({wire.mark}))


STATES = list(_states(OVEN))
OHMS = branch_ohms(OVEN, STATES)
TABLE = resistances(COUNT, branch_ends(OVEN), OHMS)


def _name(state: State) -> str:
    return "-".join((state.position, *sorted(state.faults), *sorted(state.lifted)))


def _parts(ohms: np.ndarray) -> list[nx.Graph]:
    graph = nx.Graph()
    graph.add_nodes_from(range(COUNT))
    for (a, b), r in zip(ENDS, ohms, strict=True):
        if math.isfinite(r):
            before = graph.edges[a, b]["g"] if graph.has_edge(a, b) else 0.0
            graph.add_edge(a, b, g=before + 1 / float(r))
    return [graph.subgraph(nodes).copy() for nodes in nx.connected_components(graph)]


@pytest.mark.parametrize("row", range(len(STATES)), ids=[_name(s) for s in STATES])
def test_agrees_with_exact_rational_arithmetic(row: int) -> None:
    """Every pair agrees with exact fractions to 1e-12, or both are open."""
    assert worst_error(TABLE[row], exact_resistances(COUNT, ENDS, list(OHMS[row]))) <= 1e-12


@pytest.mark.parametrize("row", range(0, len(STATES), 2), ids=[_name(s) for s in STATES[::2]])
def test_agrees_with_ngspice(row: int) -> None:
    """Every pair that a path joins agrees with ngspice on the same netlist; every other pair is open."""
    parts = _parts(OHMS[row])
    joined = [pair for part in parts for pair in itertools.combinations(sorted(part.nodes), 2)]
    found = spice.resistances(ENDS, list(OHMS[row]), joined, [min(part.nodes) for part in parts])
    for (a, b), ohms in zip(joined, found, strict=True):
        assert TABLE[row, a, b] == pytest.approx(ohms, rel=2e-4), (OVEN.terminals[a], OVEN.terminals[b])
    apart = set(itertools.combinations(range(COUNT), 2)) - set(joined)
    assert all(math.isinf(TABLE[row, a, b]) for a, b in apart)


@pytest.mark.parametrize("row", range(len(STATES)), ids=[_name(s) for s in STATES])
def test_agrees_with_networkx(row: int) -> None:
    """Every pair agrees with ``networkx.resistance_distance`` as far as its pseudo-inverse carries."""
    for part in _parts(OHMS[row]):
        if part.number_of_nodes() < 2:
            continue
        for a, distances in nx.resistance_distance(part, weight="g", invert_weight=False).items():
            for b, ohms in distances.items():
                assert TABLE[row, a, b] == pytest.approx(ohms, rel=2e-3, abs=1e-4)
