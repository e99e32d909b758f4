"""The pieces that joined terminals make."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

__all__ = ["piece_numbers"]


def piece_numbers(terminals: int, joined: ArrayLike) -> list[int]:
    """Number of the piece that each terminal is in, that of its first terminal.

    Parameters
    ----------
    terminals
        How many there are.
    joined
        Pairs of terminals that are joined, shape ``(j, 2)``.

    Examples
    --------
    >>> piece_numbers(5, [(1, 3), (3, 4)])
    [0, 1, 2, 1, 1]
    """
    at = list(range(terminals))

    def first(terminal: int) -> int:
        while at[terminal] != terminal:
            at[terminal] = at[at[terminal]]
            terminal = at[terminal]
        return terminal

    for a, b in np.asarray(joined, dtype=np.intp).reshape(-1, 2).tolist():
        one, other = first(a), first(b)
        at[max(one, other)] = min(one, other)
    return [first(t) for t in range(terminals)]
