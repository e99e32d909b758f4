"""The letters that options have on paper, by their place: A to Z, then AA, AB and on."""

from __future__ import annotations

from string import ascii_uppercase

__all__ = ["letter_of", "place_of"]


def letter_of(place: int) -> str:
    """The letter of a place, counted from 0."""
    more, rest = divmod(place, len(ascii_uppercase))
    return (ascii_uppercase[more - 1] if more else "") + ascii_uppercase[rest]


def place_of(letter: str, places: int) -> int | None:
    """The place, from 0, of a letter (large or small) among so many; None where there is none of that letter."""
    letters = [letter_of(place) for place in range(places)]
    wanted = letter.upper()
    return letters.index(wanted) if wanted in letters else None
