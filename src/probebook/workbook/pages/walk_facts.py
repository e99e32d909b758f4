"""What is told in working a whole case aloud."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

__all__ = ["Heard", "Left", "Named", "Observed", "Others", "Solved", "SoundShows", "Together", "WalkTexts"]

WALK = "workbook/walk"


@dataclass(frozen=True)
class WalkTexts(Facts, group=f"{WALK}/case", says=("head", "gone-none", "fits", "alone")):
    """The heading, that an observation rules nothing out, that one suspect alone is left."""


@dataclass(frozen=True)
class Named(Facts, group=f"{WALK}/case", says=("gone",)):
    """Suspects that an observation rules out."""

    names: tuple[Phrase, ...]


@dataclass(frozen=True)
class Left(Facts, group=f"{WALK}/case", says=("left", "left-one")):
    """Suspects that are left, the likeliest first."""

    names: tuple[Phrase, ...]


@dataclass(frozen=True)
class Others(Facts, group=f"{WALK}/case", says=("others",)):
    """How many suspects are not named."""

    number: int


@dataclass(frozen=True)
class Heard(Facts, group=f"{WALK}/case", says=("heard",)):
    """Suspects after the complaint, the likeliest first."""

    names: tuple[Phrase, ...]


@dataclass(frozen=True)
class Observed(Facts, group=f"{WALK}/case", says=("observed",)):
    """An observation by its number."""

    number: int
    line: Phrase


@dataclass(frozen=True)
class SoundShows(Facts, group=f"{WALK}/case", says=("agrees", "apart", "differs")):
    """What a sound appliance would show at a reading."""

    band: Phrase


@dataclass(frozen=True)
class Together(Facts, group=f"{WALK}/case", says=("together",)):
    """Suspects that all observations together speak against, and none by itself."""

    names: tuple[Phrase, ...]


@dataclass(frozen=True)
class Solved(Facts, group=f"{WALK}/case", says=("solved",)):
    """The fault, and what is to be done about it."""

    right: Phrase
    mends: tuple[str, ...]
