"""Resistance between terminals, against exact fractions, textbook networks, networkx and ngspice."""

from __future__ import annotations

import itertools
import math

import networkx as nx
import numpy as np
import pytest
from exact_networks import (
    connected_networks,
    decades,
    exact_resistances,
    networks,
    worst_error,
)
from hypothesis import given, settings
from hypothesis import strategies as st

import spice
from probebook import circuit
from probebook.circuit import conductance_matrix, resistance_between, resistance_matrix, resistances, resistances_for

Network = tuple[int, list[tuple[int, int]], list[float]]


def pinv_resistances(n: int, ends: list[tuple[int, int]], ohms: list[float]) -> np.ndarray:
    """The textbook way: R_ij = P_ii + P_jj - 2 P_ij with P the pseudo-inverse of the Laplacian."""
    laplacian = np.zeros((n, n))
    for (a, b), r in zip(ends, ohms, strict=True):
        if a != b and math.isfinite(r):
            laplacian[[a, b], [a, b]] += 1 / r
            laplacian[[a, b], [b, a]] -= 1 / r
    p = np.linalg.pinv(laplacian, hermitian=True)
    diagonal = np.diag(p)
    return diagonal[:, None] + diagonal[None, :] - 2 * p


@given(networks())
def test_every_pair_agrees_with_exact_fractions(network: Network) -> None:
    """Whatever the network, twelve decades, shorts and opens included, each resistance is right to 1e-12."""
    assert worst_error(resistances(*network), exact_resistances(*network)) <= 1e-12


@given(connected_networks(st.floats(-6, 12).map(lambda e: 10.0**e), most=6))
def test_eighteen_decades_lose_nothing(network: Network) -> None:
    """From a microohm to a teraohm in one network, each resistance is still right to 1e-12."""
    assert worst_error(resistances(*network), exact_resistances(*network)) <= 1e-12


def test_a_pseudo_inverse_loses_digits_that_elimination_keeps() -> None:
    """On networks over twelve decades NumPy's pseudo-inverse errs by more than 1e-10, elimination by 1e-12 at most."""
    rng = np.random.default_rng(20)
    worse = 0
    for _ in range(40):
        n = int(rng.integers(4, 8))
        ends = [(int(rng.integers(t)), t) for t in range(1, n)] + [
            (int(a), int(b)) for a, b in rng.integers(n, size=(n, 2)) if a != b
        ]
        ohms = (10.0 ** rng.uniform(-3, 9, len(ends))).tolist()
        exact = exact_resistances(n, ends, ohms)
        assert worst_error(resistances(n, ends, ohms), exact) <= 1e-12
        worse += worst_error(pinv_resistances(n, ends, ohms), exact) > 1e-10
    assert worse >= 20, "the spread of values was meant to defeat the pseudo-inverse"


def test_a_link_beside_insulation_keeps_both() -> None:
    """0.05 ohm links in a loop with 500 Mohm of insulation read as the formula says, to the last digits."""
    # 0 -0.05- 1 -0.05- 2, and 500 Mohm from 2 to 3 and from 3 to 0.
    found = resistances(4, [(0, 1), (1, 2), (2, 3), (3, 0)], [0.05, 0.05, 5e8, 5e8])
    assert found[0, 1] == pytest.approx(0.05 * (0.05 + 1e9) / (0.1 + 1e9), rel=1e-15)
    assert found[0, 3] == pytest.approx(5e8 * (5e8 + 0.1) / (1e9 + 0.1), rel=1e-15)


def test_series_add_and_parallels_combine_by_reciprocals() -> None:
    """Series: the sum. Parallel: one over the sum of reciprocals."""
    r = [47.0, 33.0, 68.5]
    assert resistances(4, [(0, 1), (1, 2), (2, 3)], r)[0, 3] == pytest.approx(sum(r), rel=1e-15)
    assert resistances(2, [(0, 1), (1, 0), (0, 1)], r)[0, 1] == pytest.approx(1 / sum(1 / x for x in r), rel=1e-15)


def test_an_unbalanced_wheatstone_bridge_follows_the_delta_star_formula() -> None:
    """The input resistance of a bridge equals that of its delta-star equivalent (Kennelly 1899)."""
    r1, r2, r3, r4, r5 = 100.0, 220.0, 150.0, 90.0, 330.0  # a-c, a-d, c-b, d-b, c-d
    total = r1 + r2 + r5  # delta a, c, d to star
    a, c, d = r1 * r2 / total, r1 * r5 / total, r2 * r5 / total
    expected = a + (c + r3) * (d + r4) / (c + r3 + d + r4)
    found = resistances(4, [(0, 2), (0, 3), (2, 1), (3, 1), (2, 3)], [r1, r2, r3, r4, r5])
    assert found[0, 1] == pytest.approx(expected, rel=1e-14)


