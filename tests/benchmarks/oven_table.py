"""The whole resistance table of the conventional oven beside networkx and ngspice, in one run.

    python tests/benchmarks/oven_table.py

The table: every pair of terminals × every selector position × every single lifted wire (and none) × every fault (and
none), cold, thermostat calling.

* ours: one call on all states, assembling their ohms included;
* networkx: ``resistance_distance(graph)`` in its all-pairs form, called once a state, on each connected part (the call
  raises on a disconnected graph); a sample of states;
* ngspice: its best batch form, one process a state looping over the pairs; a smaller sample.

Errors are the largest relative error over all pairs of the sampled states, against exact fractions.
"""

from __future__ import annotations

import itertools
import math
import sys
import time
from pathlib import Path

import networkx as nx
import numpy as np

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS), str(TESTS / "circuit"), str(TESTS.parent / "src")]

from exact_networks import exact_resistances  # noqa: E402

import spice  # noqa: E402
from probebook.appliances import branch_ends, grid_ohms, load_appliance  # noqa: E402
from probebook.circuit import resistances  # noqa: E402

OVEN = TESTS.parent / "scenarios" / "appliances" / "conventional-oven.toml"
Ends = list[tuple[int, int]]


def graph_of(n: int, ends: Ends, ohms: np.ndarray) -> nx.Graph:
    """Return the state as a graph whose edge weights are conductances, parallel branches added."""
    graph = nx.Graph()
    graph.add_nodes_from(range(n))
    for (a, b), r in zip(ends, ohms, strict=True):
        if math.isfinite(r):
            before = graph.edges[a, b]["g"] if graph.has_edge(a, b) else 0.0
            graph.add_edge(a, b, g=before + 1 / r)
    return graph


def by_networkx(parts: list[nx.Graph], n: int) -> np.ndarray:
    """Return all-pairs ohms of one state."""
    table = np.full((n, n), np.inf)
    for part in parts:
        if part.number_of_nodes() == 1:
            (only,) = part.nodes
            table[only, only] = 0.0
            continue
        for a, row in nx.resistance_distance(part, weight="g", invert_weight=False).items():
            for b, r in row.items():
                table[a, b] = r
    return table


def worst(table: np.ndarray, exact: list[list[object]]) -> float:
    """Return the largest relative error; inf where one side is open and the other is not."""
    n = len(exact)
    errors = [0.0]
    for a, b in itertools.combinations(range(n), 2):
        true, found = float(exact[a][b]), float(table[a, b])  # type: ignore[arg-type]
        if math.isinf(true) or math.isinf(found):
            errors.append(0.0 if true == found else math.inf)
        else:
            errors.append(abs(found / true - 1))
    return max(errors)


def main() -> None:
    """Print the ratios."""
    oven = load_appliance(OVEN)
    n, ends = len(oven.terminals), branch_ends(oven)
    pairs = [(int(a), int(b)) for a, b in ends]
    positions = [p.name for p in oven.positions]
    lifts = [(), *((w.mark,) for w in oven.wires)]
    faults = [(), *((f.id,) for f in oven.faults)]

    def ours() -> np.ndarray:
        ohms = grid_ohms(oven, positions, lifts, faults).reshape(-1, len(oven.branches))
        return resistances(n, ends, ohms)

    ours()
    times = []
    for _ in range(3):
        start = time.perf_counter()
        table = ours()
        times.append(time.perf_counter() - start)
    ohms = grid_ohms(oven, positions, lifts, faults).reshape(-1, len(oven.branches))
    states = len(ohms)
    per_state = min(times) / states

    rng = np.random.default_rng(1)
    sample = rng.choice(states, size=120, replace=False)
    prepared = []
    for s in sample:
        graph = graph_of(n, pairs, ohms[s])
        prepared.append([graph.subgraph(c).copy() for c in nx.connected_components(graph)])
    start = time.perf_counter()
    theirs = [by_networkx(parts, n) for parts in prepared]
    networkx_state = (time.perf_counter() - start) / len(sample)

    few = sample[:4]
    spice_tables, spent = [], 0.0
    for s, parts in zip(few, prepared, strict=False):
        joined = [p for part in parts for p in itertools.combinations(sorted(part.nodes), 2)]
        grounded = [min(part.nodes) for part in parts]
        start = time.perf_counter()
        values = spice.resistances(pairs, list(ohms[s]), joined, grounded)
        spent += time.perf_counter() - start
        found = np.full((n, n), np.inf)
        for (a, b), r in zip(joined, values, strict=True):
            found[a, b] = found[b, a] = r
        spice_tables.append(found)
    spice_state = spent / len(few)

    exact = [exact_resistances(n, pairs, list(ohms[s])) for s in few]
    print(f"{oven.title}: {n} terminals, {n * (n - 1) // 2} pairs, {states} states")
    print(f"  whole table                 {min(times):8.3f} s   {per_state * 1e3:9.5f} ms a state")
    print(
        f"  networkx, all pairs a call  {networkx_state * 1e3:20.3f} ms a state   {networkx_state / per_state:8.0f} ×"
    )
    print(f"  ngspice, one process        {spice_state * 1e3:20.3f} ms a state   {spice_state / per_state:8.0f} ×")
    for name, tables in (("ours", table[few]), ("networkx", theirs[:4]), ("ngspice", spice_tables)):
        print(f"  worst relative error of {name:9}{max(worst(t, e) for t, e in zip(tables, exact, strict=True)):.1e}")


if __name__ == "__main__":
    main()
