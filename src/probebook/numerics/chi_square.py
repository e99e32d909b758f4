"""How probable a sum of squares of standard normal numbers is to be so large."""

from __future__ import annotations

import math

__all__ = ["chi_square_tail"]

#: Terms of the series and of the fraction end when they change the sum by less than this part.
_ENOUGH = 1e-15
#: And at the latest after so many.
_MOST = 10_000
#: Keeps a denominator off nought.
_TINY = 1e-300


def chi_square_tail(statistic: float, freedom: int) -> float:
    """Probability that chi-square of so many degrees of freedom is ``statistic`` or more.

    That is the upper incomplete gamma function of half of each, over the whole one: below its middle by the series,
    above it by the continued fraction (Abramowitz and Stegun 1964, 6.5.29 and 6.5.31; the fraction as Lentz reckons it,
    Applied Optics 15, 1976, 668-671). With no freedom nothing can be off, and it is 1.
    """
    if freedom <= 0 or statistic <= 0.0:
        return 1.0
    if math.isinf(statistic):
        return 0.0
    a, x = 0.5 * freedom, 0.5 * statistic
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    return min(1.0, max(0.0, front * _fraction(a, x) if x > a + 1.0 else 1.0 - front * _series(a, x)))


def _series(a: float, x: float) -> float:
    term = total = 1.0 / a
    for n in range(1, _MOST):
        term *= x / (a + n)
        total += term
        if term < _ENOUGH * total:
            break
    return total


def _fraction(a: float, x: float) -> float:
    b = x + 1.0 - a
    c, d = 1.0 / _TINY, 1.0 / b
    found = d
    for n in range(1, _MOST):
        step = n * (a - n)
        b += 2.0
        d = 1.0 / _away(step * d + b)
        c = _away(b + step / c)
        found *= c * d
        if abs(c * d - 1.0) < _ENOUGH:
            break
    return found


def _away(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
