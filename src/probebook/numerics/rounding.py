"""Rounding to significant digits: for comparing, storing and showing."""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

__all__ = ["COMPARED", "SHOWN", "STORED", "rounded", "rounded_number", "shown", "stored"]

#: Significant digits of scores that are compared, of numbers that are stored, of figures before they are shown.
COMPARED, STORED, SHOWN = 9, 7, 12
#: Powers of ten that scores are scaled by at most.
_MOST_POWER = 300


def rounded_number(value: float, figures: int = COMPARED) -> float:
    """A number to so many significant digits; nought is never negative."""
    return float(f"{value:.{figures}g}") + 0.0


def stored(value: float) -> float:
    """A number as files keep it."""
    return rounded_number(value, STORED)


def shown(value: float) -> float:
    """A figure about to be shown, clear of the edge at which its last digit would turn."""
    return rounded_number(value, SHOWN)


@cache
def _powers() -> NDArray[np.float64]:
    """10ⁿ for n from -300 to 300, each the nearest float (a library's power may be another)."""
    import numpy as np

    return np.array([float(f"1e{n}") for n in range(-_MOST_POWER, _MOST_POWER + 1)])


def rounded(scores: ArrayLike, figures: int = COMPARED, *, least: float = 0.0) -> NDArray[np.float64]:
    """Scores to so many significant digits, and to no less than the decimal place of ``least``.

    Parameters
    ----------
    scores
        Any shape; infinities and nan stay as they are.
    figures
        Significant digits.
    least
        A power of ten: what comes of subtraction (bits, ratios of likelihoods in ln) is no finer than this, however
        small it is. Nought where scores come of products alone.
    """
    import numpy as np

    values: NDArray[Any] = np.asarray(scores, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        size = np.floor(np.log10(np.abs(values)))
        places = figures - 1 - np.where(np.isfinite(size), size, 0.0)
        if least > 0.0:
            places = np.minimum(places, -round(math.log10(least)))
        places = np.clip(places, 1 - _MOST_POWER, _MOST_POWER - 1).astype(np.intp)
        up, down = _powers()[_MOST_POWER + places], _powers()[_MOST_POWER - places]
        # Dividing by a whole power is exact where multiplying by its inverse is not.
        near = np.where(places >= 0, np.rint(values * up) / up, np.rint(values / down) * down)
    return np.asarray(np.where(np.isfinite(near), near, values) + 0.0)