def test_a_balanced_bridge_does_not_see_its_middle() -> None:
    """With equal ratios the bridge resistance is the same whatever joins the middle: open, short or anything."""
    ends = [(0, 2), (0, 3), (2, 1), (3, 1), (2, 3)]
    ohms = [[10, 20, 30, 60, middle] for middle in (math.inf, 0.0, 1e-3, 7.0, 1e9)]
    np.testing.assert_allclose(resistances(4, ends, ohms)[:, 0, 1], 40 * 80 / 120, rtol=1e-14)


def test_the_resistor_cube() -> None:
    """Twelve equal resistors along a cube's edges give 7/12, 3/4 and 5/6 of one (the textbook cube)."""
    ends = [(a, a ^ bit) for a in range(8) for bit in (1, 2, 4) if a < a ^ bit]
    found = resistances(8, ends, np.ones(12))
    steps = {1: 7 / 12, 2: 3 / 4, 3: 5 / 6}
    for a, b in itertools.combinations(range(8), 2):
        assert found[a, b] == pytest.approx(steps[(a ^ b).bit_count()], rel=1e-14)


@pytest.mark.parametrize("n", [2, 3, 10, 56])
def test_a_complete_graph_of_equal_resistors(n: int) -> None:
    """All joined to all by one ohm: two n-ths of an ohm between any two (Klein and Randić 1993)."""
    ends = list(itertools.combinations(range(n), 2))
    found = resistances(n, ends, np.ones((3, len(ends))))
    np.testing.assert_allclose(found, np.broadcast_to(2 / n * (1 - np.eye(n)), (3, n, n)), rtol=1e-14)


def test_a_ladder_gives_ratios_of_fibonacci_numbers() -> None:
    """A ladder of k sections of equal resistors has input resistance F(2k+1) / F(2k) (classical)."""
    fibonacci = [0, 1]
    while len(fibonacci) < 45:
        fibonacci.append(fibonacci[-1] + fibonacci[-2])
    for k in (1, 2, 5, 20):
        ends = [(0 if s == 1 else s, s + 1) for s in range(1, k + 1)] + [(s + 1, 1) for s in range(1, k + 1)]
        found = resistances_for(k + 2, ends, np.ones(2 * k), [(0, 1)])
        assert found[0] == pytest.approx(fibonacci[2 * k + 1] / fibonacci[2 * k], rel=1e-14)


@given(networks())
def test_foster_s_theorem(network: Network) -> None:
    """Over the resistors of a network, the sum of R_ab / r is terminals less parts (Foster 1949)."""
    n, ends, ohms = network
    graph = nx.Graph()
    graph.add_nodes_from(range(n))
    kept = [(e, r) for e, r in zip(ends, ohms, strict=True) if 0 < r < math.inf]
    graph.add_edges_from(e for e, _ in kept)
    found = resistances(n, [e for e, _ in kept], [r for _, r in kept])
    total = sum(found[a, b] / r for (a, b), r in kept)
    assert total == pytest.approx(n - nx.number_connected_components(graph), abs=1e-11)


@given(connected_networks(st.floats(0, 4).map(lambda e: 10.0**e)))
@settings(max_examples=60)
def test_networkx_agrees(network: Network) -> None:
    """On connected networks of tame values networkx's resistance distance is the same to 1e-9."""
    n, ends, ohms = network
    siemens = conductance_matrix(n, ends, ohms)
    graph = nx.Graph()
    graph.add_nodes_from(range(n))
    for a, b in itertools.combinations(range(n), 2):
        if siemens[a, b]:
            graph.add_edge(a, b, ohms=1 / siemens[a, b])
    theirs = nx.resistance_distance(graph, weight="ohms", invert_weight=True)
    ours = resistances(n, ends, ohms)
    np.testing.assert_allclose(ours, [[theirs[a][b] for b in range(n)] for a in range(n)], rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_ngspice_agrees(seed: int) -> None:
    """ngspice measures the same resistance to 1e-9 between every two terminals of a part, shorts included."""
    rng = np.random.default_rng(seed)
    ends = [(int(rng.integers(t)), t) for t in range(1, 9)]  # one part: terminals 0 to 8; a tree, so no loop of shorts
    ohms = (10.0 ** rng.uniform(0, 4, 8)).tolist()
    ohms[3] = 0.0
    more = [(int(a), int(b)) for a, b in rng.integers(9, size=(7, 2)) if a != b]
    ends += more
    ohms += (10.0 ** rng.uniform(0, 4, len(more))).tolist()
    ends += [(9, 10), (10, 11), (8, 11)]  # another part: 9 to 11, cut off by an open branch
    ohms += [12.0, 34.0, math.inf]
    pairs = [*itertools.combinations(range(9), 2), *itertools.combinations((9, 10, 11), 2)]
    ours = resistances_for(12, ends, ohms, pairs)
    theirs = spice.resistances(ends, ohms, pairs, grounded=[0, 9])
    np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-9)
    assert np.isinf(resistances(12, ends, ohms)[:9, 9:]).all()


