"""The branches of an appliance as arrays, and their ohms in a setting: least and most that sound parts may have."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, Branch, BranchKind, Fault, PartKind
from probebook.memo import memo_by_identity
from probebook.physical.assumed import Physical

__all__ = ["Board", "Setting", "board_of"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

_TURNED = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)


@dataclass(frozen=True, slots=True)
class Setting:
    """How an appliance stands: controls, wires off, cut-outs operated or relays pushed in, and the volts across it."""

    position: str
    calling: bool = True
    lifted: frozenset[str] = frozenset()
    opened: frozenset[str] = frozenset()
    volts: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Board:
    """What of an appliance stays the same in every setting; arrays of shape ``(m,)`` but for ``ends``, ``(m, 2)``.

    ``least`` and ``most`` are factors on the cold ohms; ``made`` are those with every relay's contact made; ``bare``
    marks branches that are neither insulation nor neon. ``coils`` are the numbers of the coils, ``stands`` every set of
    relays that may be pulled in, fewest first.
    """

    appliance: Appliance
    assumed: Physical
    ends: IntArray
    cold: FloatArray
    hot: FloatArray
    made: FloatArray
    least: FloatArray
    most: FloatArray
    bare: BoolArray
    insulation: BoolArray
    load: BoolArray
    contact: BoolArray
    cycles: BoolArray
    relayed: BoolArray
    coils: IntArray
    stands: tuple[frozenset[str], ...]
    leaks: tuple[tuple[str, int, int], ...]

    def ohms(self, setting: Setting, given: Sequence[Fault] = (), *, dried: bool = False) -> FloatArray:
        """Least and most ohms of each branch, ``inf`` where open, shape ``(2, m)``, with the faults given in place."""
        here = np.where(self._open(setting), np.inf, self.cold)
        for i, branch in enumerate(self.appliance.branches):
            if branch.part in setting.opened and math.isinf(branch.cold_ohms):
                here[i] = branch.hot_ohms
        both = np.stack([here * self.least, here * self.most])
        worse = math.exp(self.assumed.severity)
        for fault in given:
            if dried and fault.recovers:
                continue
            for change in fault.changes:
                i = self.appliance.branch(change.branch)
                if change.force is not None:
                    both[:, i] = (change.force / worse, change.force * worse)
                both[:, i] *= change.factor
                both[:, i] += (change.series / worse, change.series * worse)
        both[:, self._off(setting)] = np.inf
        return both

    def at_work(self, setting: Setting, pulled: frozenset[str] = frozenset()) -> FloatArray:
        """Ohms of each branch of a sound appliance, warm, without insulation, some relays pulled in, shape ``(m,)``."""
        here = replace(setting, opened=setting.opened | pulled)
        resting = np.array([b.part not in here.opened for b in self.appliance.branches]) & self.relayed
        feeds = [p.mark for p in self.appliance.parts if p.kind is PartKind.FEED]
        closes = self.appliance.position(setting.position).closes
        resting |= np.array([b.part in feeds and b.name not in closes for b in self.appliance.branches])
        return np.where(self._open(here) | self.insulation | (resting & np.isinf(self.cold)), np.inf, self.hot)

    def conducting(self, setting: Setting) -> BoolArray:
        """Whether each branch of a sound appliance conducts, insulation and neons aside, shape ``(m,)``."""
        return np.asarray(np.isfinite(self.ohms(setting)[0]) & self.bare)

    def _open(self, setting: Setting) -> BoolArray:
        closes = self.appliance.position(setting.position).closes
        turned = {p.mark for p in self.appliance.parts if p.kind in _TURNED}
        return np.array([_is_open(b, setting, closes, turned) for b in self.appliance.branches], dtype=np.bool_)

    def _off(self, setting: Setting) -> BoolArray:
        return np.array([b.part in setting.lifted for b in self.appliance.branches], dtype=np.bool_)


def _is_open(branch: Branch, setting: Setting, closes: frozenset[str], turned: set[str]) -> bool:
    if branch.strikes_at > setting.volts:
        return True
    if branch.kind is not BranchKind.CONTACT:
        return False
    if branch.part in setting.opened:
        return math.isfinite(branch.cold_ohms)
    return (branch.part in turned and branch.name not in closes) or (branch.cycles and not setting.calling)


@memo_by_identity(64)
def board_of(appliance: Appliance) -> Board:
    """The arrays of an appliance, worked out once for each."""
    assumed, branches = appliance.assumptions.get(Physical), appliance.branches
    half = [
        math.log1p(b.tolerance + assumed.beyond_tolerance) if b.kind is BranchKind.ELEMENT else assumed.within[b.kind]
        for b in branches
    ]
    plain = (BranchKind.INSULATION, BranchKind.NEON)
    loads = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON)
    relays = {p.mark for p in appliance.parts if p.kind in (PartKind.RELAY, PartKind.FEED)}
    feeds = frozenset(p.mark for p in appliance.parts if p.kind is PartKind.FEED)
    relayed = np.array([b.kind is BranchKind.CONTACT and b.part in relays for b in branches])
    cold, hot = np.array([b.cold_ohms for b in branches]), np.array([b.hot_ohms for b in branches])
    coils = [i for i, b in enumerate(branches) if b.kind is BranchKind.COIL]
    return Board(
        appliance=appliance,
        assumed=assumed,
        ends=np.array([b.ends for b in branches], dtype=np.intp).reshape(-1, 2),
        cold=cold,
        hot=hot,
        made=np.where(relayed, hot, cold),
        least=np.exp(-np.array(half)),
        most=np.exp(np.array(half)),
        bare=np.array([b.kind not in plain for b in branches]),
        insulation=np.array([b.kind is BranchKind.INSULATION for b in branches]),
        load=np.array([b.kind in loads for b in branches]),
        contact=np.array([b.kind is BranchKind.CONTACT for b in branches]),
        cycles=np.array([b.cycles for b in branches]),
        relayed=relayed,
        coils=np.array(coils, dtype=np.intp),
        stands=_stands([branches[i].part for i in coils], feeds),
        leaks=_leaks(branches),
    )


def _stands(relays: Sequence[str], feeds: frozenset[str]) -> tuple[frozenset[str], ...]:
    """Every set of relays that may be pulled in, fewest first, with the feeds of a second supply."""
    return tuple(feeds | frozenset(some) for k in range(len(relays) + 1) for some in combinations(relays, k))


def _leaks(branches: Sequence[Branch]) -> tuple[tuple[str, int, int], ...]:
    """Where sections may leak: each by name, from either of its ends, to its metalwork."""
    names = {b.name: b for b in branches}
    return tuple(
        (section.name, end, path.ends[1])
        for path in branches
        if path.kind is BranchKind.INSULATION
        and math.isfinite(path.cold_ohms)
        and (section := names.get(path.name.split("~", maxsplit=1)[0]))
        for end in section.ends
    )
