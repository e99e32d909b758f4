"""Diagnosis by consistency: minimal conflicts, minimal candidates, and where to measure next.

The general theory behind 'one of these must be at fault': a *conflict* is a set of components that cannot all be sound
given what was observed; a *candidate* is a set of components whose fault explains everything, and the minimal
candidates are the minimal sets that hit every conflict (de Kleer and Williams 1987, Artificial Intelligence 32,
97-130; Reiter 1987, ibid. 57-95). Nothing here knows of appliances.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from itertools import combinations
from typing import TypeVar

T = TypeVar("T", bound=Hashable)
V = TypeVar("V", bound=Hashable)


def minimal_conflicts(components: Sequence[T], consistent: Callable[[frozenset[T]], bool]) -> tuple[frozenset[T], ...]:
    """The smallest sets of components that cannot all be sound, smaller ones first.

    ``consistent`` tells whether the observations can hold with exactly the components given assumed sound and nothing
    assumed of the others; it has to be true of every subset of a set of which it is true. Sets are tried by size:
    meant for the dozen components of a worked example.

    Parameters
    ----------
    components
        Names, or anything else that can be put into a set.
    consistent
        As above.

    Examples
    --------
    The polybox of de Kleer and Williams (1987): F = AC + BD is 10 where 12 was computed, G = BD + CE is 12 as it should
    be. A fault of M3 or A2 alone would show in G, unless M2 hides it.

    >>> def consistent(sound):
    ...     direct = {"A1", "M1", "M2"} <= sound
    ...     by_way_of_g = {"A1", "A2", "M1", "M3"} <= sound
    ...     return not (direct or by_way_of_g)
    >>> [sorted(conflict) for conflict in minimal_conflicts(["A1", "A2", "M1", "M2", "M3"], consistent)]
    [['A1', 'M1', 'M2'], ['A1', 'A2', 'M1', 'M3']]
    """
    found: list[frozenset[T]] = []
    for size in range(len(components) + 1):
        for chosen in combinations(components, size):
            sound = frozenset(chosen)
            if not any(conflict <= sound for conflict in found) and not consistent(sound):
                found.append(sound)
    return tuple(found)


def minimal_candidates(conflicts: Iterable[Iterable[T]]) -> tuple[frozenset[T], ...]:
    """The minimal sets that have something in common with every conflict, smaller ones first.

    No conflict leaves the empty candidate: everything may be sound. An empty conflict can be hit by nothing, so there
    is no candidate.

    Examples
    --------
    The four diagnoses of the polybox, from its two conflicts:

    >>> found = minimal_candidates([{"A1", "M1", "M2"}, {"A1", "A2", "M1", "M3"}])
    >>> [sorted(candidate) for candidate in found]
    [['A1'], ['M1'], ['A2', 'M2'], ['M2', 'M3']]
    """
    hitting: set[frozenset[T]] = {frozenset()}
    for conflict in map(frozenset, conflicts):
        hit = {h for h in hitting if h & conflict}
        widened = {h | {c} for h in hitting - hit for c in conflict}
        hitting = hit | {w for w in widened if not any(h <= w for h in hit)}
    minimal = {h for h in hitting if not any(other < h for other in hitting)}
    return tuple(sorted(minimal, key=lambda h: (len(h), sorted(map(str, h)))))


def expected_entropy(weights: Mapping[T, float], predicted: Mapping[T, V | None]) -> float:
    """Entropy in bits that is expected to be left after one measurement (the rule of de Kleer and Williams).

    Parameters
    ----------
    weights
        Weight of each candidate; they need not sum to 1.
    predicted
        The value each candidate predicts for the measurement; None where it predicts nothing. Those that predict
        nothing are shared evenly over the values that others predict.

    Raises
    ------
    ValueError
        All weights are nought.
    """
    whole = math.fsum(weights.values())
    if whole <= 0.0:
        raise ValueError("the weights of the candidates are all nought; give at least one more than that")
    values = list(dict.fromkeys(v for c in weights if (v := predicted[c]) is not None))
    if not values:
        return entropy([w / whole for w in weights.values()])
    left = 0.0
    for value in values:
        shares = [
            w / whole if predicted[c] == value else w / whole / len(values)
            for c, w in weights.items()
            if predicted[c] in (value, None)
        ]
        chance = math.fsum(shares)
        if chance > 0.0:
            left += chance * entropy([s / chance for s in shares])
    return left


def entropy(probabilities: Iterable[float]) -> float:
    """Entropy in bits of probabilities that sum to 1."""
    return -math.fsum(p * math.log2(p) for p in probabilities if p > 0.0)
