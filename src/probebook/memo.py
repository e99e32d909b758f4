"""Remembering what was worked out for a large, frozen, shared object: compared by identity, never hashed."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Concatenate, ParamSpec, TypeVar

__all__ = ["memo_by_identity"]

T = TypeVar("T")
P = ParamSpec("P")
R = TypeVar("R")


class _Same:
    """Cache key of one object: equal to itself alone."""

    __slots__ = ("thing",)

    def __init__(self, thing: object) -> None:
        self.thing = thing

    def __hash__(self) -> int:
        return id(self.thing)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.thing is self.thing


def memo_by_identity(
    maxsize: int = 64, *, also: int = 0
) -> Callable[[Callable[Concatenate[T, P], R]], Callable[Concatenate[T, P], R]]:
    """Decorate a function so that it is worked out once for each first argument, compared by identity.

    Parameters
    ----------
    maxsize
        How many results are kept, the latest used ones; each keeps its arguments alive.
    also
        How many positional arguments after the first are compared by identity too; the rest must be hashable.

    Returns
    -------
    Callable
        The decorator. What the function returns is shared by all who ask again, so it must not be altered.
    """

    def decorate(function: Callable[Concatenate[T, P], R]) -> Callable[Concatenate[T, P], R]:
        @lru_cache(maxsize=maxsize)
        def remembered(keys: tuple[_Same, ...], /, *args: object, **named: object) -> R:
            return function(*(key.thing for key in keys), *args, **named)  # type: ignore[arg-type]

        @wraps(function)
        def wrapped(first: T, /, *args: P.args, **named: P.kwargs) -> R:
            keys = (_Same(first), *(_Same(thing) for thing in args[:also]))
            return remembered(keys, *args[also:], **named)  # type: ignore[arg-type]

        return wrapped

    return decorate
