"""What flows when some terminals are held at a voltage.

Terminals that are not held are eliminated one by one, as for resistance; then the steps are undone. A terminal
with conductances ``g_i`` to its neighbours sits at the mean of their potentials with weights ``g_i / sum g``,
and the voltage from it to a neighbour ``j`` is the mean, with the same weights, of the voltages from each
neighbour to ``j``. Voltages across branches are carried along as such and never had by subtracting two
potentials: the microamperes that leak through a 0.05 Ω link at 230 V come out as exactly as the amperes beside
them. Only currents that oppose each other in the network itself, as in a balanced bridge or in the neutral of a
balanced star, cancel.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from numpy.typing import ArrayLike

from probebook.circuit.extremes import NOUGHT, FloatArray, finite_or_inf, shorted, workable
from probebook.circuit.network import Edge, IntArray, branch_conductances, check_terminal, structure
from probebook.circuit.plan import ZERO_ROW, HeldPlan, Removal, held_plan
from probebook.circuit.replay import Call, chunk_size, star_mesh, workspace


@dataclass(frozen=True, slots=True)
class Energised:
    """What each part of an energised network does, in each state.

    Parameters
    ----------
    volts
        Shape ``(..., n)``: potential of each terminal; not a number where no path leads to a held one.
    amps
        Shape ``(..., m)``: current in each branch from its first end to its second.
    watts
        Shape ``(..., m)``: power turned to heat in each branch.
    supplied
        Shape ``(..., len(held))``: current out of each held terminal into the network, in the order held.
    phasors
        None where all that is held is in step. Else shape ``(2, ..., n)``, the potentials in phase and a quarter of a
        period ahead, and volts, amperes of branches and of held terminals are magnitudes (effective values).
    """

    volts: FloatArray
    amps: FloatArray
    watts: FloatArray
    supplied: FloatArray
    phasors: FloatArray | None = None

    def between(self, a: int, b: int) -> FloatArray:
        """Volts that a meter shows between two terminals, shape ``(...)``; not a number where one of them floats."""
        return volts_between(self.volts, self.phasors, a, b)


def volts_between(volts: FloatArray, phasors: FloatArray | None, a: int, b: int) -> FloatArray:
    """Magnitude of the volts between terminals, ``(...)``, of potentials ``(..., n)`` or phasors ``(2, ..., n)``."""
    if phasors is None:
        return np.asarray(np.abs(volts[..., a] - volts[..., b]))
    return _magnitude(phasors[0, ..., a] - phasors[0, ..., b], phasors[1, ..., a] - phasors[1, ..., b])


def energise(n: int, ends: ArrayLike, ohms: ArrayLike, held: Mapping[int, complex]) -> Energised:
    """Return potentials, currents and powers when some terminals are held at a voltage.

    Alternating voltages of one frequency may be out of step, as the lines of a three-phase supply are: each is then a
    phasor, a complex number of volts. Resistances have no phase, so that what the parts in phase do and what the parts
    in quadrature do are two solutions in real numbers, and what is found is their sum at right angles (superposition).

    Parameters
    ----------
    n
        Number of terminals.
    ends
        Shape ``(m, 2)``: the terminals of each branch, 0 to ``n - 1``.
    ohms
        Shape ``(..., m)``: resistance of each branch in each state; ``inf`` is open, 0 a dead short.
    held
        Potential in volts of each terminal that is held; effective value and phase where it is complex.

    Returns
    -------
    Energised
        In a part that no held terminal reaches, potentials are not a number, currents and powers 0.
        Currents in dead shorts are the limit of equal tiny resistances as these go to nothing, their power
        is 0. Where dead shorts join held terminals at different potentials, current and power in them are
        infinite, and the terminals between them take the potentials of that limit; ``supplied`` is not a
        number for a held terminal that infinite currents both enter and leave.

    Raises
    ------
    ValueError
        If a resistance is negative or not a number, ends and ohms do not fit each other, or a held terminal
        is not there or not held at a finite voltage.
    """
    for terminal, potential in held.items():
        check_terminal(n, terminal)
        if not np.isfinite(potential):
            raise ValueError(f"terminal {terminal} is held at {potential} V; hold it at a finite voltage")
    found = _in_step(n, ends, ohms, {t: potential.real for t, potential in held.items()})
    if not any(potential.imag for potential in held.values()):
        return found
    return _at_right_angles(found, _in_step(n, ends, ohms, {t: potential.imag for t, potential in held.items()}))


def _in_step(n: int, ends: ArrayLike, ohms: ArrayLike, held: Mapping[int, float]) -> Energised:
    """What flows when all that is held is in step; signs tell directions."""
    volts, drops, siemens = _solve(n, ends, ohms, held)
    raw_amps = workable(siemens) * drops
    amps = finite_or_inf(raw_amps)
    watts = np.where(np.isinf(amps), np.inf, np.where(shorted(siemens), 0.0, raw_amps * drops))
    return Energised(volts, amps, watts, _supplied(ends, amps, held))


def _at_right_angles(one: Energised, other: Energised) -> Energised:
    """The sum of two solutions of which one is a quarter of a period ahead: magnitudes, and the powers of both."""
    return Energised(
        _magnitude(one.volts, other.volts),
        _magnitude(one.amps, other.amps),
        one.watts + other.watts,
        _magnitude(one.supplied, other.supplied),
        np.stack([one.volts, other.volts]),
    )


def _magnitude(one: FloatArray, other: FloatArray) -> FloatArray:
    return np.asarray(np.sqrt(one * one + other * other))


def sensitivity(n: int, ends: ArrayLike, ohms: ArrayLike, a: int, b: int) -> FloatArray:
    """Return how much of the resistance between two terminals each branch answers for.

    The derivative of ln R_ab by ln r of a branch is the share of the power that the branch turns to heat when a
    test current flows from ``a`` to ``b`` (by Tellegen's theorem; Penfield, Spence and Duinker, Tellegen's
    Theorem and Electrical Networks, 1970). The shares add to 1.

    Parameters
    ----------
    n, ends, ohms
        As for `energise`.
    a, b
        The two terminals.

    Returns
    -------
    numpy.ndarray
        Shape ``(..., m)``, 0 to 1; 0 where ``a`` and ``b`` are not joined or are the same terminal. Where only
        dead shorts join them, the shares are those of equal tiny resistances.

    Raises
    ------
    ValueError
        As `energise`.
    """
    check_terminal(n, a)
    check_terminal(n, b)
    _, drops, siemens = _solve(n, ends, ohms, {a: 1.0} if a == b else {a: 1.0, b: 0.0})
    amps = workable(siemens) * drops
    total = _supplied(ends, amps, {a: 1.0})  # at 1 V: siemens between a and b, and watts
    shares: FloatArray = amps * drops / np.maximum(total, NOUGHT)
    shares[shorted(siemens) & ~shorted(total)] = 0.0
    return shares


def _supplied(ends: ArrayLike, amps: FloatArray, held: Mapping[int, float]) -> FloatArray:
    """Return the current ``(..., held)`` out of each held terminal: branches that begin there less those that end."""
    first, second = _ends(ends).T
    with np.errstate(invalid="ignore"):  # infinite currents in and out
        columns = [amps[..., first == h].sum(axis=-1) - amps[..., second == h].sum(axis=-1) for h in held]
    return np.stack(columns, axis=-1) if columns else np.zeros((*amps.shape[:-1], 0))


def _ends(ends: ArrayLike) -> IntArray:
    return np.asarray(ends, dtype=np.int64).reshape(-1, 2)


def _solve(
    n: int, ends: ArrayLike, ohms: ArrayLike, held: Mapping[int, float]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return potentials ``(..., n)``, voltages from first to second end and conductances ``(..., m)``."""
    s = structure(n, ends)
    siemens = branch_conductances(ends, ohms)
    batch, m = siemens.shape[:-1], siemens.shape[-1]
    states = int(np.prod(batch))
    # The stand-in goes in before parallels add, so that parallel dead shorts share their current.
    merged = s.merge(workable(siemens)).reshape(states, len(s.edges))
    plan = held_plan(n, s.edges, frozenset(held))
    volts, drops = np.empty((states, n)), np.empty((states, m))
    if states:
        chunk = chunk_size(states, plan.rows + 4 * plan.shares + n)
        replay = _Replay(plan, n, held, chunk)
        branch_rows = np.array([replay.drop_row.get((int(i), int(j)), ZERO_ROW) for i, j in _ends(ends)], dtype=int)
        for start in range(0, states, chunk):
            part = merged[start : start + chunk]
            stop = len(part)
            replay.run(part)
            volts[start : start + chunk] = replay.volts()[:, :stop].T
            drops[start : start + chunk] = replay.drops[branch_rows, :stop].T
    return volts.reshape(*batch, n), drops.reshape(*batch, m), siemens


