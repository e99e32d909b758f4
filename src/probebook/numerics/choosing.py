"""Choosing by scores that noise has reached: they are rounded first, and a tie is broken by name or by place."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, TypeVar

from probebook.numerics.rounding import rounded, rounded_number

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

__all__ = ["in_order", "largest", "largest_of", "smallest_of"]

T = TypeVar("T")


def largest(scores: ArrayLike, *, least: float = 0.0) -> int:
    """Place of the largest of some scores, shape ``(n,)``; of equal ones the first.

    ``least`` is as for :func:`~probebook.numerics.rounded`; ValueError when there is none.
    """
    return int(rounded(scores, least=least).argmax())


def in_order(scores: ArrayLike, *, least: float = 0.0) -> NDArray[np.intp]:
    """Places of scores in rising order along the first axis, equal ones as they stand."""
    return rounded(scores, least=least).argsort(axis=0, kind="stable")


def largest_of(things: Iterable[T], score: Callable[[T], float], tie: Callable[[T], Any] | None = None) -> T:
    """What scores most; of equals the one whose ``tie`` sorts first, or the first of them without one.

    ValueError when there is nothing to choose from.
    """
    return smallest_of(things, lambda thing: -score(thing), tie)


def smallest_of(things: Iterable[T], score: Callable[[T], float], tie: Callable[[T], Any] | None = None) -> T:
    """What scores least; of equals the one whose ``tie`` sorts first, or the first of them without one.

    ValueError when there is nothing to choose from.
    """
    return min(things, key=lambda thing: (rounded_number(score(thing)), tie(thing) if tie else 0))
