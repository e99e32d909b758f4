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
from probebook.meters.rules import Limit

__all__ = ["Outcome", "Verdict", "verdict"]


class Outcome(StrEnum):
    """What can be said."""

    WITHIN = "within"
    OUTSIDE = "outside"
    CANNOT_TELL = "cannot be told with this meter"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A verdict and why.

    Attributes
    ----------
    outcome
        One of three.
    why
        One sentence with the numbers.
    low, high
        Interval of the measurement, SI.
    limit_low, limit_high
        What is allowed, SI.
    """

    outcome: Outcome
    why: str
    low: float
    high: float
    limit_low: float
    limit_high: float


def verdict(
    estimate: float,
    uncertainty: float | tuple[float, float],
    limits: Limit | tuple[float, float],
    *,
    unit: str | None = None,
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
        A :class:`~probebook.meters.rules.Limit`, or ``(low, high)`` with ``-inf``, 0 or ``inf`` for a side that has
        none. A value at the limit is allowed.
    unit
        Unit sign for the sentence; that of the limit when None.

    Raises
    ------
    UsageError
        The uncertainty is negative or an interval is the wrong way round.
    """
    if isinstance(limits, Limit):
        allowed, sign, rule = (limits.low, limits.high), limits.unit, f" ({limits.rule})"
    else:
        allowed, sign, rule = limits, "", ""
    sign = sign if unit is None else unit
    low, high = _interval(estimate, uncertainty)
    if not low <= high or not allowed[0] <= allowed[1]:
        raise UsageError("an interval is the wrong way round", remedy="give U of 0 or more, and the lower limit first")
    if allowed[0] <= 0 and math.isinf(allowed[1]):
        raise UsageError("the limits allow anything", remedy="give a lower limit above 0 or an upper one")
    outcome = _outcome((low, high), allowed)
    sentence = _why(outcome, (low, high), allowed, sign)
    return Verdict(outcome, f"{sentence}{rule}.", low, high, *allowed)


def _interval(estimate: float, uncertainty: float | tuple[float, float]) -> tuple[float, float]:
    if isinstance(uncertainty, tuple):
        return uncertainty
    if math.isinf(estimate):
        return estimate, estimate
    return max(0.0, estimate - uncertainty), estimate + uncertainty


def _outcome(found: tuple[float, float], allowed: tuple[float, float]) -> Outcome:
    if allowed[0] <= found[0] and found[1] <= allowed[1]:
        return Outcome.WITHIN
    if found[1] < allowed[0] or found[0] > allowed[1]:
        return Outcome.OUTSIDE
    return Outcome.CANNOT_TELL


def _why(outcome: Outcome, found: tuple[float, float], allowed: tuple[float, float], sign: str) -> str:
    """Return the sentence, with enough figures to keep the ends of the interval apart from the limits."""
    show = _Shower((*found, *allowed), sign)
    least, most = allowed
    if math.isfinite(found[1]):
        value = f"The true value lies between {show(found[0])} and {show(found[1])}"
    elif math.isfinite(found[0]):
        value = f"The true value is at least {show(found[0])}"
    else:
        value = "The reading is an open circuit"
    if outcome is Outcome.OUTSIDE:
        edge = f"below the {show(least)} required" if found[1] < least else f"above the {show(most)} allowed"
        return f"{value}, all of it {edge}"
    if outcome is Outcome.WITHIN:
        if least <= 0:
            edge = f"no higher than the {show(most)} allowed"
        elif math.isinf(most):
            edge = f"no lower than the {show(least)} required"
        else:
            edge = f"within {show(least)} to {show(most)}"
        return f"{value}, all of it {edge}"
    crossed = [f"the {show(least)} required"] if found[0] < least else []
    crossed += [f"the {show(most)} allowed"] if found[1] > most else []
    return f"{value}, on both sides of {' and of '.join(crossed)}, so this meter cannot tell"


# Prefixes a sentence may use and from what size on; watts and volts are not prefixed in the trade's rules.
PREFIXES = {
    "Ω": ((1e5, 1e6, "M"), (1e3, 1e3, "k"), (0.0, 1.0, "")),
    "A": ((1.0, 1.0, ""), (0.0, 1e-3, "m")),
}
FEWEST_FIGURES, MOST_FIGURES = 3, 7


class _Shower:
    """Writes the numbers of one sentence, different numbers differently."""

    def __init__(self, numbers: tuple[float, ...], sign: str) -> None:
        self.sign = sign
        self.figures = FEWEST_FIGURES
        different = {number for number in numbers if math.isfinite(number) and number > 0}
        while self.figures < MOST_FIGURES and len({self(number) for number in different}) < len(different):
            self.figures += 1

    def __call__(self, number: float) -> str:
        size = max(number, 0.0)
        rows = PREFIXES.get(self.sign, ((0.0, 1.0, ""),))
        factor, prefix = next((factor, prefix) for start, factor, prefix in rows if size >= start * (1 - 1e-9))
        scaled = size / factor
        decimals = max(0, self.figures - 1 - math.floor(math.log10(scaled))) if scaled > 1e-9 else 0
        return f"{scaled:.{min(decimals, MOST_FIGURES)}f} {prefix}{self.sign}".rstrip()
