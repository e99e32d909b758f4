"""What the meter would find, for every hypothesis and trial at once.

For each hypothesis h and trial t the table holds ln R with every part at its nominal value, and how ln R moves with
each *unknown*: where a made element lies within its tolerance, how the cold ohms of the alloy differ from the table,
how good insulation and contacts happen to be, how severe a fault is. By Tellegen's theorem the slope of ln R against
ln r of a branch is the share of the test power the branch takes, which :func:`probebook.circuit.sensitivity` gives
without differences. So for unknowns θ in standard deviations::

    R[h, t](θ) = exp(ln R0[h, t] + slope[h, t] · θ)

and no circuit has to be solved again for another draw, another meter or another piece of evidence.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import (
    OHMMETER_VOLTS,
    Appliance,
    BranchKind,
    Effect,
    Fault,
    branch_ends,
    controlled_ohms,
    effect_of,
)
from probebook.circuit import resistances_for, sensitivity
from probebook.diagnosis.assumed import Spreads
from probebook.diagnosis.candidates import Hypothesis
from probebook.diagnosis.physics.paths import LeaksTable, leaks_between
from probebook.diagnosis.trial import Trial
from probebook.meters import Function
from probebook.numerics.matrices import product

FloatArray = NDArray[np.float64]

#: A dead short stands in the table as this many ohms, far below anything a meter shows.
LEAST_OHMS = 1e-9

#: How many faults of a hypothesis have a severity of their own.
SEVERITIES = 2


@dataclass(frozen=True, slots=True, eq=False)
class Response:
    """What each trial would find under each hypothesis.

    Attributes
    ----------
    ln_ohms
        ln R at the probe tips, all parts nominal, shape ``(h, t)``; ``inf`` where nothing joins the probes.
    slope
        Change of ln R a standard deviation of each unknown, shape ``(h, t, u)``; 0 where R is ``inf``.
    unknowns
        Names of the unknowns, ``u`` of them.
    """

    ln_ohms: FloatArray
    slope: FloatArray
    unknowns: tuple[str, ...]


_State = tuple[str, bool, frozenset[str], frozenset[str], bool, float]
_Question = tuple[_State, tuple[str, str]]


@dataclass(frozen=True, slots=True)
class _Column:
    """What one question finds under each hypothesis: ln ohms ``(h,)``, and each different slope once.

    Most hypotheses leave most readings alone, and there are hundreds of both: whole, this is most of a kernel's memory.
    """

    ln_ohms: FloatArray
    rows: FloatArray
    which: NDArray[np.uint32]

    @classmethod
    def of(cls, ln_ohms: FloatArray, slope: FloatArray) -> _Column:
        """Keep a slope, shape ``(h, u)``, bit for bit."""
        known: dict[bytes, int] = {}
        which = [known.setdefault(row.tobytes(), len(known)) for row in slope]
        rows = np.frombuffer(b"".join(known), dtype=np.float64).reshape(len(known), slope.shape[1])
        return cls(ln_ohms, rows, np.array(which, dtype=np.uint32))

    @property
    def slope(self) -> FloatArray:
        """How ln ohms follow the unknowns under each hypothesis, shape ``(h, u)``."""
        return self.rows[self.which]


def _question(trial: Trial, test_volts: float) -> _Question:
    """What a trial asks of the circuit; trials that differ only in the dial ask the same."""
    volts = test_volts if trial.function is Function.INSULATION else OHMMETER_VOLTS
    a, b = sorted(trial.probes)
    return (trial.position, trial.calling, trial.lifted, trial.opened, trial.dried, volts), (a, b)


class ResponseTable:
    """What meter trials would find under each hypothesis listed; columns worked out so far are remembered."""

    def __init__(self, appliance: Appliance, listed: Sequence[Hypothesis], spreads: Spreads) -> None:
        self.appliance = appliance
        self.test_volts = appliance.region.test_volts
        self.hypotheses = tuple(listed)
        self.columns: dict[_Question, _Column] = {}
        self._leaks: dict[_Question, LeaksTable] = {}
        self._spread, names = _spreads(appliance, spreads)
        self.unknowns = (*names, *(f"severity {i + 1}" for i in range(SEVERITIES)))
        self._spreads = spreads
        self._effects: dict[bool, _Effects] = {}

    def response(self, trials: Sequence[Trial]) -> Response:
        """The response of every hypothesis to meter trials, each electrical question worked out once.

        KeyError for a position, wire or terminal that the appliance does not have.
        """
        self.learn(trials)
        columns = [self.columns[_question(t, self.test_volts)] for t in trials]
        if not columns:
            shape = (len(self.hypotheses), 0)
            return Response(np.empty(shape), np.empty((*shape, len(self.unknowns))), self.unknowns)
        return Response(
            np.stack([c.ln_ohms for c in columns], axis=1), np.stack([c.slope for c in columns], axis=1), self.unknowns
        )

    def _effects_when(self, dried: bool) -> _Effects:
        """What the faults do, worked out when first asked for: readings after drying are rare."""
        if dried not in self._effects:
            self._effects[dried] = _Effects.of(self.appliance, self.hypotheses, dried, self._spreads)
        return self._effects[dried]

    @property
    def making(self) -> FloatArray:
        """How each branch follows each unknown of making, shape ``(m, u)``; after them come the severities."""
        return self._spread

    def insulation(self, trial: Trial) -> tuple[FloatArray, FloatArray]:
        """Ohms of each branch of a sound appliance in an insulation test, and their deviation in ln: both ``(m,)``."""
        state, _ = _question(trial, self.test_volts)
        ohms, follows = self._ohms(state)
        return ohms[0], follows[0] * np.sqrt((self._spread**2).sum(axis=1))

    def leaks(self, trial: Trial) -> LeaksTable:
        """The leakage paths that an insulation test reaches under each hypothesis, worked out once.

        KeyError for a position, wire or terminal that the appliance does not have.
        """
        asked = _question(trial, self.test_volts)
        if asked not in self._leaks:
            state, probes = asked
            ohms, follows = self._ohms(state)
            forces = self._effects_when(state[4]).forces.sum(axis=1)
            deviation = np.hypot(follows * np.sqrt((self._spread**2).sum(axis=1)), forces)
            a, b = (self.appliance.terminal(t) for t in probes)
            self._leaks[asked] = leaks_between(self.appliance, ohms, deviation, forces > 0.0, (a, b))
        return self._leaks[asked]

    def learn(self, trials: Iterable[Trial]) -> None:
        """Work out the columns of trials not asked about before, all states of one pair of probes together."""
        by_pair: dict[tuple[str, str], list[_State]] = {}
        for state, pair in dict.fromkeys(_question(t, self.test_volts) for t in trials):
            if (state, pair) not in self.columns:
                by_pair.setdefault(pair, []).append(state)
        for pair, states in by_pair.items():
            for state, column in zip(states, self._solve(pair, states), strict=True):
                self.columns[state, pair] = column

    def _solve(self, pair: tuple[str, str], states: list[_State]) -> list[_Column]:
        a, b = (self.appliance.terminal(t) for t in pair)
        n, ends = len(self.appliance.terminals), branch_ends(self.appliance)
        ohms, follows = (np.stack(both) for both in zip(*(self._ohms(s) for s in states), strict=True))
        with np.errstate(divide="ignore"):
            ln_ohms = np.log(np.maximum(resistances_for(n, ends, ohms, [[a, b]])[..., 0], LEAST_OHMS))
        share = sensitivity(n, ends, ohms, a, b)
        found: list[_Column] = []
        for k, state in enumerate(states):
            severity = self._effects_when(state[4]).severity(share[k], follows[k], ohms[k])
            slope = np.concatenate([product(share[k] * follows[k], self._spread), severity], axis=1)
            slope[~np.isfinite(ln_ohms[k])] = 0.0
            found.append(_Column.of(ln_ohms[k].copy(), slope))
        return found

    def _ohms(self, state: _State) -> tuple[FloatArray, FloatArray]:
        """Ohms of each branch under each hypothesis, and how far they follow the healthy branch: both ``(h, m)``."""
        position, calling, lifted, opened, dried, volts = state
        healthy = controlled_ohms(self.appliance, position, calling=calling, opened=sorted(opened), test_volts=volts)
        effect = self._effects_when(dried).joint
        forced = ~np.isnan(effect.force)
        scaled = np.where(forced, effect.force, healthy) * effect.factor
        ohms = scaled + effect.series
        with np.errstate(invalid="ignore", divide="ignore"):
            follows = np.where(forced | ~np.isfinite(ohms) | (ohms <= 0), 0.0, scaled / ohms)
        off = [i for i, b in enumerate(self.appliance.branches) if b.part in lifted]
        ohms[:, off] = np.inf
        return ohms, follows


@dataclass(frozen=True, slots=True, eq=False)
class _Effects:
    """What each hypothesis does to each branch, and which of it has a severity: arrays ``(h, m)``, ``(h, k, m)``."""

    joint: Effect
    forces: FloatArray
    scales: FloatArray
    adds: FloatArray

    @classmethod
    def of(cls, appliance: Appliance, listed: Sequence[Hypothesis], dried: bool, spreads: Spreads) -> _Effects:
        """The effects of all hypotheses."""
        shape = (len(listed), SEVERITIES, len(appliance.branches))
        forces, scales, adds = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        effects: list[Effect] = []
        for row, hypothesis in enumerate(listed):
            faults = [appliance.fault(f) for f in sorted(hypothesis.faults)]
            effects.append(effect_of(appliance, faults, dried=dried))
            severe = [f for f in faults if f.kind in spreads.severity and not (dried and f.recovers)]
            for slot, fault in enumerate(severe):
                deviation = spreads.severity[fault.kind]
                _put_severity(appliance, fault, deviation, (row, slot), (forces, scales, adds))
        joint = Effect(*(np.stack([getattr(e, name) for e in effects]) for name in Effect.__slots__))
        return cls(joint, forces, scales, adds)

    def severity(self, share: FloatArray, follows: FloatArray, ohms: FloatArray) -> FloatArray:
        """Slope of ln R against each fault's severity, shape ``(h, k)``."""
        with np.errstate(invalid="ignore", divide="ignore"):
            added = np.where(np.isfinite(ohms) & (ohms > 0), 1.0 / ohms, 0.0)
        parts = ((self.forces, share), (self.scales, share * follows), (self.adds, share * added))
        forced, scaled, put_in = (product(each, by[..., None])[..., 0] for each, by in parts)
        return np.asarray(forced + scaled + put_in)


