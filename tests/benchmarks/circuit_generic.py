"""Time and error of all-pairs resistance beside networkx and ngspice, in one run.

    python tests/benchmarks/circuit_generic.py [--states 6144]

Networks: oven-like (contacts, elements, links, insulation to earth; the circuits are invented) and all joined to
all, of 8, 14, 28 and 56 terminals. Everybody works out the resistance between every two terminals.

* ours: one call on a batch of states, and one call on a single state;
* networkx: ``resistance_distance(graph)`` in its all-pairs form, called once a state;
* ngspice: one process for a state, looping over the pairs.

Errors are the largest relative error over all pairs of one state, against exact fractions, up to 28 terminals;
oven-like values run from 0.02 ohm links to 500 Mohm of insulation, the others over nine decades.
"""

from __future__ import annotations

import argparse
import itertools
import sys
import time
from collections.abc import Callable
from pathlib import Path

import networkx as nx
import numpy as np

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS), str(TESTS / "circuit"), str(TESTS.parent / "src")]

from exact_networks import exact_resistances, worst_error  # noqa: E402

import spice  # noqa: E402
from probebook.circuit import resistances  # noqa: E402
from probebook.circuit.plan import pair_plan  # noqa: E402

Ends = list[tuple[int, int]]


def oven_like(n: int, states: int, rng: np.random.Generator) -> tuple[Ends, np.ndarray]:
    """Return branches and ohms ``(states, m)``: circuits from live through contacts and elements to neutral."""
    live, neutral, earth = 0, 1, 2
    ends: Ends = [(earth, neutral)]
    middle = [5e8]
    k = 3
    while k + 4 <= n:
        contact, tag, hot, cold = range(k, k + 4)
        ends += [(live, contact), (contact, tag), (tag, hot), (hot, cold), (cold, neutral), (hot, earth)]
        middle += [0.05, 0.1, 0.02, 26.45, 0.05, 1e8]
        k += 4
    for t in range(k, n):
        ends += [(t - 1, t), (t, neutral)]
        middle += [0.05, 2e3]
    return ends, np.array(middle) * np.exp(rng.normal(0, 0.5, (states, len(middle))))


def dense(n: int, states: int, rng: np.random.Generator) -> tuple[Ends, np.ndarray]:
    """Return branches between all terminals and ohms over nine decades."""
    ends = list(itertools.combinations(range(n), 2))
    return ends, 10.0 ** rng.uniform(-2, 7, (states, len(ends)))


def best_seconds(call: Callable[[], object], repeats: int) -> float:
    """Return the shortest time of several calls: others on the machine only ever add."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def graph_of(ends: Ends, ohms: np.ndarray) -> nx.Graph:
    """Return the state as networkx wants it; branches here are never parallel."""
    graph = nx.Graph()
    graph.add_nodes_from(range(1 + max(max(e) for e in ends)))
    graph.add_edges_from((a, b, {"ohms": float(r)}) for (a, b), r in zip(ends, ohms, strict=True))
    return graph


def networkx_all_pairs(graph: nx.Graph) -> dict[int, dict[int, float]]:
    """Return networkx's resistances between all pairs."""
    return nx.resistance_distance(graph, weight="ohms", invert_weight=True)


def square(values: dict[int, dict[int, float]]) -> np.ndarray:
    """Return a mapping of mappings as a matrix."""
    return np.array([[values[a][b] for b in sorted(values)] for a in sorted(values)])


def errors(n: int, ends: Ends, ohms: np.ndarray, theirs: np.ndarray) -> str:
    """Return the worst relative errors of one state: ours, networkx's, ngspice's."""
    exact = exact_resistances(n, ends, ohms.tolist())
    ours = worst_error(resistances(n, ends, ohms), exact)
    networkx_error = worst_error(square(networkx_all_pairs(graph_of(ends, ohms))), exact)
    ngspice_error = worst_error(theirs, exact)
    return f"{ours:9.1e}{networkx_error:10.1e}{ngspice_error:10.1e}"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--states", type=int, default=6144, help="states in a batch (fewer for 56 terminals)")
    states = parser.parse_args().states
    print(f"{'':22}{'ms a state':^38}{'times ours':^20}{'worst relative error':^29}")
    print(
        f"{'network':15}{'plan ms':>7}{'ours':>10}{'ours, one':>10}{'networkx':>9}{'ngspice':>9}"
        f"{'networkx':>10}{'ngspice':>10}{'ours':>9}{'networkx':>10}{'ngspice':>10}"
    )
    for kind, n in itertools.product((oven_like, dense), (8, 14, 28, 56)):
        rng = np.random.default_rng(n)
        ends, ohms = kind(n, states if n < 56 else states // 8, rng)
        pair_plan.cache_clear()
        plan = best_seconds(lambda e=ends, o=ohms, n=n: resistances(n, e, o[0]), 1)
        ours = best_seconds(lambda e=ends, o=ohms, n=n: resistances(n, e, o), 3) / len(ohms)
        one = best_seconds(lambda e=ends, o=ohms, n=n: resistances(n, e, o[0]), 5)
        plan -= one
        graph = graph_of(ends, ohms[0])
        theirs = best_seconds(lambda g=graph: networkx_all_pairs(g), 25)
        pairs = list(itertools.combinations(range(n), 2))
        state = ohms[0].tolist()
        spiced = best_seconds(lambda e=ends, r=state, p=pairs: spice.resistances(e, r, p, [0]), 2)
        matrix = np.zeros((n, n))
        matrix[tuple(np.array(pairs).T)] = spice.resistances(ends, state, pairs, [0])
        wrong = errors(n, ends, ohms[0], matrix + matrix.T) if n <= 28 else ""
        print(
            f"{kind.__name__ + f' {n}':15}{plan * 1e3:7.1f}{ours * 1e3:10.5f}{one * 1e3:10.3f}{theirs * 1e3:9.3f}"
            f"{spiced * 1e3:9.1f}{theirs / ours:10.0f}{spiced / ours:10.0f}{wrong}",
            flush=True,
        )


if __name__ == "__main__":
    main()
