"""What a person would notice, computed from the circuit at work.

A symptom says of one subject in one position of the controls how it does: ``Symptom("oven", "base", "off")``. Subjects
are what is heated (``top``, ``base``, ``ring`` …), lamps, neons and motors by mark, :data:`PROTECTION`, and
:data:`TEMPERATURE`, for which this floor gives what follows from power and thermostat alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, BranchKind, branch_ends, grid_ohms
from probebook.appliances.protection import Device, Trips, trips_at
from probebook.circuit import energise
from probebook.diagnosis.hypotheses import Same, hypotheses, settled

FloatArray = NDArray[np.float64]

#: Below and above these shares of its usual power a heater is called weak or too strong (assumed).
WEAK, STRONG, NOTHING = 0.85, 1.15, 0.02
#: Watts that nobody notices in a heater, lamp or motor, and in a neon (assumed; a neon lights on very little).
TRICKLE, NEON_TRICKLE = 5.0, 0.01
#: Below this share of the usual power a cavity is taken never to reach temperature (assumed).
ENOUGH = 0.75
#: From this offset, K, a thermostat is called too hot or too cool (assumed; about what a cook notices).
NOTICED_OFFSET = 15.0

PROTECTION = "protection"
TEMPERATURE = "temperature"

OFF, WEAKLY, NORMAL, STRONGLY, UNWANTED = "off", "weak", "normal", "too strong", "on when it should be off"
HOLDS = "holds"
RIGHT, COLD, SHORT_OF, TOO_COOL, TOO_HOT = "right", "stays cold", "never reaches it", "too cool", "too hot"

#: How many ways a subject can do, for the share of wrong reports that falls on each.
WAYS = 5


@dataclass(frozen=True, slots=True, order=True)
class Symptom:
    """How one subject does in one position of the controls."""

    position: str
    subject: str
    how: str


#: What is noticed: symptoms in order, one a subject and position.
Symptoms = tuple[Symptom, ...]


def symptoms(appliance: Appliance, faults: Iterable[str]) -> Symptoms:
    """Everything there is to notice of an appliance with these faults, in all working positions."""
    return symptom_table(appliance)[settled(appliance, faults)]


def noticed(appliance: Appliance, faults: Iterable[str]) -> Symptoms:
    """The symptoms that differ from those of the sound appliance: what a complaint can be about."""
    usual = set(symptoms(appliance, ()))
    return tuple(s for s in symptoms(appliance, faults) if s not in usual)


def symptom_table(appliance: Appliance) -> dict[frozenset[str], Symptoms]:
    """The symptoms of every hypothesis, by its faults; worked out once for each appliance."""
    return _symptom_table(Same(appliance))


@dataclass(frozen=True, slots=True, eq=False)
class _Work:
    """What the appliance does in each position under each hypothesis: arrays ``(p, h, …)``."""

    calling: FloatArray
    resting: FloatArray
    line_amps: FloatArray
    residual_amps: FloatArray


@lru_cache(maxsize=32)
def _symptom_table(key: Same) -> dict[frozenset[str], Symptoms]:
    appliance = key.appliance
    listed = hypotheses(appliance)
    positions = [p.name for p in appliance.positions if p.heats]
    if not positions:
        return {h.faults: () for h in listed}
    work = _work(appliance, positions)
    return {
        h.faults: tuple(s for p, name in enumerate(positions) for s in _at(appliance, name, p, row, h.faults, work))
        for row, h in enumerate(listed)
    }


def _work(appliance: Appliance, positions: list[str]) -> _Work:
    listed = hypotheses(appliance)
    sets = [sorted(h.faults) for h in listed]
    usual = appliance.supply.volts
    volts = np.array([min([appliance.fault(f).volts for f in s if appliance.fault(f).volts] or [usual]) for s in sets])
    scale = volts / usual
    held = {appliance.terminal(appliance.line): usual, appliance.terminal(appliance.neutral): 0.0}
    if appliance.earth:
        held[appliance.terminal(appliance.earth)] = 0.0
    n, ends = len(appliance.terminals), branch_ends(appliance)
    watts: dict[tuple[bool, bool], FloatArray] = {}
    line, residual = np.zeros((len(positions), len(sets))), np.zeros((len(positions), len(sets)))
    for calling, hot in ((True, True), (False, True), (True, False)):
        ohms = grid_ohms(appliance, positions, [()], sets, calling=calling, hot=hot, test_volts=usual)[:, 0]
        flow = energise(n, ends, ohms, held)
        watts[calling, hot] = flow.watts * scale[:, None] ** 2
        line = np.maximum(line, np.nan_to_num(flow.supplied[..., 0], nan=np.inf) * scale)
        if appliance.earth:
            residual = np.maximum(residual, np.nan_to_num(-flow.supplied[..., 2], nan=np.inf) * scale)
    return _Work(watts[True, True], watts[False, True], line, residual)


def _at(appliance: Appliance, position: str, p: int, row: int, faults: frozenset[str], work: _Work) -> list[Symptom]:
    """Symptoms in one position under one hypothesis; row 0 is the sound appliance."""
    found: list[tuple[str, str]] = []
    stopped = {appliance.fault(f).stops for f in faults}
    tripped = _tripped(appliance, float(work.line_amps[p, row]), float(work.residual_amps[p, row]))
    dead = tripped.endswith("at once")
    groups: dict[str, list[int]] = {}
    for i, branch in enumerate(appliance.branches):
        if branch.place:
            groups.setdefault(branch.place, []).append(i)
        elif branch.kind in (BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON):
            groups.setdefault(branch.name, []).append(i)
    for subject, rows in groups.items():
        usual = float(work.calling[p, 0, rows].sum())
        power = 0.0 if dead or subject in stopped else float(work.calling[p, row, rows].sum())
        how = _how(power, usual, glow=appliance.branches[rows[0]].kind is BranchKind.NEON)
        if how:
            found.append((subject, how))
    heaters = [i for i, b in enumerate(appliance.branches) if b.place]
    if work.calling[p, 0, heaters].sum() > TRICKLE > work.resting[p, 0, heaters].sum():
        found.append((TEMPERATURE, _temperature(appliance, faults, p, row, heaters, work, dead=dead)))
    found.append((PROTECTION, tripped))
    return [Symptom(position, subject, how) for subject, how in found]


def _how(power: float, usual: float, *, glow: bool) -> str:
    """How a subject does that takes ``power`` W where the sound one takes ``usual``; empty where it rightly rests."""
    trickle = NEON_TRICKLE if glow else TRICKLE
    if usual < trickle:
        return UNWANTED if power > trickle else ""
    share = power / usual
    if share < NOTHING:
        return OFF
    if glow:
        return NORMAL
    return WEAKLY if share < WEAK else STRONGLY if share > STRONG else NORMAL


def _temperature(
    appliance: Appliance, faults: frozenset[str], p: int, row: int, heaters: list[int], work: _Work, *, dead: bool
) -> str:
    share = 0.0 if dead else float(work.calling[p, row, heaters].sum() / work.calling[p, 0, heaters].sum())
    if share < NOTHING:
        return COLD
    if work.resting[p, row, heaters].sum() > 0.05 * work.calling[p, 0, heaters].sum():
        return TOO_HOT
    if share < ENOUGH:
        return SHORT_OF
    offset = sum(appliance.fault(f).offset for f in sorted(faults))
    if abs(offset) >= NOTICED_OFFSET:
        return TOO_HOT if offset > 0 else TOO_COOL
    return RIGHT


def _tripped(appliance: Appliance, line: float, residual: float) -> str:
    supply = appliance.supply
    for device, amps, rating in (
        (Device.RESIDUAL, residual, supply.residual_amps),
        (Device.FUSE, line, supply.fuse_amps),
        (Device.BREAKER, line, supply.breaker_amps),
    ):
        when = trips_at(device, amps, rating)
        if when in (Trips.AT_ONCE, Trips.MINUTES):
            return f"{device.value} trips {when.value}"
    return HOLDS
