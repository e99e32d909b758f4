"""Which protective device trips, and when.

Three devices are judged by the current in them: the fuse in the plug, the circuit breaker and the residual-current
device. The figures are those of the product standards, as read in texts that report them:

* IEC 60898-1, circuit breaker type B: 1.13 times its rating never trips it, 1.45 times trips it within the hour, 5
  times trips it at once (between 3 and 5 times it may take a moment longer).
* BS 1362, plug fuse: 1.6 times its rating for half an hour does not blow it, 1.9 times blows it within half an hour; a
  13 A fuse goes within 0.2 s at 100 A (the 100 A from memory), which is 7.7 times its rating.
* IEC 61008-1, residual-current device: half its rated residual current must not trip it, all of it must within 0.3 s;
  between the two it may.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from probebook.appliances.model import Appliance, State
from probebook.appliances.working import working

BREAKER_HOLDS, BREAKER_TRIPS, BREAKER_AT_ONCE = 1.13, 1.45, 5.0
FUSE_HOLDS, FUSE_BLOWS, FUSE_AT_ONCE = 1.6, 1.9, 100 / 13
RESIDUAL_HOLDS, RESIDUAL_TRIPS = 0.5, 1.0


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


def trips_at(device: Device, amps: float, rating: float) -> Trips:
    """When a device of a rating (A) trips that carries a steady current (A); a rating of 0 is no device."""
    if rating <= 0.0:
        return Trips.NEVER
    times = abs(amps) / rating
    if device is Device.RESIDUAL:
        if times >= RESIDUAL_TRIPS:
            return Trips.AT_ONCE
        return Trips.PERHAPS if times > RESIDUAL_HOLDS else Trips.NEVER
    holds, sure, at_once = (
        (FUSE_HOLDS, FUSE_BLOWS, FUSE_AT_ONCE)
        if device is Device.FUSE
        else (BREAKER_HOLDS, BREAKER_TRIPS, BREAKER_AT_ONCE)
    )
    if times >= at_once:
        return Trips.AT_ONCE
    if times >= sure:
        return Trips.MINUTES
    return Trips.PERHAPS if times > holds else Trips.NEVER


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
            _trip(device, rating, float(at_first[i]), float(later[i]))
            for device, rating, at_first, later in (
                (Device.FUSE, supply.fuse_amps, cold.line_amps, warm.line_amps),
                (Device.BREAKER, supply.breaker_amps, cold.line_amps, warm.line_amps),
                (Device.RESIDUAL, supply.residual_amps, cold.residual_amps, warm.residual_amps),
            )
            if rating > 0.0
        )
        for i in range(len(states))
    ]


def _trip(device: Device, rating: float, cold: float, warm: float) -> Trip:
    order = list(Trips)
    first = trips_at(device, cold, rating)
    later = trips_at(device, warm, rating)
    if later is Trips.AT_ONCE and first is not Trips.AT_ONCE:
        later = Trips.MINUTES
    return Trip(device, min(first, later, key=order.index), rating, cold, warm)