class _Replay:
    """The rows and calls that carry out a `HeldPlan` on a chunk of states.

    Attributes
    ----------
    drops
        Voltages between terminals, one row a pair in each direction; row 0 is nought.
    drop_row
        For ``(i, j)`` the row of the voltage from i to j, where that was needed.
    """

    def __init__(self, plan: HeldPlan, n: int, held: Mapping[int, float], chunk: int) -> None:
        self._conductance = np.zeros((plan.rows, chunk))
        self._edges = plan.edges
        self._calls: list[Call] = []
        self._potential = np.zeros((n, 2, chunk))  # volts; and 1 where a held terminal is reached, else 0
        shares = np.empty((plan.shares, chunk))
        self.drops = np.zeros((1 + len(held) * (len(held) - 1) + 2 * plan.shares, chunk))
        self.drop_row: dict[Edge, int] = {}
        self._used = 1
        widest = max((len(removal.neighbours) for removal in plan.removals), default=0)
        work = np.empty((max(workspace([r.step for r in plan.removals]), widest * max(widest, 2)), chunk))
        for terminal, volts in held.items():
            self._potential[terminal] = [[volts], [1.0]]
        for i, j in permutations(held, 2):
            self.drops[self._used] = held[i] - held[j]
            self.drop_row[i, j] = self._used
            self._used += 1
        kept: list[tuple[Removal, FloatArray]] = []
        at = 0
        for removal in plan.removals:
            d = len(removal.neighbours)
            if d:
                kept.append((removal, shares[at : at + d]))
                self._calls += star_mesh(removal.step, self._conductance, work, shares[at : at + d])
            at += d
        for removal, share in reversed(kept):
            self._calls += self._undo(removal, share, work)

    def _undo(self, removal: Removal, share: FloatArray, work: FloatArray) -> list[Call]:
        """Return the calls that give a removed terminal its potential and the voltages to its neighbours."""
        k, near = removal.terminal, removal.neighbours
        d, chunk = share.shape
        flat = work[: 2 * d]
        near_potentials = flat.reshape(d, 2, chunk)
        calls: list[Call] = [
            (self._potential.take, (np.array(near), 0, near_potentials, "clip")),
            (np.multiply, (near_potentials, share[:, None], near_potentials)),
            (np.add.reduce, (near_potentials, 0, None, self._potential[k])),
        ]
        if d == 1:
            return calls
        between = np.array([self.drop_row.get((i, j), ZERO_ROW) for i in near for j in near])
        square = work[: d * d]
        cube = square.reshape(d, d, chunk)
        away, back = (self.drops[at : at + d] for at in (self._used, self._used + d))
        for place, j in enumerate(near):
            self.drop_row[k, j] = self._used + place
            self.drop_row[j, k] = self._used + d + place
        self._used += 2 * d
        return [
            *calls,
            (self.drops.take, (between, 0, square, "clip")),
            (np.multiply, (cube, share[:, None], cube)),
            (np.add.reduce, (cube, 0, None, away)),
            (np.negative, (away, back)),
        ]

    def run(self, siemens: FloatArray) -> None:
        """Solve for edge conductances ``(states, edges)``, as many states as fit or fewer."""
        self._conductance[1 : 1 + self._edges, : len(siemens)] = siemens.T
        for function, arguments in self._calls:
            function(*arguments)

    def volts(self) -> FloatArray:
        """Return potentials ``(n, states)``."""
        return np.where(self._potential[:, 1] > 0.0, self._potential[:, 0], np.nan)