def _put_severity(
    appliance: Appliance,
    fault: Fault,
    deviation: float,
    at: tuple[int, int],
    into: tuple[FloatArray, FloatArray, FloatArray],
) -> None:
    forces, scales, adds = into
    for change in fault.changes:
        i = appliance.branch(change.branch)
        if change.force is not None and math.isfinite(change.force):
            forces[(*at, i)] = deviation
        if change.factor != 1.0:
            scales[(*at, i)] = deviation
        adds[(*at, i)] = deviation * change.series


def _spreads(appliance: Appliance, spreads: Spreads) -> tuple[FloatArray, list[str]]:
    """How each branch follows each unknown of making, shape ``(m, u)``, and the unknowns' names.

    A tolerance is the half-width of a rectangular distribution; its standard deviation is that over √3 (JCGM 100:2008,
    4.3.7). Elements, lamps, motors, coils and insulation paths differ each by itself; contacts and wires are few
    milliohms, so one unknown stands for all of each; the alloy is common to all elements.
    """
    own = {
        BranchKind.ELEMENT: 0.0,
        BranchKind.LAMP: spreads.lamp,
        BranchKind.MOTOR: spreads.motor,
        BranchKind.NEON: spreads.motor,
        BranchKind.COIL: spreads.motor,
        BranchKind.INSULATION: spreads.insulation,
    }
    columns: list[FloatArray] = []
    names: list[str] = []
    m = len(appliance.branches)

    def column(name: str, rows: list[int], deviation: float) -> None:
        if rows and deviation > 0.0:
            values = np.zeros(m)
            values[rows] = deviation
            columns.append(values)
            names.append(name)

    for i, branch in enumerate(appliance.branches):
        if branch.kind in own:
            column(branch.name, [i], branch.tolerance / math.sqrt(3.0) or own[branch.kind])
    of_kind = {kind: [i for i, b in enumerate(appliance.branches) if b.kind is kind] for kind in BranchKind}
    column("alloy", of_kind[BranchKind.ELEMENT], spreads.alloy)
    column("contacts", of_kind[BranchKind.CONTACT] + of_kind[BranchKind.FUSE], spreads.contact)
    column("wires", of_kind[BranchKind.WIRE], spreads.wire)
    return np.stack(columns, axis=1) if columns else np.zeros((m, 0)), names


__all__ = ["Response", "ResponseTable"]
