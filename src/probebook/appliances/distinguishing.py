"""Which faults an observation can tell apart, and which it cannot.

Obtainable is: the resistance between any two terminals in any position, with the thermostats closed or open, the
cut-outs cool or warmed until they open and relays at rest or pushed in, at an ohmmeter's voltage and at an insulation
tester's, before and after a drying run, with nothing lifted or any one wire lifted; the watts and earth leakage in any
position, cold and warm; the supply voltage; where a thermostat opens; whether a motor turns; and the setting in which
the controls are found.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from probebook.appliances.assumed import TellingApart
from probebook.appliances.energised_states import working
from probebook.appliances.model import Appliance, Fault, PartKind, State
from probebook.appliances.states import OHMMETER_VOLTS, branch_ends, grid_ohms
from probebook.circuit import resistances

FloatArray = NDArray[np.float64]

#: Name that stands for the healthy appliance among fault ids.
HEALTHY = "nothing wrong"


def untold(appliance: Appliance) -> list[tuple[str, str]]:
    """Pairs of fault ids (or a fault and :data:`HEALTHY`) that no obtainable observation tells apart."""
    faults: list[Fault | None] = [None, *appliance.faults]
    apart = appliance.assumptions.get(TellingApart)
    left = _alike(apart, faults, _at_the_bench(appliance, faults, [()]) + _at_work(appliance, faults))
    if left:
        some = sorted({i for pair in left for i in pair})
        chosen = [faults[i] for i in some]
        lifts = [(wire.mark,) for wire in appliance.wires]
        alike = _alike(apart, chosen, _at_the_bench(appliance, chosen, lifts))
        lifted = {(some[i], some[j]) for i, j in alike}
        left = [pair for pair in left if pair in lifted]
    return [(_name(faults[i]), _name(faults[j])) for i, j in left]


def look_alike(appliance: Appliance, one: str, other: str) -> bool:
    """Whether a careful eye sees the same with either of two faults (or :data:`HEALTHY`)."""
    return _looks(appliance, one) == _looks(appliance, other)


def _looks(appliance: Appliance, name: str) -> str:
    return "" if name == HEALTHY else appliance.fault(name).mark_left


def _name(fault: Fault | None) -> str:
    return HEALTHY if fault is None else fault.id


def _ids(faults: Iterable[Fault | None]) -> list[tuple[str, ...]]:
    return [() if fault is None else (fault.id,) for fault in faults]


def _at_the_bench(
    appliance: Appliance, faults: Sequence[Fault | None], lifts: Sequence[Sequence[str]]
) -> list[FloatArray]:
    """Readings of every two terminals; each array has shape ``(faults, …)``."""
    n, ends = len(appliance.terminals), branch_ends(appliance)
    positions = [position.name for position in appliance.positions]
    upper = np.triu_indices(n, 1)
    cut_outs = tuple(part.mark for part in appliance.parts if part.kind in (PartKind.CUT_OUT, PartKind.RELAY))
    settings: tuple[tuple[bool, tuple[str, ...], float], ...] = (
        (True, (), OHMMETER_VOLTS),
        (False, (), OHMMETER_VOLTS),
        (True, cut_outs, OHMMETER_VOLTS),
        (True, (), appliance.region.test_volts),
    )
    open_ohms = appliance.assumptions.get(TellingApart).open_ohms
    found = []
    for calling, opened, volts in settings:
        ohms = grid_ohms(appliance, positions, lifts, _ids(faults), calling=calling, opened=opened, test_volts=volts)
        matrix = resistances(n, ends, ohms)[..., upper[0], upper[1]]
        found.append(np.moveaxis(np.where(matrix > open_ohms, np.inf, matrix), 2, 0).reshape(len(faults), -1))
    return found


def _at_work(appliance: Appliance, faults: Sequence[Fault | None]) -> list[FloatArray]:
    """What is seen with the appliance switched on or its controls tried; each array has shape ``(faults, …)``."""
    states = [State(p.name, faults=frozenset(ids)) for ids in _ids(faults) for p in appliance.positions]
    found = []
    for hot in (False, True):
        flow = working(appliance, states, hot=hot)
        values = (flow.watts, 1e3 * flow.residual_amps, flow.supply)
        found += [np.asarray(value, dtype=np.float64).reshape(len(faults), -1) for value in values]
    marks = sorted({f.target for f in appliance.faults if f.offset or f.stops})
    rooms = [p.name for p in appliance.positions]
    seen = np.zeros((len(faults), 2 * len(marks) + 2))
    for row, fault in enumerate(faults):
        if fault is None:
            continue
        if fault.target in marks:
            seen[row, 2 * marks.index(fault.target)] = fault.offset
            seen[row, 2 * marks.index(fault.target) + 1] = float(bool(fault.stops))
        seen[row, -2] = 1.0 + rooms.index(fault.setting) if fault.setting else 0.0
        seen[row, -1] = float(fault.recovers)
    return [*found, seen]


def _alike(
    apart: TellingApart, faults: Sequence[Fault | None], readings: Sequence[FloatArray]
) -> list[tuple[int, int]]:
    return [
        (i, j)
        for i, j in combinations(range(len(faults)), 2)
        if not any(_differ(table[i], table[j], apart) for table in readings)
    ]


def _differ(one: FloatArray, other: FloatArray, apart: TellingApart) -> bool:
    open_one, open_other = np.isinf(one), np.isinf(other)
    if np.any(open_one != open_other):
        return True
    a, b = one[~open_one], other[~open_one]
    least = np.minimum(np.abs(a), np.abs(b))
    return bool(np.any(np.abs(a - b) > np.maximum(apart.absolute, apart.relative * least)))
