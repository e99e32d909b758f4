"""The appliance switched on: what every part draws, and what flows in line, neutral and earth.

The supply is that of a TN system: each line held at the supply voltage, neutral and earth at 0 V. Earth is held only
through the appliance's incoming earth terminal, so metalwork whose bond is off floats to whatever leakage gives it.
Everything is a resistance; a motor is the one that draws its rated watts. Relays stand as their coils make them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probebook.appliances.model import Appliance, BranchKind, State
from probebook.appliances.relays import settled
from probebook.appliances.states import branch_ends, branch_ohms
from probebook.appliances.supply.incoming import currents_in, held_terminals, largest
from probebook.circuit import Energised, energise, volts_between

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Working:
    """An appliance switched on, in B states. On three phases volts and amperes are magnitudes (effective values).

    Attributes
    ----------
    supply
        Volts between line and neutral, shape ``(B,)``.
    volts
        Potential of each terminal above earth, shape ``(B, n)``; not a number where nothing joins it to the supply.
    amps
        Current in each branch from its first end to its second, shape ``(B, m)``.
    watts
        Power in each branch, shape ``(B, m)``.
    line_amps, neutral_amps, earth_amps
        Current in from line (of three that which carries most), and out to neutral and to earth, shape ``(B,)``.
    ohms
        Resistance of each branch as the relays stand, shape ``(B, m)``.
    each_line
        Current in from each line, shape ``(B, lines)``.
    phasors
        None on one phase; else the potentials in phase with L1 and a quarter of a period ahead, shape ``(2, B, n)``.
    """

    supply: FloatArray
    volts: FloatArray
    amps: FloatArray
    watts: FloatArray
    line_amps: FloatArray
    neutral_amps: FloatArray
    earth_amps: FloatArray
    ohms: FloatArray
    each_line: FloatArray
    phasors: FloatArray | None = None

    def between(self, a: int, b: int) -> FloatArray:
        """Volts that a meter shows between two terminals, shape ``(B,)``; not a number where one of them floats."""
        return volts_between(self.volts, self.phasors, a, b)

    @property
    def residual_amps(self) -> FloatArray:
        """Line currents less neutral current, shape ``(B,)``: what a residual-current device weighs.

        What does not come back by neutral goes to earth (Kirchhoff), so this is the earth current; had that way,
        milliamperes are not lost in the difference of two large currents.
        """
        return self.earth_amps

    @property
    def total_watts(self) -> FloatArray:
        """Power drawn from the supply, shape ``(B,)``."""
        return np.asarray(self.watts.sum(axis=-1), dtype=np.float64)


def supply_volts(appliance: Appliance, state: State, volts: float | None = None) -> float:
    """Volts that the appliance gets in a state: those of a low-supply fault, else ``volts``, else the supply's own."""
    low = [fault.volts for name in sorted(state.faults) if (fault := appliance.fault(name)).volts > 0]
    if low:
        return min(low)
    return appliance.supply.volts if volts is None else volts


def at_work(appliance: Appliance, flow: Working | Energised, row: int, part: float) -> frozenset[str]:
    """Names of the loads that work in one row of an energised solution.

    A load works when it carries at least ``part`` of its rated current (its power over its voltage), a neon when it
    has the volts that strike it. What leaks through hot insulation, a fraction of a milliampere, works nothing.
    """
    on = set()
    for k, branch in enumerate(appliance.branches):
        if branch.watts > 0.0 and abs(flow.amps[row, k]) >= part * (branch.watts / branch.hot_ohms) ** 0.5:
            on.add(branch.name)
            continue
        if branch.strikes_at > 0.0 and flow.between(*branch.ends)[row] >= branch.strikes_at:
            on.add(branch.name)
    return frozenset(on)


def working(
    appliance: Appliance,
    states: Sequence[State],
    *,
    volts: float | None = None,
    hot: bool = True,
    leaking: bool = True,
) -> Working:
    """What flows when the appliance is switched on, in each of the states.

    Parameters
    ----------
    appliance, states
        What to energise; KeyError for a position, fault, wire or cut-out the appliance does not have.
    volts
        Supply voltage in place of the appliance's own; a low-supply fault overrides both.
    hot
        Resistances at working temperature; False for the moment of switching on, cold.
    leaking
        Whether insulation leaks as it does; False takes every path through insulation as open.

    Notes
    -----
    A neon conducts when the supply is above its striking voltage. A motor draws its current through more than the
    ohms of its winding, so it counts as running hot or cold; one that is seized still draws.
    """
    supply = np.array([supply_volts(appliance, state, volts) for state in states], dtype=np.float64)
    n, ends, m = len(appliance.terminals), branch_ends(appliance), len(appliance.branches)
    found_volts = np.empty((len(states), n))
    amps, watts, found_ohms = (np.empty((len(states), m)) for _ in range(3))
    each_line, (neutral, earth) = np.zeros((len(states), len(appliance.lines))), np.zeros((2, len(states)))
    phasors = np.empty((2, len(states), n)) if appliance.other_lines else None
    motors = np.ones(m)
    insulating = np.array([branch.kind is BranchKind.INSULATION for branch in appliance.branches])
    if not hot:
        for k, branch in enumerate(appliance.branches):
            if branch.kind in (BranchKind.MOTOR, BranchKind.COIL):
                motors[k] = branch.hot_ohms / branch.cold_ohms
    for level in np.unique(supply):
        rows = np.flatnonzero(supply == level)
        here, held = [states[int(i)] for i in rows], held_terminals(appliance, float(level))

        def table(pulled: frozenset[str], here: Sequence[State] = here, level: float = float(level)) -> FloatArray:
            some = [replace(state, opened=state.opened | pulled) for state in here] if pulled else here
            ohms = branch_ohms(appliance, some, hot=hot, test_volts=level, spread=motors)
            if not leaking:
                ohms[:, insulating] = np.inf
            return ohms

        ohms = settled(appliance, held, table)
        flow = energise(n, ends, ohms, held)
        found_volts[rows], amps[rows], watts[rows], found_ohms[rows] = flow.volts, flow.amps, flow.watts, ohms
        found = currents_in(appliance, flow)
        each_line[rows], neutral[rows], earth[rows] = found.lines, found.neutral, found.earth
        if phasors is not None:
            phasors[:, rows] = flow.phasors
    line = largest(each_line)
    return Working(supply, found_volts, amps, watts, line, neutral, earth, found_ohms, each_line, phasors)
