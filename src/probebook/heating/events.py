"""Contacts that move during a run, and exactly when something crosses its threshold."""

from __future__ import annotations

import math
from dataclasses import dataclass

from probebook.heating.controls import Stuck

__all__ = ["Contact", "crossing_time"]

_TIME_TOLERANCE = 1e-8  # s


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


def crossing_time(constant: float, terms: list[tuple[float, float]], span: float, end: float) -> float:
    """Return the time in ``[0, span]`` at which a course of modes rises past zero.

    The course is ``constant`` plus, for each term ``(rate, amount)``, ``amount e^(-rate t)`` (or
    ``amount t`` where the rate is 0); ``end`` is its value at ``span``, above zero. Where it lies
    above zero at the start already, the time is 0. Newton's method, kept inside a shrinking
    bracket.
    """
    start = constant + math.fsum(amount for rate, amount in terms if rate > 0.0)
    if start >= 0.0:
        return 0.0
    low, high = 0.0, span
    t = span * start / (start - end)
    while high - low > _TIME_TOLERANCE:
        value, slope = constant, 0.0
        for rate, amount in terms:
            if rate > 0.0:
                part = amount * math.exp(-rate * t)
                value += part
                slope -= rate * part
            else:
                value += amount * t
                slope += amount
        if value > 0.0:
            high = t
        else:
            low = t
        following = t - value / slope if slope > 0.0 else high
        if abs(following - t) <= _TIME_TOLERANCE:
            return min(max(following, low), high)
        t = following if low < following < high else (low + high) / 2.0
    return high
