"""Which single failures fit all that was read and seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, BranchKind, Fault, FaultKind
from probebook.physical.board import Board, board_of
from probebook.physical.evidence import InUse, Read
from probebook.physical.readings import Reader, readers
from probebook.physical.use import InUseReader, users

__all__ = ["Failure", "Mode", "fitting", "ruled_out", "same_as"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: Shares of the way, in ln, between least and most value at which use is tried.
_TRIED = np.linspace(0.0, 1.0, 13)
#: What stands for nought and for endless there, ohms.
_NOUGHT, _ENDLESS = 1e-2, 1e8


class Mode(StrEnum):
    """How a branch fails."""

    NONE = "nothing"
    OHMS = "ohms"
    WELDED = "welded"
    LEAKS = "leaks"


@dataclass(frozen=True, slots=True)
class Failure:
    """A branch (or nothing) that fails in one way, and the ohms between which it fits; ``inf`` is open."""

    mode: Mode
    branch: str = ""
    least: float = 0.0
    most: float = 0.0

    @property
    def what(self) -> tuple[Mode, str]:
        """Which failure it is, whatever its value."""
        return self.mode, self.branch


def same_as(appliance: Appliance, faults: Sequence[Fault]) -> frozenset[tuple[Mode, str]]:
    """The failures that faults of the file are, whatever their values: one answer with them.

    A wire and what ends it (a pin, a tag, a crimp) are one branch, so one answer. Sections of a part that meet at a tag
    cannot be parted by taking wires off: where one leaks, any of them does. A wire in a wrong place is nothing that
    fails here.
    """
    found: set[tuple[Mode, str]] = set()
    for fault in faults:
        if fault.kind is FaultKind.MISPLACED_WIRE:
            continue
        for change in fault.changes:
            branch = appliance.branches[appliance.branch(change.branch)]
            if branch.kind is BranchKind.INSULATION:
                section = branch.name.split("~", maxsplit=1)[0]
                found.update((Mode.LEAKS, name) for name in _meeting(appliance, section))
            elif fault.kind is FaultKind.STUCK_CLOSED:
                found.add((Mode.WELDED, branch.name))
            else:
                found.add((Mode.OHMS, branch.name))
    return frozenset(found)


def _meeting(appliance: Appliance, section: str) -> set[str]:
    """A section and those of its part that are joined to it by tags alone."""
    part = appliance.branches[appliance.branch(section)].part
    own = [b for b in appliance.branches if b.part == part and b.kind is not BranchKind.INSULATION]
    met, ends = {section}, set(appliance.branches[appliance.branch(section)].ends)
    while more := [b for b in own if b.name not in met and ends & set(b.ends)]:
        met.update(b.name for b in more)
        ends.update(end for b in more for end in b.ends)
    return met


def fitting(
    appliance: Appliance,
    reads: Sequence[Read],
    seen: Sequence[InUse] = (),
    told: Sequence[InUse] = (),
    given: Sequence[Fault] = (),
) -> tuple[Failure, ...]:
    """Every single failure that fits all readings and all that was seen in use.

    Parameters
    ----------
    appliance
        Whose circuit it is.
    reads, seen
        What was read, and what was seen, switched on.
    told
        What is complained of. Only where a sound appliance fits as well, so that any part that nothing was read of
        might have failed, has a failure to explain some of it.
    given
        Faults that are present in any case; one more is looked for.

    Returns
    -------
    tuple of Failure
        In the order of the branches; :attr:`Mode.NONE` first, where the appliance needs no (further) failure.
    """
    board = board_of(appliance)
    at, in_use = readers(board, reads, given), users(board, seen, given)
    nothing = all(r.sound() for r in at) and all(u.sound() for u in in_use)
    asked = users(board, told, given) if nothing else []
    found = [Failure(Mode.NONE)] if nothing else []
    found += _ohms(board, at, in_use, asked, needed=nothing)
    found += _welded(board, at, in_use, asked, needed=nothing)
    # A leak may be damp, which drying takes away, and may stay: what was read dried tells of neither.
    found += _leaks(board, [r for r in at if not r.is_dried], in_use, asked, needed=nothing)
    return tuple(found)


def _ohms(
    board: Board, at: list[Reader], in_use: list[InUseReader], asked: list[InUseReader], *, needed: bool
) -> list[Failure]:
    """Branches that have other ohms than they should."""
    assumed, m = board.assumed, len(board.ends)
    least, most = np.zeros(m), np.full(m, np.inf)
    for reader in at:
        left = reader.branches()
        least, most = np.maximum(least, left.least), np.minimum(most, left.most)
    joint = ~board.load & ~board.insulation
    least = np.where(joint, np.maximum(least, board.made + assumed.least_joint), least)
    worse = board.made * board.most * (1.0 + assumed.least_change)
    better = board.made * board.least / (1.0 + assumed.least_change)
    found: list[tuple[int, Failure]] = []
    # A joint has more than it should; a load more or less.
    for low, high, kind in (
        (np.where(board.load, np.maximum(least, worse), least), most, joint | board.load),
        (least, np.minimum(most, better), board.load),
    ):
        fits = (low <= high) & kind & np.isfinite(board.made)
        if needed and not asked:
            fits[:] = False
        if (in_use or asked) and fits.any():
            values = _between(low, high)
            good = np.broadcast_to(fits[:, None], values.shape).copy()
            for user in in_use:
                good &= user.branches(values)[0]
            if needed:
                good &= _any([user.branches(values)[1] for user in asked], good)
            fits = np.asarray(good.any(axis=1))
        for i in np.flatnonzero(fits).tolist():
            failure = Failure(Mode.OHMS, board.appliance.branches[i].name, float(low[i]), float(high[i]))
            found.append((i, failure))
    return [failure for _, failure in sorted(found, key=lambda pair: pair[0])]


def _any(tells: Sequence[BoolArray], like: BoolArray) -> BoolArray:
    """Where any of some arrays of one shape holds; nowhere when there is none."""
    found = np.zeros_like(like)
    for told in tells:
        found |= told
    return found


def _between(least: FloatArray, most: FloatArray) -> FloatArray:
    low = np.log(np.clip(least, _NOUGHT, _ENDLESS))[:, None]
    high = np.log(np.clip(most, _NOUGHT, _ENDLESS))[:, None]
    return np.asarray(np.exp(low + (high - low) * _TRIED))


def _welded(
    board: Board, at: list[Reader], in_use: list[InUseReader], asked: list[InUseReader], *, needed: bool
) -> list[Failure]:
    contacts = np.flatnonzero(board.contact)
    if not len(contacts):
        return []
    least, most = np.zeros(len(contacts)), np.full(len(contacts), np.inf)
    for reader in at:
        left = reader.paths(board.ends[contacts])
        least, most = np.maximum(least, left.least), np.minimum(most, left.most)
    hot = board.hot[contacts]
    good = (least <= hot * board.most[contacts]) & (most >= hot * board.least[contacts])
    for user in in_use:
        good &= user.contacts(contacts)[0][:, 0]
    if needed:
        good &= _any([user.contacts(contacts)[1][:, 0] for user in asked], good)
    names = board.appliance.branches
    return [
        Failure(Mode.WELDED, names[int(i)].name, float(names[int(i)].hot_ohms), float(names[int(i)].hot_ohms))
        for i, fits in zip(contacts, good, strict=True)
        if fits
    ]


def _leaks(
    board: Board, at: list[Reader], in_use: list[InUseReader], asked: list[InUseReader], *, needed: bool
) -> list[Failure]:
    if not board.leaks or not all(user.leaking()[0] for user in in_use):
        return []
    if needed and not any(user.leaking()[1] for user in asked):
        return []
    ends = np.array([(end, metal) for _, end, metal in board.leaks], dtype=np.intp)
    least, most = np.zeros(len(ends)), np.full(len(ends), board.assumed.worst_leak)
    for reader in at:
        left = reader.paths(ends)
        least, most = np.maximum(least, left.least), np.minimum(most, left.most)
    found: dict[str, Failure] = {}
    for (section, _, _), low, high in zip(board.leaks, least.tolist(), most.tolist(), strict=True):
        if low <= high:
            found.setdefault(section, Failure(Mode.LEAKS, section, low, high))
    return list(found.values())


def ruled_out(
    appliance: Appliance, failures: Sequence[Failure], reads: Sequence[Read], given: Sequence[Fault] = ()
) -> BoolArray:
    """Whether each reading leaves nothing of each failure as it fits so far, shape ``(reads, failures)``."""
    board = board_of(appliance)
    out = np.zeros((len(reads), len(failures)), dtype=np.bool_)
    contacts = np.array([appliance.branch(f.branch) for f in failures if f.mode is Mode.WELDED], dtype=np.intp)
    leaks = [next((e, m) for name, e, m in board.leaks if name == f.branch) for f in failures if f.mode is Mode.LEAKS]
    for row, reader in enumerate(readers(board, reads, given)):
        own = reader.branches()
        welds = reader.paths(board.ends[contacts]) if len(contacts) else None
        leaking = reader.paths(np.array(leaks, dtype=np.intp)) if leaks else None
        places = {Mode.WELDED: 0, Mode.LEAKS: 0}
        for column, failure in enumerate(failures):
            if failure.mode is Mode.NONE:
                out[row, column] = not reader.sound()
                continue
            left, at = own, appliance.branch(failure.branch)
            if failure.mode is not Mode.OHMS:
                found = welds if failure.mode is Mode.WELDED else leaking
                assert found is not None
                left, at = found, places[failure.mode]
                places[failure.mode] += 1
            out[row, column] = max(float(left.least[at]), failure.least) > min(float(left.most[at]), failure.most)
    return out
