"""Which leakage paths an insulation test finds between its probes.

A test at hundreds of volts finds megohms; an element, a lamp, a winding or a burnt joint in its way is nothing beside
them. So what conducts joins terminals to *pieces*, and the test finds the conductances of the paths between the pieces
its probes are on, in parallel. What has thousands of ohms without being insulation (a neon and its resistor) stands in
series with all that lies behind it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, BranchKind, branch_ends
from probebook.circuit import piece_numbers, resistances_for

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: What conducts with fewer ohms than this joins its ends: a tenth of the last digit of an insulation test.
JOINS = 1e3

#: Mean and standard deviation of ln of siemens of one path, or of several in parallel.
Law = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Path:
    """A leakage path that a test reaches.

    Attributes
    ----------
    name
        What it is: equal for the same path in another test, and for no other. A damp path that has been dried is
        another.
    laws
        How its siemens are distributed: the laws of what stands in series along it, nearly always one.
    series
        Ohms between it and the probes that matter beside it, nearly always nought.
    piece
        The piece it is reached through where there are such ohms: paths of one piece share them.
    """

    name: tuple[object, ...]
    laws: tuple[Law, ...]
    series: float = 0.0
    piece: int = 0


@dataclass(frozen=True, slots=True)
class Leaks:
    """What a test finds between its probes: paths in parallel, and siemens of plain conductors beside them."""

    paths: tuple[Path, ...]
    shunt: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class LeaksTable:
    """What a test finds under every hypothesis: the different cases, and which each is, shape ``(h,)``."""

    kinds: tuple[Leaks, ...]
    back: IntArray

    def same(self, other: LeaksTable) -> NDArray[np.bool_]:
        """Under which hypotheses another test finds the very same, shape ``(h,)``."""
        alike = np.array([[one == two for two in other.kinds] for one in self.kinds])
        return np.asarray(alike[self.back, other.back], dtype=np.bool_)


def leaks_between(
    appliance: Appliance,
    ohms: FloatArray,
    deviation: FloatArray,
    leaks: NDArray[np.bool_],
    probes: tuple[int, int],
    ends: IntArray | None = None,
) -> LeaksTable:
    """What a test between two terminals finds in each state of the branches.

    Parameters
    ----------
    appliance, probes
        What is tested, between which terminals (their numbers).
    ohms, deviation
        Median ohms of each branch in each state and the standard deviation of their logarithm, shape ``(h, m)``;
        ``inf`` is open.
    leaks
        Which branches are leakage paths in each state, shape ``(h, m)``.
    ends
        Terminals that each branch joins, shape ``(m, 2)``, where they are not those of the appliance.
    """
    joins = branch_ends(appliance) if ends is None else ends
    insulation = np.array([b.kind is BranchKind.INSULATION for b in appliance.branches])
    leaks = (leaks | insulation) & np.isfinite(ohms)
    joined = ~leaks & (ohms < JOINS)
    other = np.where(joined | ~np.isfinite(ohms), 0.0, ohms)
    rows = np.concatenate([joined, leaks, other, np.where(leaks, deviation, 0.0)], axis=1)
    found: dict[bytes, Leaks] = {}
    places: dict[Leaks, int] = {}
    back: list[int] = []
    for row, key in enumerate(map(bytes, rows)):
        if key not in found:
            found[key] = _Pieces.of(appliance, joined[row], joins).leaks(ohms[row], deviation[row], leaks[row], probes)
        back.append(places.setdefault(found[key], len(places)))
    return LeaksTable(tuple(places), np.array(back, dtype=np.intp))


@dataclass(frozen=True, slots=True, eq=False)
class _Pieces:
    """The pieces that conductors make of the terminals: a number for both ends of every branch, and for a terminal."""

    at: list[int]
    ends: IntArray

    @classmethod
    def of(cls, appliance: Appliance, joined: NDArray[np.bool_], ends: IntArray) -> _Pieces:
        """Join the ends of every branch that conducts; a piece has the number of its first terminal."""
        return cls(piece_numbers(len(appliance.terminals), ends[joined]), ends)

    def leaks(
        self, ohms: FloatArray, deviation: FloatArray, leaks: NDArray[np.bool_], probes: tuple[int, int]
    ) -> Leaks:
        """What a test finds between two terminals."""
        here, there = (self.at[t] for t in probes)
        if here == there:
            return Leaks((), np.inf)
        between: dict[frozenset[int], list[int]] = {}
        beside: dict[frozenset[int], float] = {}
        for i in np.flatnonzero(np.isfinite(ohms) & (leaks | (ohms >= JOINS))).tolist():
            pair = frozenset(self.at[t] for t in self.ends[i].tolist())
            if len(pair) == 2 and leaks[i]:
                between.setdefault(pair, []).append(i)
            elif len(pair) == 2:
                beside[pair] = 1.0 / (1.0 / float(ohms[i]) + 1.0 / beside.get(pair, np.inf))
        laws = {i: (-float(np.log(ohms[i])), float(deviation[i])) for each in between.values() for i in each}
        paths = [Path((i, *laws[i]), ((laws[i],),)) for i in between.get(frozenset((here, there)), [])]
        paths += _behind(between, beside, laws, (here, there))
        paths += _in_series(between, laws, (here, there))
        return Leaks(tuple(paths), 1.0 / _through(beside, (here, there)))


_Between = dict[frozenset[int], list[int]]
_Laws = dict[int, tuple[float, float]]


def _through(beside: dict[frozenset[int], float], probes: tuple[int, int]) -> float:
    """Ohms between the pieces of the probes by way of resistors alone, one or several on the way; ``inf`` for none."""
    if len(beside) < 2 or not all(any(probe in pair for pair in beside) for probe in probes):
        return beside.get(frozenset(probes), np.inf)
    pieces = sorted({piece for pair in beside for piece in pair})
    ends = np.array([sorted(map(pieces.index, pair)) for pair in beside], dtype=np.intp)
    pair = [pieces.index(probe) for probe in probes]
    return float(resistances_for(len(pieces), ends, np.array([list(beside.values())]), [pair])[0, 0])


def _behind(
    between: _Between, beside: dict[frozenset[int], float], laws: _Laws, probes: tuple[int, int]
) -> Iterator[Path]:
    """Paths of pieces that one resistor parts from a probe's."""
    for pair, series in beside.items():
        for probe, other in (probes, probes[::-1]):
            if probe in pair and other not in pair:
                (piece,) = pair - {probe}
                for i in between.get(frozenset((piece, other)), []):
                    yield Path((i, *laws[i]), ((laws[i],),), series, piece)


def _in_series(between: _Between, laws: _Laws, probes: tuple[int, int]) -> Iterator[Path]:
    """Paths by way of a third piece, such as metalwork: all that leads there in series with all that leads on.

    They count as paths of their own, apart from what other tests find of either half.
    """
    here, there = probes
    for piece in sorted({p for pair in between for p in pair} - {here, there}):
        halves = [between.get(frozenset((probe, piece)), []) for probe in (here, there)]
        if all(halves):
            both = tuple(tuple(sorted(laws[i] for i in half)) for half in halves)
            yield Path((piece, *both), both)


__all__ = ["Law", "Leaks", "LeaksTable", "Path", "leaks_between"]
