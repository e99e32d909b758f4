"""Diagnosis by consistency, against the published polybox example.

Source: de Kleer and Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987) 97-130,
doi 10.1016/0004-3702(87)90063-4. Circuit: X = A·C (M1), Y = B·D (M2), Z = C·E (M3), F = X + Y (A1), G = Y + Z (A2) with
A = 3, B = 2, C = 2, D = 3, E = 3; observed F = 10, G = 12. The sets are from memory of the paper; that they follow is
worked out here again, by rational arithmetic on the equations.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from itertools import combinations

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from probebook.diagnosis.probability.conflicts import entropy, expected_entropy, minimal_candidates, minimal_conflicts

COMPONENTS = ("A1", "A2", "M1", "M2", "M3")
# Each sound component as an equation: coefficients of X, Y, Z, F, G, and the right-hand side.
EQUATIONS = {
    "M1": ((1, 0, 0, 0, 0), 6),
    "M2": ((0, 1, 0, 0, 0), 6),
    "M3": ((0, 0, 1, 0, 0), 6),
    "A1": ((1, 1, 0, -1, 0), 0),
    "A2": ((0, 1, 1, 0, -1), 0),
}
OBSERVED = {"F": 10, "G": 12}
UNKNOWN = "XYZFG"


def reduced(sound: frozenset[str], observed: Mapping[str, int]) -> list[list[Fraction]]:
    """The equations of sound components and observations in reduced row echelon form, right-hand side last."""
    rows = [[*map(Fraction, EQUATIONS[c][0]), Fraction(EQUATIONS[c][1])] for c in sorted(sound)]
    for name, value in observed.items():
        rows.append([Fraction(int(u == name)) for u in UNKNOWN] + [Fraction(value)])
    done = 0
    for column in range(len(UNKNOWN)):
        pivot = next((r for r in range(done, len(rows)) if rows[r][column]), None)
        if pivot is None:
            continue
        rows[done], rows[pivot] = rows[pivot], rows[done]
        rows[done] = [x / rows[done][column] for x in rows[done]]
        for r in range(len(rows)):
            if r != done and rows[r][column]:
                factor = rows[r][column]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[done], strict=True)]
        done += 1
    return rows


def consistent(sound: frozenset[str], observed: Mapping[str, int]) -> bool:
    """Whether the equations have a solution."""
    return not any(row[-1] and not any(row[:-1]) for row in reduced(sound, observed))


def value_of(name: str, sound: frozenset[str], observed: Mapping[str, int]) -> Fraction | None:
    """The value the equations force on an unknown; None where they leave it free."""
    column = UNKNOWN.index(name)
    for row in reduced(sound, observed):
        if row[column] and sum(map(bool, row[:-1])) == 1:
            return row[-1]
    return None


def conflicts(observed: Mapping[str, int]) -> set[frozenset[str]]:
    """The minimal conflicts by the function under test."""
    return set(minimal_conflicts(COMPONENTS, lambda sound: consistent(sound, observed)))


def sets(*names: str) -> set[frozenset[str]]:
    """Sets written as 'A1 M1 M2'."""
    return {frozenset(name.split()) for name in names}


@pytest.mark.parametrize(
    ("more", "expected", "candidates"),
    [
        ({}, ("A1 M1 M2", "A1 A2 M1 M3"), ("A1", "M1", "A2 M2", "M2 M3")),
        ({"X": 4}, ("M1",), ("M1",)),
        ({"X": 6}, ("A1 M2", "A1 A2 M3"), ("A1", "M2 M3", "A2 M2")),
    ],
)
def test_polybox_sets(more: dict[str, int], expected: tuple[str, ...], candidates: tuple[str, ...]) -> None:
    """The polybox has the published minimal conflicts and candidates, before and after X is measured."""
    found = conflicts(OBSERVED | more)
    assert found == sets(*expected)
    assert set(minimal_candidates(found)) == sets(*candidates)


def test_polybox_has_27_candidates_and_m2_alone_is_none() -> None:
    """27 of the 32 sets of faulty components explain the polybox, and M2 alone does not, because G would not be 12.

    A forward-chaining example in another project's collection does name M2 alone: this tells the two apart.
    """
    found = conflicts(OBSERVED)
    every = [frozenset(c) for size in range(6) for c in combinations(COMPONENTS, size)]
    explaining = [c for c in every if all(c & conflict for conflict in found)]
    assert len(explaining) == 27
    assert [c for c in every if consistent(frozenset(COMPONENTS) - c, OBSERVED)] == explaining
    assert frozenset({"M2"}) not in explaining


@pytest.mark.parametrize(
    ("p", "m", "single", "before", "after"),
    [
        (0.01, 2, 0.487563, 1.222856, {"X": 0.227925, "Y": 1.177542, "Z": 1.197553}),
        (0.01, 10, 0.495470, 1.086995, {"X": 0.092026, "Y": 1.075446, "Z": 1.080672}),
        (0.01, 100, 0.497285, 1.046590, {"X": 0.051616, "Y": 1.045093, "Z": 1.045785}),
    ],
)
def test_polybox_next_measurement(p: float, m: int, single: float, before: float, after: dict[str, float]) -> None:
    """The rule of the paper gives the entropies computed for the polybox, and X is the best next measurement.

    The rule is the paper's, and so is the conclusion that X is best. The figures were computed apart from this
    project's code (prior p a component, likelihood 1/m for an observation that a candidate does not predict).
    """
    found = conflicts(OBSERVED)
    weights: dict[frozenset[str], float] = {}
    for size in range(6):
        for faulty in map(frozenset, combinations(COMPONENTS, size)):
            sound = frozenset(COMPONENTS) - faulty
            if all(faulty & c for c in found):
                # F was observed first, then G in the light of it.
                unpredicted = (value_of("F", sound, {}) is None) + (value_of("G", sound, {"F": 10}) is None)
                weights[faulty] = p**size * (1 - p) ** (5 - size) / m**unpredicted
    whole = sum(weights.values())
    assert weights[frozenset({"M1"})] / whole == pytest.approx(single, abs=1e-6)
    assert entropy([w / whole for w in weights.values()]) == pytest.approx(before, abs=1e-6)
    expected = {
        name: expected_entropy(weights, {c: value_of(name, frozenset(COMPONENTS) - c, OBSERVED) for c in weights})
        for name in "XYZ"
    }
    assert expected == pytest.approx(after, abs=1e-6)
    assert min(expected, key=lambda name: expected[name]) == "X"


@given(st.lists(st.sets(st.integers(0, 6), min_size=1), max_size=6))
def test_candidates_are_the_minimal_hitting_sets(families: list[set[int]]) -> None:
    """The minimal candidates are exactly the sets that hit every conflict and lose that with any member left out."""
    found = set(minimal_candidates(families))
    every = [frozenset(c) for size in range(8) for c in combinations(range(7), size)]
    hitting = [c for c in every if all(c & f for f in families)]
    assert found == {c for c in hitting if not any(other < c for other in hitting)}


def test_candidates_of_a_graph_are_its_minimal_vertex_covers() -> None:
    """With edges as conflicts the candidates are the complements of the maximal independent sets (networkx cliques)."""
    graph = networkx.petersen_graph()
    cliques = networkx.find_cliques(networkx.complement(graph))
    covers = {frozenset(graph) - frozenset(clique) for clique in cliques}
    assert set(minimal_candidates(graph.edges)) == covers


def test_what_cannot_be_hit_has_no_candidate() -> None:
    """No conflict leaves everything sound; a conflict of nothing leaves no candidate at all."""
    assert minimal_candidates([]) == (frozenset(),)
    assert minimal_candidates([set()]) == ()
    with pytest.raises(ValueError, match="nought"):
        expected_entropy({"a": 0.0}, {"a": None})
    assert math.isclose(expected_entropy({"a": 1.0, "b": 1.0}, {"a": None, "b": None}), 1.0)
