"""Which protective device trips, and when.

Three devices are judged by the current in them: the fuse in the plug, the circuit breaker and the residual-current
device. From what multiple of its rating each acts is a fact of the region (:class:`probebook.regions.limits.Band`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from probebook.appliances.energised_states import working
from probebook.appliances.model import Appliance, State

if TYPE_CHECKING:
    from probebook.regions.region import Devices


class Device(StrEnum):
    """A protective device, as a person names it."""

    FUSE = "plug fuse"
    BREAKER = "circuit breaker"
    RESIDUAL = "residual-current device"


class Trips(StrEnum):
    """When a device trips.

    Within minutes means once the appliance has warmed up, or within the hour at a moderate overload.
    """

    AT_ONCE = "at once"
    MINUTES = "within minutes"
    PERHAPS = "perhaps"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Trip:
    """How one device fares: when it trips, its rating, and the current in it at switching on and when warm (A)."""

    device: Device
    trips: Trips
    rating: float
    cold_amps: float
    warm_amps: float


def trips_at(device: Device, amps: float, rating: float, devices: Devices) -> Trips:
    """When a device of a rating (A) trips that carries a steady current (A); a rating of 0 is no device."""
    band = {Device.FUSE: devices.fuse, Device.BREAKER: devices.breaker, Device.RESIDUAL: devices.residual}[device]
    if rating <= 0.0 or band is None:
        return Trips.NEVER
    times = abs(amps) / rating
    if times >= band.at_once:
        return Trips.AT_ONCE
    if times >= band.trips:
        return Trips.MINUTES
    return Trips.PERHAPS if times > band.holds else Trips.NEVER


def protection(appliance: Appliance, states: Sequence[State], *, volts: float | None = None) -> list[tuple[Trip, ...]]:
    """How each protective device fares in each state: at switching on, cold, and once everything is warm.

    Leakage is reckoned cold and at working temperature: a crack that opens with heat, or damp that is driven through
    the filling as it warms, trips a device minutes after switching on. Each device is judged as if it were alone.
    """
    cold = working(appliance, states, volts=volts, hot=False)
    warm = working(appliance, states, volts=volts)
    supply = appliance.supply
    return [
        tuple(
            _trip(device, rating, (float(at_first[i]), float(later[i])), appliance.region.devices)
            for device, rating, at_first, later in (
                (Device.FUSE, supply.fuse_amps, cold.line_amps, warm.line_amps),
                (Device.BREAKER, supply.breaker_amps, cold.line_amps, warm.line_amps),
                (Device.RESIDUAL, supply.residual_amps, cold.residual_amps, warm.residual_amps),
            )
            if rating > 0.0
        )
        for i in range(len(states))
    ]


def _trip(device: Device, rating: float, amps: tuple[float, float], devices: Devices) -> Trip:
    """How a device fares with these currents (A) at switching on and when warm."""
    order = list(Trips)
    first, later = (trips_at(device, a, rating, devices) for a in amps)
    if later is Trips.AT_ONCE and first is not Trips.AT_ONCE:
        later = Trips.MINUTES
    return Trip(device, min(first, later, key=order.index), rating, *amps)
