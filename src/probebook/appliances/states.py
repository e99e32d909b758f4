"""From states to ohms: the branch table that the circuit floor solves.

A state fixes the ohms of every branch in one order of work: the controls open or close contacts, faults force, scale or
add to what is there, and a lifted wire is open whatever else happened to it. The same order is used for one state
(:func:`branch_ohms`) and for whole grids of states at once (:func:`grid_ohms`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances.model import Appliance, BranchKind, Fault, PartKind, State
from probebook.memo import memo_by_identity

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Test voltage of an ohmmeter or continuity tester: far below what strikes a neon.
OHMMETER_VOLTS = 1.0


#: Parts whose contacts a position opens and closes.
SWITCHING = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)


@dataclass(frozen=True, slots=True, eq=False)
class _Layout:
    """Arrays that depend on the appliance alone."""

    ends: IntArray
    cold: FloatArray
    hot: FloatArray
    tripped: FloatArray
    strikes_at: FloatArray
    switched: NDArray[np.bool_]
    cycling: NDArray[np.bool_]
    relayed: NDArray[np.bool_]
    fed: NDArray[np.bool_]
    by_part: dict[str, tuple[int, ...]]
    contacts: dict[str, tuple[int, ...]]


@memo_by_identity(64)
def _layout_of(appliance: Appliance) -> _Layout:
    by_part: dict[str, list[int]] = {}
    for i, branch in enumerate(appliance.branches):
        by_part.setdefault(branch.part, []).append(i)
    contact = [b.kind is BranchKind.CONTACT for b in appliance.branches]
    return _Layout(
        ends=np.array([b.ends for b in appliance.branches], dtype=np.intp).reshape(-1, 2),
        cold=np.array([b.cold_ohms for b in appliance.branches]),
        hot=np.array([b.hot_ohms for b in appliance.branches]),
        tripped=np.array([b.hot_ohms if np.isinf(b.cold_ohms) else np.inf for b in appliance.branches]),
        strikes_at=np.array([b.strikes_at for b in appliance.branches]),
        switched=_contacts_of(appliance, *SWITCHING),
        cycling=np.array([b.cycles for b in appliance.branches], dtype=np.bool_),
        relayed=_contacts_of(appliance, PartKind.RELAY, PartKind.FEED),
        fed=_contacts_of(appliance, PartKind.FEED),
        by_part={mark: tuple(rows) for mark, rows in by_part.items()},
        contacts={mark: tuple(i for i in rows if contact[i]) for mark, rows in by_part.items()},
    )


def _contacts_of(appliance: Appliance, *kinds: PartKind) -> NDArray[np.bool_]:
    """Which branches are contacts of parts of these kinds, shape ``(m,)``."""
    marks = {p.mark for p in appliance.parts if p.kind in kinds}
    return np.array([b.kind is BranchKind.CONTACT and b.part in marks for b in appliance.branches], dtype=np.bool_)


def branch_ends(appliance: Appliance) -> IntArray:
    """Terminal indices of each branch, shape ``(m, 2)``, in the order of ``appliance.branches``."""
    return _layout_of(appliance).ends


@dataclass(frozen=True, slots=True, eq=False)
class Effect:
    """What a set of faults does to every branch: arrays of shape ``(m,)``.

    ``force`` (cold) and ``force_hot`` (at working temperature) are nan where nothing is forced.
    """

    force: FloatArray
    factor: FloatArray
    series: FloatArray
    force_hot: FloatArray


def effect_of(appliance: Appliance, faults: Iterable[Fault], *, dried: bool = False) -> Effect:
    """The joint effect of faults on the branches.

    Forced ohms combine so that an open path stays open and otherwise the lower resistance wins (two leaks, a contact
    that is both burnt and welded cannot be told apart from the more conducting one); factors multiply, series ohms add.
    """
    m = len(appliance.branches)
    force, force_hot, factor, series = np.full(m, np.nan), np.full(m, np.nan), np.ones(m), np.zeros(m)
    for fault in faults:
        if dried and fault.recovers:
            continue
        for change in fault.changes:
            i = appliance.branch(change.branch)
            if change.force is not None:
                hot = change.force if change.force_hot is None else change.force_hot
                force[i] = _joint_force(float(force[i]), change.force)
                force_hot[i] = _joint_force(float(force_hot[i]), hot)
            factor[i] *= change.factor
            series[i] += change.series
    return Effect(force, factor, series, force_hot)


def _joint_force(one: float, other: float) -> float:
    if np.isnan(one):
        return other
    return float("inf") if np.isinf(one) or np.isinf(other) else min(one, other)


def controlled_ohms(
    appliance: Appliance,
    position: str,
    *,
    calling: bool = True,
    opened: Iterable[str] = (),
    satisfied: Iterable[str] = (),
    hot: bool = False,
    test_volts: float = OHMMETER_VOLTS,
) -> FloatArray:
    """Ohms of each branch, shape ``(m,)``, of the healthy appliance with its controls set.

    ``hot`` takes working-temperature ohms; ``test_volts`` decides whether a neon conducts. The contacts of relays and
    feeds rest, but for those among the ``opened``. KeyError for an unknown position, cut-out, relay or thermostat.
    """
    layout = _layout_of(appliance)
    ohms = (layout.hot if hot else layout.cold).copy()
    ohms[layout.relayed] = layout.cold[layout.relayed]
    closes = appliance.position(position).closes
    closed = np.array([b.name in closes for b in appliance.branches])
    ohms[layout.switched & ~closed] = np.inf
    if not calling:
        ohms[layout.cycling] = np.inf
    for mark in satisfied:
        rows = list(layout.by_part[mark])
        ohms[rows] = np.where(layout.cycling[rows], np.inf, ohms[rows])
    for mark in opened:
        rows = list(layout.contacts[mark])
        ohms[rows] = layout.tripped[rows]
    ohms[layout.fed & ~closed] = np.inf
    ohms[(layout.strikes_at > 0) & (test_volts < layout.strikes_at)] = np.inf
    return ohms


def _apply(ohms: FloatArray, effect: Effect, *, hot: bool) -> FloatArray:
    force = effect.force_hot if hot else effect.force
    changed = np.where(np.isnan(force), ohms, force) * effect.factor + effect.series
    return np.asarray(changed, dtype=np.float64)


def branch_ohms(
    appliance: Appliance,
    states: Sequence[State],
    *,
    hot: bool = False,
    test_volts: float = OHMMETER_VOLTS,
    spread: FloatArray | None = None,
) -> FloatArray:
    """Ohms of every branch in every state, shape ``(states, m)``.

    Parameters
    ----------
    appliance, states
        What to work out; KeyError for a position, fault, wire or cut-out the appliance does not have.
    hot
        Working-temperature ohms in place of cold ones.
    test_volts
        Voltage put across the terminals by the meter or supply; decides whether a neon conducts.
    spread
        Factor on each branch, shape ``(m,)`` or ``(states, m)``: where a made element lies within its tolerance.
    """
    table = np.empty((len(states), len(appliance.branches)))
    cache: dict[tuple[frozenset[str], bool], Effect] = {}
    for row, state in enumerate(states):
        key = (state.faults, state.dried)
        if key not in cache:
            cache[key] = effect_of(appliance, (appliance.fault(f) for f in sorted(state.faults)), dried=state.dried)
        ohms = controlled_ohms(
            appliance,
            state.position,
            calling=state.calling,
            opened=state.opened,
            satisfied=state.satisfied,
            hot=hot,
            test_volts=test_volts,
        )
        if spread is not None:
            ohms = ohms * (spread[row] if spread.ndim == 2 else spread)
        ohms = _apply(ohms, cache[key], hot=hot)
        for mark in state.lifted:
            ohms[_wire_rows(appliance, mark)] = np.inf
        table[row] = ohms
    return table


def _wire_rows(appliance: Appliance, mark: str) -> list[int]:
    appliance.wire(mark)
    return list(_layout_of(appliance).by_part[mark])


def grid_ohms(
    appliance: Appliance,
    positions: Sequence[str],
    lifts: Sequence[Iterable[str]],
    fault_sets: Sequence[Iterable[str]],
    *,
    calling: bool = True,
    opened: Sequence[str] = (),
    hot: bool = False,
    test_volts: float = OHMMETER_VOLTS,
) -> FloatArray:
    """Ohms for every position × lifted set × fault set at once, shape ``(positions, lifts, fault sets, m)``."""
    base = np.stack(
        [
            controlled_ohms(appliance, p, calling=calling, opened=opened, hot=hot, test_volts=test_volts)
            for p in positions
        ]
    )
    effects = [effect_of(appliance, [appliance.fault(f) for f in faults]) for faults in fault_sets]
    joint = Effect(
        np.stack([e.force for e in effects]),
        np.stack([e.factor for e in effects]),
        np.stack([e.series for e in effects]),
        np.stack([e.force_hot for e in effects]),
    )
    lifted = np.zeros((len(lifts), len(appliance.branches)), dtype=np.bool_)
    for row, marks in enumerate(lifts):
        for mark in marks:
            lifted[row, _wire_rows(appliance, mark)] = True
    ohms = _apply(base[:, None, None, :], joint, hot=hot)
    return np.where(lifted[None, :, None, :], np.inf, ohms)
