"""Contacts that move during a run, what may move next, and exactly when it does."""

from __future__ import annotations

import math
from dataclasses import dataclass

from probebook.heating.controls import Stuck
from probebook.heating.network import Array

__all__ = ["Contact", "Watch", "first_crossing"]

_TIME_TOLERANCE = 1e-9  # s


@dataclass(slots=True)
class Contact:
    """A thermostat's or cut-out's contact while a run goes on; ``node`` is where it senses."""

    name: str
    node: int
    opens: float
    closes: float | None
    closed: bool
    stuck: Stuck | None
    heaters: frozenset[str]


@dataclass(frozen=True, slots=True)
class Watch:
    """A quantity ``row @ z + constant`` of the mode amplitudes z that acts when it rises past zero.

    ``target`` is what acts: a contact, or the node that starts or stops boiling. ``slack`` is how
    far above zero the quantity may lie at the start of a segment without acting.
    """

    row: Array
    constant: float
    slack: float
    target: Contact | str

    def value(self, z: Array) -> float:
        """Return the quantity for mode amplitudes ``z``."""
        return float(self.row @ z) + self.constant


def first_crossing(
    watches: list[Watch], rates: Array, z: Array, push: Array, span: float, after: Array
) -> tuple[float, Watch]:
    """Return when (s from now) and which of the watches first acts within ``span``.

    ``z`` and ``after`` are the amplitudes at the two ends of the span; at least one watch must
    lie above zero at its end.
    """
    crossed = [watch for watch in watches if watch.value(after) > 0.0]
    waits = [_crossing(watch, rates, z, push, span) for watch in crossed]
    first = min(range(len(waits)), key=waits.__getitem__)
    return waits[first], crossed[first]


def _crossing(watch: Watch, rates: Array, z: Array, push: Array, span: float) -> float:
    """Find the time in ``[0, span]`` at which a watch rises past zero, by the Illinois method."""
    terms = list(zip(rates.tolist(), (watch.row * z).tolist(), (watch.row * push).tolist(), strict=True))

    def value(t: float) -> float:
        total = watch.constant
        for rate, amplitude, drive in terms:
            built = -math.expm1(-rate * t) / rate if rate > 0.0 else t
            total += amplitude * (1.0 - rate * built) + drive * built
        return total

    low, high = 0.0, span
    below, above = value(low), value(high)
    if below >= 0.0:
        return low
    side = 0
    while high - low > _TIME_TOLERANCE and above > 0.0:
        middle = (low * above - high * below) / (above - below)
        if not low < middle < high:  # the root lies within rounding of one end
            return low if -below < above else high
        found = value(middle)
        if found > 0.0:
            high, above = middle, found
            below = below / 2.0 if side > 0 else below
            side = 1
        else:
            low, below = middle, found
            above = above / 2.0 if side < 0 else above
            side = -1
    return high
