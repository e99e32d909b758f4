"""What an appliance with a failure does when it is switched on, and whether that is what was seen.

Supply at the rated volts, sound insulation left out. What a failure does to the branches' currents follows from the
inverse for the sound appliance, whatever its value; where there are relays, from one for each way in which they may
stand, and that counts which the coils bear out. How warm it gets is only asked so far as the watts tell: where they
are as usual the temperature is, where there are none it stays cold; anything else may be.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import BranchKind, Fault
from probebook.numerics.matrices import product
from probebook.physical.board import Board, Setting
from probebook.physical.evidence import InUse
from probebook.physical.network import conductances, impedances

__all__ = ["COLD", "HOLDS", "PROTECTION", "RIGHT", "TEMPERATURE", "InUseReader", "users"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

#: How the files name what is seen.
PROTECTION, TEMPERATURE = "protection", "temperature"
OFF, WEAK, NORMAL, STRONG, UNWANTED = "off", "weak", "normal", "too strong", "on when it should be off"
RIGHT, COLD, HOT, SHORT, HOLDS = "right", "stays cold", "too hot", "never reaches it", "holds"

#: What each line is of the volts to neutral, by how many lines there are: in step with the first, and for three also a
#: quarter of a period ahead (cosine and sine of the angle between them).
_PARTS = {1: ((1.0,),), 3: ((1.0, -0.5, -0.5), (0.0, -math.sqrt(0.75), math.sqrt(0.75)))}
#: Ohms of an open branch here.
_OPEN = 1e9
#: Siemens to ground of a piece that no supply reaches.
_AIR = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class _Subject:
    """What can be seen to work: the places of its branches among the loads, and whether it only glows."""

    name: str
    rows: IntArray
    glows: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Stand:
    """A position switched on with some relays pulled in; ``held`` says which of the coils those are.

    ``rows`` are the branches asked about: the loads, then the coils. ``drops`` are the volts on each branch: in step
    with the first line and, where there are three, a quarter of a period from it; powers of the two add.
    """

    board: Board
    ohms: FloatArray
    rows: IntArray
    held: BoolArray
    z: FloatArray
    drops: tuple[FloatArray, ...]

    @classmethod
    def of(cls, board: Board, ohms: FloatArray, rows: IntArray, held: BoolArray, supply: float) -> _Stand:
        """The inverse of the matrix of conductances, terminals of the supply left out; and the volts on each branch."""
        appliance = board.appliance
        n, ends = len(appliance.terminals), board.ends
        with np.errstate(divide="ignore"):
            siemens = np.where(np.isfinite(ohms), 1.0 / ohms, 0.0)
        whole = conductances(n, ends, siemens[None])[0]
        fixed = [appliance.terminal(t) for t in appliance.incoming]
        free = np.array([t for t in range(n) if t not in fixed], dtype=np.intp)
        inner = whole[np.ix_(free, free)] + np.diag(np.full(len(free), _AIR))
        z = np.zeros((n, n))
        if len(free):
            z[np.ix_(free, free)] = impedances(inner[None], np.zeros(0, dtype=np.intp))[0]
        found = []
        for part in _PARTS[len(appliance.lines)]:
            driven = sum(-whole[:, line] * (supply * share) for line, share in zip(fixed, part, strict=False))
            volts = product(z, np.asarray(driven))
            volts[fixed[: len(part)]] = supply * np.array(part)
            found.append(np.asarray(volts[ends[:, 0]] - volts[ends[:, 1]]))
        return cls(board, ohms, rows, held, z, tuple(found))

    def usual(self) -> FloatArray:
        """Watts of each row with nothing wrong, ``(1, 1, rows)``."""
        return self._powers([drop[self.rows] for drop in self.drops])[None, None]

    def watts(self, i: IntArray, j: IntArray, change: FloatArray, at: IntArray | slice) -> FloatArray:
        """Watts of each row, ``(f, y, rows)``, when siemens ``change``, ``(f, y)``, are put across branches ``at``."""
        z = self.z
        across = z[i, i] + z[j, j] - 2.0 * z[i, j]
        p, q = self.board.ends[self.rows].T
        felt = z[p][:, i] - z[p][:, j] - z[q][:, i] + z[q][:, j]
        found = []
        for drop in self.drops:
            pull = change * drop[at][:, None] / (1.0 + change * across[:, None])
            found.append(drop[self.rows] - felt.T[:, None, :] * pull[:, :, None])
        return self._powers(found)

    def _powers(self, drops: Sequence[FloatArray]) -> FloatArray:
        """Watts of each row, ``(..., rows)``, of the volts on it."""
        ohms = self.ohms[self.rows]
        each = [np.asarray(np.where(np.isfinite(ohms), drop**2 / ohms, 0.0)) for drop in drops]
        return each[0] if len(each) == 1 else each[0] + each[1]

    def with_branches(self, values: FloatArray) -> FloatArray:
        """Watts of each row when each branch has these ohms, ``(m, y)``."""
        here = np.isfinite(self.ohms)
        own = np.where(here, self.ohms, 1.0)
        value = np.clip(values, 1e-3, _OPEN)
        change = np.where(here[:, None], 1.0 / value - 1.0 / own[:, None], 0.0)
        i, j = self.board.ends.T
        watts = self.watts(i, j, change, slice(None))
        for place, row in enumerate(self.rows.tolist()):
            if here[row]:
                watts[row, :, place] *= own[row] / value[row]  # its own ohms are what changed
        return watts

    def with_contacts(self, at: IntArray, *, welded: bool) -> FloatArray:
        """Watts of each row with each contact of branches ``at`` welded, or open where it is made: ``(f, 1, rows)``."""
        i, j = self.board.ends[at].T
        here = np.isfinite(self.ohms[at])
        if welded:
            change = np.where(here, 0.0, 1.0 / self.board.hot[at])[:, None]
        else:
            change = np.where(here, 1.0 / _OPEN - 1.0 / np.where(here, self.ohms[at], 1.0), 0.0)[:, None]
        return self.watts(i, j, change, at)


class InUseReader:
    """One position switched on, held against failures."""

    def __init__(self, board: Board, seen: InUse, given: Sequence[Fault]) -> None:
        self._board, self._seen = board, seen
        appliance = board.appliance
        self._loads = np.flatnonzero(board.load)
        coils = [appliance.branches[i] for i in board.coils.tolist()]
        self._pulls = np.array([b.pulls_in**2 / b.hot_ohms for b in coils])
        low = [f.volts for f in given if f.volts]
        self._supply = min(low) if low else appliance.supply.volts
        self._stopped = {f.stops for f in given if f.stops}
        self._any_warmth = any(f.offset for f in given)
        self._any_trip = any(board.insulation[appliance.branch(c.branch)] for f in given for c in f.changes)
        self._stands = self._solved(given, self._supply)
        sound = self._solved((), appliance.supply.volts)
        self._usual = self._settled([stand.usual() for stand in sound])[0, 0]
        self._subjects = _subjects(board, self._loads)
        loads = [appliance.branches[i] for i in self._loads]
        self._heating = np.array([bool(b.place) or b.kind is BranchKind.MOTOR for b in loads])
        self._moves = np.array([b.kind is BranchKind.MOTOR for b in loads])[self._heating]
        supply = appliance.supply
        self._most_watts = board.assumed.overload * supply.breaker_amps * supply.volts  # through one pole

    def _solved(self, given: Sequence[Fault], supply: float) -> list[_Stand]:
        """The position in every way its relays may stand, with the faults given in place."""
        board, appliance = self._board, self._board.appliance
        rows = np.concatenate([self._loads, board.coils])
        setting = Setting(self._seen.position, volts=appliance.supply.volts)
        found = []
        for pulled in board.stands:
            ohms = board.at_work(setting, pulled)
            for fault in given:
                for change in fault.changes:
                    i = appliance.branch(change.branch)
                    if not board.insulation[i]:
                        base = ohms[i] if change.force is None else change.force
                        ohms[i] = base * change.factor + change.series
            held = np.array([appliance.branches[i].part in pulled for i in board.coils.tolist()], dtype=np.bool_)
            found.append(_Stand.of(board, ohms, rows, held, supply))
        return found

    def _settled(self, each: Sequence[FloatArray]) -> FloatArray:
        """Watts of each load as the relays come to stand, ``(f, y, loads)``, from those of all rows in every way.

        The way with the fewest pulled in that its coils bear out; at rest where none is.
        """
        loads = len(self._loads)
        found, done = each[0].copy(), np.zeros(each[0].shape[:2], dtype=np.bool_)
        for stand, watts in zip(self._stands, each, strict=True):
            holds = ((watts[:, :, loads:] >= self._pulls) == stand.held).all(axis=2) & ~done
            found[holds] = watts[holds]
            done |= holds
        return found[:, :, :loads]

    def asked(self, seen: InUse) -> InUseReader:
        """The same position, asked about something else that was seen in it."""
        other = copy.copy(self)
        other._seen = seen
        return other

    def moved(self, wire: int, stays: int, to: int) -> InUseReader:
        """The same with one end of a wire on another terminal."""
        ends = self._board.ends.copy()
        ends[wire] = (stays, to)
        other = copy.copy(self)
        other._board = replace(self._board, ends=ends)
        other._stands = [_Stand.of(other._board, s.ohms, s.rows, s.held, self._supply) for s in self._stands]
        return other

    def branches(self, values: FloatArray) -> tuple[BoolArray, BoolArray]:
        """Whether each branch with these ohms, ``(m, y)``, does what was seen; and any of it that is not as usual."""
        return self._judged(self._settled([stand.with_branches(values) for stand in self._stands]))

    def contacts(self, at: IntArray) -> tuple[BoolArray, BoolArray]:
        """The same of each contact of branches ``at`` welded, shape ``(f, 1)``."""
        watts = self._settled([stand.with_contacts(at, welded=True) for stand in self._stands])
        lost = watts - self._settled([stand.with_contacts(at, welded=False) for stand in self._stands])
        here = np.isfinite(self._stands[0].ohms[at])
        heat = lost[:, 0, self._heating].sum(axis=1)
        switches = heat > self._board.assumed.alters * self._usual[self._heating].sum()
        return self._judged(watts, free=self._board.cycles[at] & here & switches)

    def sound(self) -> bool:
        """Whether an appliance without the failures asked about does what was seen."""
        return bool(self._judged(self._unchanged())[0][0, 0])

    def leaking(self) -> tuple[bool, bool]:
        """Whether an appliance that leaks, however badly, may do what was seen, and what was told."""
        fits, tells = self._judged(self._unchanged(), leaks=True)
        return bool(fits[0, 0]), bool(tells[0, 0])

    def _unchanged(self) -> FloatArray:
        return self._settled([stand.usual() for stand in self._stands])

    def _judged(
        self, watts: FloatArray, *, free: BoolArray | None = None, leaks: bool = False
    ) -> tuple[BoolArray, BoolArray]:
        """Whether all that was seen is so, and any of it that is not as usual: shape of ``watts`` less the last."""
        shape, shown = watts.shape[:2], self._seen.shown
        fits, tells = np.ones(shape, dtype=np.bool_), np.zeros(shape, dtype=np.bool_)
        for subject in self._subjects:
            usual, power = float(self._usual[subject.rows].sum()), watts[:, :, subject.rows].sum(axis=2)
            how = shown.get(subject.name, "")
            if subject.name in self._stopped or (not how and not self._seen.complete):
                continue
            so = self._does(how, usual, power, subject.glows)
            fits &= so
            if how not in ("", NORMAL):
                tells |= so
        warm = self._warmth(watts, shown, free)
        if TEMPERATURE in shown and not self._any_warmth:
            fits &= warm
            if shown[TEMPERATURE] != RIGHT:
                tells |= warm
        if PROTECTION in shown and not (leaks or self._any_trip):
            # One pole opens them all: watts for one may lie in one line, and those for every pole overload some pole.
            total, lines = watts.sum(axis=2), len(self._board.appliance.lines)
            fits &= total <= self._most_watts * lines if shown[PROTECTION] == HOLDS else total > self._most_watts
        if leaks and shown.get(PROTECTION, HOLDS) != HOLDS:
            tells[:] = True
        return fits, tells

    def _does(self, how: str, usual: float, power: FloatArray, glows: bool) -> BoolArray:
        assumed = self._board.assumed
        trickle = assumed.glow if glows else assumed.trickle
        if usual < trickle / 2.0:
            return np.asarray(power >= trickle / 2.0 if how == UNWANTED else power <= 2.0 * trickle)
        share = power / usual
        least, most = assumed.normal
        if how == NORMAL:
            return np.asarray(share >= assumed.dead / 2.0 if glows else (share >= least) & (share <= most))
        if how == OFF:
            return np.asarray(share <= 2.0 * assumed.dead)
        if how == WEAK:
            return np.asarray((share >= assumed.dead / 2.0) & (share <= assumed.weak))
        return np.asarray(share >= assumed.strong) if how == STRONG else np.zeros(share.shape, dtype=np.bool_)

    def _warmth(self, watts: FloatArray, shown: Mapping[str, str], free: BoolArray | None) -> BoolArray:
        """Whether the watts allow the temperature that is told of, shape of ``watts`` less the last.

        A thermostat holds what is set whatever the heaters draw, so it gets too hot only where something draws more, or
        does not rest when it should; and too cool, or short of what is set, where much is missing or a fan is.
        """
        assumed, how = self._board.assumed, shown.get(TEMPERATURE, RIGHT)
        usual, here = self._usual[self._heating], watts[:, :, self._heating]
        whole = max(float(usual.sum()), 1e-9)
        change = here - usual
        share = here.sum(axis=2) / whole
        if how in (RIGHT, COLD):
            return np.asarray(share > assumed.dead if how == RIGHT else share <= assumed.dead)
        if how == HOT:
            more = change.max(axis=2, initial=0.0) > assumed.alters * whole
            return np.asarray(more if free is None else more | free[:, None])
        moved = np.abs(change[:, :, self._moves]) > assumed.missing * usual[self._moves]
        missing = share <= 1.0 - (assumed.alters if how == SHORT else assumed.missing)
        return np.asarray((share > assumed.dead) & (missing | moved.any(axis=2)))


def _subjects(board: Board, loads: IntArray) -> list[_Subject]:
    rows: dict[str, list[int]] = {}
    glows: dict[str, bool] = {}
    for place, i in enumerate(loads.tolist()):
        branch = board.appliance.branches[i]
        name = branch.place or branch.name
        rows.setdefault(name, []).append(place)
        glows[name] = branch.kind is BranchKind.NEON
    return [_Subject(name, np.array(at, dtype=np.intp), glows[name]) for name, at in rows.items()]


def users(board: Board, seen: Sequence[InUse], given: Sequence[Fault] = ()) -> list[InUseReader]:
    """The positions switched on, each with its circuit worked out."""
    return [InUseReader(board, item, given) for item in seen]