@given(networks())
def test_symmetry_and_the_triangle(network: Network) -> None:
    """R_ab = R_ba, R_aa = 0 and R_ac <= R_ab + R_bc (resistance is a distance: Klein and Randić 1993)."""
    found = resistances(*network)
    assert (found == found.T).all()
    assert (np.diag(found) == 0).all()
    assert (found >= 0).all()
    detours = found[:, :, None] + found[None, :, :]  # a, b, c
    assert (found[:, None, :] <= detours * (1 + 1e-13)).all()


@given(networks(), st.data())
def test_raising_a_resistance_lowers_nothing(network: Network, data: st.DataObject) -> None:
    """Rayleigh's monotonicity law: when one branch rises, no resistance between terminals falls."""
    n, ends, ohms = network
    k = data.draw(st.integers(0, len(ends) - 1))
    raised = list(ohms)
    raised[k] = data.draw(st.sampled_from([ohms[k] + 1.0, 3.0 * ohms[k], math.inf]))
    before, after = resistances(n, ends, [ohms, raised])
    assert (after >= before * (1 - 1e-13)).all()


@given(networks())
def test_all_ways_to_ask_agree(network: Network) -> None:
    """The matrix way, the chosen pairs and the single pair give what the branches give."""
    n, ends, ohms = network
    found = resistances(n, ends, ohms)
    matrix = conductance_matrix(n, ends, ohms)
    np.testing.assert_allclose(resistance_matrix(matrix), found, rtol=1e-13)
    pairs = [(a, b) for a in range(n) for b in range(n)]
    np.testing.assert_allclose(resistances_for(n, ends, ohms, pairs), found.ravel(), rtol=1e-13)
    np.testing.assert_allclose(resistance_between(matrix, 0, n - 1), found[0, n - 1], rtol=1e-13)


@pytest.mark.parametrize(("shape", "n"), [((2, 3), 7), ((5000,), 5), ((1,), 9), ((2, 1, 2), 3), ((0,), 4)])
def test_a_batch_is_its_states_one_by_one(shape: tuple[int, ...], n: int) -> None:
    """A batch of states gives the very bits that each state gives alone, over chunk borders too."""
    rng = np.random.default_rng(n)
    ends = rng.integers(n, size=(2 * n, 2))
    ohms = 10.0 ** rng.uniform(-3, 9, (*shape, 2 * n))
    ohms[rng.random(ohms.shape) < 0.2] = math.inf
    ohms[rng.random(ohms.shape) < 0.1] = 0.0
    found = resistances(n, ends, ohms)
    assert found.shape == (*shape, n, n)
    by_matrix = resistance_matrix(conductance_matrix(n, ends, ohms))
    np.testing.assert_allclose(by_matrix, found, rtol=1e-13)
    for state in list(np.ndindex(shape))[::7] + list(np.ndindex(shape))[-1:]:
        np.testing.assert_array_equal(found[state], resistances(n, ends, ohms[state]))


