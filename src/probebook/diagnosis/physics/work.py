"""The appliance switched on, in every position and under every hypothesis at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, branch_ends, grid_ohms
from probebook.appliances.protection import Device, Trips, trips_at
from probebook.appliances.relays import settled
from probebook.appliances.supply.incoming import currents_in, held_terminals, largest
from probebook.circuit import energise
from probebook.diagnosis.candidates import Hypothesis

FloatArray = NDArray[np.float64]

#: How protection does when nothing trips.
HOLDS = "holds"


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """What an appliance does in each working position under each hypothesis; row 0 is the sound appliance.

    Attributes
    ----------
    positions
        Names of the ``p`` positions that work something.
    faults
        The faults of each of the ``h`` hypotheses.
    calling, resting
        Watts in each branch while the thermostat calls and while it rests, shape ``(p, h, m)``.
    line_amps, residual_amps
        Amperes at switching on, cold, and once all is warm, shape ``(2, p, h)``; of three lines that which
        carries most.
    """

    positions: tuple[str, ...]
    faults: tuple[frozenset[str], ...]
    calling: FloatArray
    resting: FloatArray
    line_amps: FloatArray
    residual_amps: FloatArray


def work_of(appliance: Appliance, listed: Sequence[Hypothesis]) -> Work:
    """The appliance at work under each hypothesis listed."""
    positions = [p.name for p in appliance.positions if p.heats]
    sets = [sorted(h.faults) for h in listed]
    usual = appliance.supply.volts
    volts = np.array([min([appliance.fault(f).volts for f in s if appliance.fault(f).volts] or [usual]) for s in sets])
    scale = volts / usual
    held = held_terminals(appliance, usual)
    n, ends = len(appliance.terminals), branch_ends(appliance)
    watts: dict[tuple[bool, bool], FloatArray] = {}
    line, residual = (np.zeros((2, len(positions), len(sets))) for _ in range(2))
    for calling, hot in ((True, True), (False, True), (True, False)):

        def table(pulled: frozenset[str], calling: bool = calling, hot: bool = hot) -> FloatArray:
            return grid_ohms(
                appliance, positions, [()], sets, calling=calling, opened=sorted(pulled), hot=hot, test_volts=usual
            )[:, 0]

        ohms = settled(appliance, held, table, scale)
        flow = energise(n, ends, ohms, held)
        watts[calling, hot] = flow.watts * scale[:, None] ** 2
        if calling:
            amps = currents_in(appliance, flow)
            line[int(hot)] = np.nan_to_num(largest(amps.lines), nan=np.inf) * scale
            if appliance.earth:
                residual[int(hot)] = np.nan_to_num(amps.earth, nan=np.inf) * scale
    return Work(
        tuple(positions), tuple(h.faults for h in listed), watts[True, True], watts[False, True], line, residual
    )


def trip_id(device: Device, when: Trips) -> str:
    """What stands in files for a device that trips; what people read of it is a sentence of the text."""
    return f"{device.value} trips {when.value}"


def tripping(appliance: Appliance, work: Work, p: int, row: int) -> tuple[str, Trips]:
    """Which device trips in a position under a hypothesis (:func:`trip_id`), and when; :data:`HOLDS` when none does.

    What is too much only once all is warm trips within minutes. The current at switching on, cold, lasts too short to
    trip anything but what acts at once: much of it may be a motor that has yet to turn.
    """
    supply = appliance.supply
    for device, amps, rating in (
        (Device.RESIDUAL, work.residual_amps, supply.residual_amps),
        (Device.FUSE, work.line_amps, supply.fuse_amps),
        (Device.BREAKER, work.line_amps, supply.breaker_amps),
    ):
        cold, warm = (trips_at(device, float(a), rating, appliance.region.devices) for a in amps[:, p, row])
        if cold is Trips.AT_ONCE:
            return trip_id(device, cold), cold
        if warm in (Trips.AT_ONCE, Trips.MINUTES):
            return trip_id(device, Trips.MINUTES), Trips.MINUTES
    return HOLDS, Trips.NEVER
