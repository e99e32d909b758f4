"""What a way of saying a fact is, and the table of all of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

__all__ = ["MOST_DIGITS", "WAYS", "ArgumentsError", "Said", "Way", "digits_of", "text_of", "way"]

Said = Callable[[Any], Any]

MOST_DIGITS = 15
LONGEST_SEPARATOR = 40


class ArgumentsError(ValueError):
    """Arguments that a way cannot be given; the text says why, for the person who wrote them."""


@dataclass(frozen=True, slots=True)
class Way:
    """How a fact may be said.

    Attributes
    ----------
    name
        As the template writes it.
    takes
        Kinds of fact it says: 'number', 'count', 'text', 'thing', 'choice', 'date', 'many'.
    gives
        What comes of it: 'text', or 'each' where a tuple stays a tuple.
    make
        (language, arguments, named arguments) -> function of the value; :class:`ArgumentsError`.
    whole
        Whether a tuple is said as a whole; otherwise item by item.
    """

    name: str
    takes: frozenset[str]
    gives: str
    make: Callable[..., Said]
    whole: bool = False


WAYS: dict[str, Way] = {}


def way(name: str, takes: str, *, whole: bool = False, gives: str = "text") -> Callable[[Callable[..., Said]], Any]:
    """Enter a way in the table; ``takes`` names kinds of fact with blanks between, the rest is as in :class:`Way`."""

    def register(make: Callable[..., Said]) -> Callable[..., Said]:
        WAYS[name] = Way(name, frozenset(takes.split()), gives, make, whole)
        return make

    return register


def digits_of(value: Any, least: int = 0) -> int:
    """Return a number of digits; :class:`ArgumentsError` when it is none."""
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= MOST_DIGITS:
        raise ArgumentsError(f"digits are a whole number from {least} to {MOST_DIGITS}")
    return value


def text_of(value: Any, most: int = LONGEST_SEPARATOR) -> str:
    """Return a short text that is put in; :class:`ArgumentsError` when it is none."""
    if not isinstance(value, str) or len(value) > most:
        raise ArgumentsError(f"what is put in is text of at most {most} characters in quotation marks")
    return value