@pytest.mark.parametrize("n", [14, 33, 56])
def test_large_networks_meet_foster_s_theorem(n: int) -> None:
    """Random networks up to 56 terminals, sparse and dense, sum R_ab / r to terminals less one (Foster 1949)."""
    rng = np.random.default_rng(n)
    tree = [(int(rng.integers(t)), t) for t in range(1, n)]
    for more in (
        [],
        [(int(a), int(b)) for a, b in rng.integers(n, size=(n // 3, 2))],
        list(itertools.combinations(range(n), 2)),
    ):
        ends = np.array(tree + more)
        ohms = 10.0 ** rng.uniform(-3, 9, (3, len(ends)))
        between = resistances_for(n, ends, ohms, ends)
        np.testing.assert_allclose((between / ohms).sum(axis=-1), n - 1, rtol=1e-12)


def test_disconnected_is_infinite_and_joined_by_shorts_is_nought() -> None:
    """No path reads inf, a path of dead shorts 0, and neither disturbs the readings beside them."""
    ends = [(0, 1), (1, 2), (2, 3), (4, 5), (5, 6), (0, 3)]
    found = resistances(8, ends, [0.0, 0.0, 40.0, 25.0, math.inf, 60.0])
    assert found[0, 2] == 0
    assert found[0, 3] == pytest.approx(24.0, rel=1e-15)
    assert found[4, 5] == 25
    assert np.isinf(found[0, 4:]).all()
    assert np.isinf(found[6, :6]).all()
    assert np.isinf(found[7, :7]).all()


@given(networks(st.sampled_from([0.0, math.inf, 5.0])))
def test_shorts_act_as_merged_terminals(network: Network) -> None:
    """A network with dead shorts reads as the one with the shorted terminals made one."""
    n, ends, ohms = network
    shorts = nx.Graph()
    shorts.add_nodes_from(range(n))
    shorts.add_edges_from(e for e, r in zip(ends, ohms, strict=True) if r == 0)
    name = {t: min(part) for part in nx.connected_components(shorts) for t in part}
    kept = [((name[a], name[b]), r) for (a, b), r in zip(ends, ohms, strict=True) if r > 0]
    alone = resistances(n, [e for e, _ in kept], [r for _, r in kept])
    index = [name[t] for t in range(n)]
    np.testing.assert_allclose(resistances(n, ends, ohms), alone[np.ix_(index, index)], rtol=1e-14)


def test_the_conductance_matrix_is_sums_of_reciprocals() -> None:
    """Parallels add in siemens, open is 0 S, a dead short inf S, a branch onto itself nothing."""
    found = conductance_matrix(4, [(0, 1), (1, 0), (2, 2), (1, 2), (2, 3)], [4.0, 4.0, 1.0, math.inf, 0.0])
    expected = np.zeros((4, 4))
    expected[0, 1] = expected[1, 0] = 0.5
    expected[2, 3] = expected[3, 2] = math.inf
    np.testing.assert_array_equal(found, expected)


def test_nothing_to_measure() -> None:
    """No terminals, one terminal, no branches, no states and no pairs give empty, nought and infinite answers."""
    none = np.zeros((0, 2), dtype=int)
    assert resistances(0, none, np.zeros(0)).shape == (0, 0)
    assert resistances(1, none, np.zeros((2, 0))).tolist() == [[[0.0]], [[0.0]]]
    assert resistances(2, none, np.zeros(0)).tolist() == [[0.0, math.inf], [math.inf, 0.0]]
    assert resistances_for(2, [(0, 1)], [[3.0]], []).shape == (1, 0)
    assert resistance_matrix(np.zeros((0, 3, 3))).shape == (0, 3, 3)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: resistances(2, [(0, 1)], [-1.0]), "-1.0 ohm"),
        (lambda: conductance_matrix(2, [(0, 1)], [math.nan]), "nan ohm"),
        (lambda: resistances(2, [(0, 2)], [1.0]), "terminal 2"),
        (lambda: resistances(2, [(-1, 1)], [1.0]), "terminal -1"),
        (lambda: resistances(2, [(0.0, 1.0)], [1.0]), "whole numbers"),
        (lambda: resistances(2, [(0, 1, 1)], [1.0]), "a branch has two terminals"),
        (lambda: resistances(2, [(0, 1)], [1.0, 2.0]), "1 branches"),
        (lambda: resistances(2, [(0, 1)], 1.0), "1 branches"),
        (lambda: resistances_for(2, [(0, 1)], [1.0], [(0, 2)]), "a pair has terminal 2"),
        (lambda: resistances_for(2, [(0, 1)], [1.0], [[0.0, 1.0]]), "whole numbers"),
        (lambda: resistance_between(np.zeros((2, 2)), 0, -1), "no terminal -1"),
        (lambda: resistance_matrix(np.zeros((2, 3))), "shape"),
        (lambda: resistance_matrix([[0.0, 1.0], [2.0, 0.0]]), "symmetric"),
        (lambda: resistance_matrix([[0.0, math.nan], [math.nan, 0.0]]), "not a number"),
    ],
)
def test_what_cannot_be_a_network_is_refused(call: object, says: str) -> None:
    """Negative or missing values, unknown terminals and misfitting shapes are ValueErrors that say what is wrong."""
    with pytest.raises(ValueError, match=says):
        call()  # type: ignore[operator]


@given(st.lists(decades, min_size=3, max_size=3))
def test_minus_nought_is_nought(ohms: list[float]) -> None:
    """A resistance of -0.0 is a dead short like 0.0."""
    ends = [(0, 1), (1, 2), (0, 2), (0, 1)]
    assert (resistances(3, ends, [*ohms, -0.0]) == resistances(3, ends, [*ohms, 0.0])).all()


def test_what_is_public_is_named_in_order() -> None:
    """The floor exports a sorted list of names, each of them there and documented."""
    assert circuit.__all__ == sorted(circuit.__all__)
    assert all(getattr(circuit, name).__doc__ for name in circuit.__all__)
