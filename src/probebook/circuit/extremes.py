"""Open circuits and dead shorts as ordinary values: the one place that decides.

An open circuit is 0 S and reads ``inf`` ohms; a dead short is ``inf`` siemens and reads 0 ohms. Elimination
handles the first as it is, because a terminal without conductance eliminates to nothing. For the second it
works with a stand-in, `DEAD_SHORT`, so large that a real resistance beside it is lost far below rounding, so
nobody has to search for terminals that are joined and to merge them, state by state. Whatever comes out at
that size is a dead short again.

The stand-in is also what makes the current in a dead short a plain number: every dead short has the same tiny
resistance, and the result is the limit as that resistance goes to nothing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

OPEN_ABOVE = 1e200
"""Ohms above which a branch counts as open."""

SHORT_BELOW = 1e-90
"""Ohms below which a branch, or what is found between two terminals, counts as a dead short."""

DEAD_SHORT = 1e120
"""Siemens that stand in for a dead short inside the elimination."""

NOUGHT = 1e-290
"""Siemens added to nothing, only divided by: turns 0/0 at an isolated terminal into 0."""


def conductances(ohms: ArrayLike) -> FloatArray:
    """Return siemens for ohms: 0 for an open circuit, ``inf`` for a dead short.

    Parameters
    ----------
    ohms
        Resistances in ohms, any shape; ``inf`` is an open circuit, 0 a dead short.

    Raises
    ------
    ValueError
        If a resistance is negative or not a number.
    """
    r = np.asarray(ohms, dtype=np.float64)
    if not (r >= 0.0).all():
        bad = float(r[~(r >= 0.0)].flat[0])
        raise ValueError(f"a resistance of {bad} ohm is not possible; give 0 for a short or inf for an open circuit")
    with np.errstate(divide="ignore", over="ignore"):
        g = np.divide(1.0, np.abs(r), out=np.empty(r.shape))  # abs: one over minus nought would be minus infinity
    g[r > OPEN_ABOVE] = 0.0
    g[r < SHORT_BELOW] = np.inf
    return g


def resistances_of(siemens: FloatArray) -> FloatArray:
    """Return ohms for siemens found by elimination, in place: ``inf`` for nothing, 0 for a dead short."""
    with np.errstate(divide="ignore"):
        np.divide(1.0, siemens, out=siemens)
    np.copyto(siemens, 0.0, where=siemens < SHORT_BELOW)
    return siemens


def workable(siemens: FloatArray) -> FloatArray:
    """Return conductances (siemens, any shape) with the stand-in where they are infinite."""
    return np.minimum(siemens, DEAD_SHORT)


def shorted(siemens: FloatArray) -> NDArray[np.bool_]:
    """Return where conductances (siemens, any shape), given or found, are those of a dead short."""
    return siemens > 1.0 / SHORT_BELOW


def finite_or_inf(amps: FloatArray) -> FloatArray:
    """Return currents (amperes, signed) with ``inf`` where only the stand-in kept them finite."""
    return np.where(shorted(np.abs(amps)), np.copysign(np.inf, amps), amps + 0.0)  # minus nought becomes nought
