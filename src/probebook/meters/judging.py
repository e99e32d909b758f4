"""Within, outside, or cannot be told with this meter: the verdict on a measured value.

The rule is that of ISO 14253-1 (and simple acceptance with a guard band of U in JCGM 106:2012): conformity is stated
only when the whole interval of the measurement lies within the limits, non-conformity only when the whole interval
lies outside; otherwise neither can be told.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from probebook.errors import UsageError
from probebook.regions.limits import Limit

__all__ = ["Conformity", "Verdict", "verdict"]


class Conformity(StrEnum):
    """What can be said."""

    WITHIN = "within"
    OUTSIDE = "outside"
    CANNOT_TELL = "cannot"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A verdict and why.

    Attributes
    ----------
    conformity
        One of three.
    rule
        The rule judged by, empty for bare limits.
    low, high
        Interval of the measurement, SI.
    limit_low, limit_high
        What is allowed, SI.
    """

    conformity: Conformity
    rule: str
    low: float
    high: float
    limit_low: float
    limit_high: float


def verdict(
    estimate: float,
    uncertainty: float | tuple[float, float],
    limits: Limit | tuple[float, float],
) -> Verdict:
    """Judge a measured value against limits.

    Parameters
    ----------
    estimate
        The measured value, SI, a quantity that is never below 0; ``inf`` for an over-range reading.
    uncertainty
        Expanded uncertainty U, or the interval ``(low, high)`` of true values (from
        :func:`probebook.meters.limits`).
    limits
        A :class:`~probebook.regions.limits.Limit`, or ``(low, high)`` with ``-inf``, 0 or ``inf`` for a side that has
        none. A value at the limit is allowed.

    Raises
    ------
    UsageError
        The uncertainty is negative or an interval is the wrong way round.
    """
    if isinstance(limits, Limit):
        allowed, rule = (limits.low, limits.high), limits.rule
    else:
        allowed, rule = limits, ""
    low, high = _interval(estimate, uncertainty)
    if not low <= high or not allowed[0] <= allowed[1]:
        raise UsageError("an interval is the wrong way round", remedy="give U of 0 or more, and the lower limit first")
    if allowed[0] <= 0 and math.isinf(allowed[1]):
        raise UsageError("the limits allow anything", remedy="give a lower limit above 0 or an upper one")
    return Verdict(_conformity((low, high), allowed), rule, low, high, *allowed)


def _interval(estimate: float, uncertainty: float | tuple[float, float]) -> tuple[float, float]:
    if isinstance(uncertainty, tuple):
        return uncertainty
    if math.isinf(estimate):
        return estimate, estimate
    return max(0.0, estimate - uncertainty), estimate + uncertainty


def _conformity(found: tuple[float, float], allowed: tuple[float, float]) -> Conformity:
    if allowed[0] <= found[0] and found[1] <= allowed[1]:
        return Conformity.WITHIN
    if found[1] < allowed[0] or found[0] > allowed[1]:
        return Conformity.OUTSIDE
    return Conformity.CANNOT_TELL
