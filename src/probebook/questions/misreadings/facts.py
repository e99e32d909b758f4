"""What is said of a wrong conclusion: the case's own figures, by the way it went wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = [
    "DampFacts",
    "ExactFacts",
    "LoadFacts",
    "NamedFacts",
    "ReadingFacts",
    "ReturnFacts",
    "SoundFacts",
    "StageFacts",
    "TwoFacts",
    "UsualFacts",
]


@dataclass(frozen=True)
class UsualFacts(Facts, group="questions/misreadings/usual", says=("commonest", "likeliest")):
    """How likely the usual suspect is by the complaint alone, in a hundred."""

    hundredths: float


@dataclass(frozen=True)
class NamedFacts(Facts, group="questions/misreadings/named", says=("cause",)):
    """The customer names a part."""


@dataclass(frozen=True)
class ReadingFacts(Facts, group="questions/misreadings/reading", says=("open", "whole")):
    """A reading by its number, and what it shows."""

    reading: int
    display: str


@dataclass(frozen=True)
class LoadFacts(ReadingFacts, group="questions/misreadings/load", says=("wires-on",)):
    """A reading across a load with every wire on."""

    load: Noun


@dataclass(frozen=True)
class SoundFacts(ReadingFacts, group="questions/misreadings/sound", says=("passed",)):
    """A reading and the band in which that of a sound appliance lies."""

    sound: Phrase


@dataclass(frozen=True)
class DampFacts(ReadingFacts, group="questions/misreadings/damp", says=("low", "low-dried")):
    """A low reading of insulation, and the number of one that was taken after drying."""

    dried: int


@dataclass(frozen=True)
class ExactFacts(ReadingFacts, group="questions/misreadings/exact", says=("plate",)):
    """A reading of a sound part beside what its plate gives, which is hot."""

    plate: Annotated[float, "ohm"]
    sound: Phrase
    load: Noun


@dataclass(frozen=True)
class StageFacts(
    Facts,
    group="questions/misreadings/stage",
    says=("complaint", "complaint-rare", "after", "after-rare", "without", "without-rare"),
):
    """How likely an explanation still was after a reading, or would be without one, in a hundred."""

    reading: int
    hundredths: float


@dataclass(frozen=True)
class ReturnFacts(Facts, group="questions/misreadings/return", says=("left-out",)):
    """The return path was left out of account."""


@dataclass(frozen=True)
class TwoFacts(Facts, group="questions/misreadings/two", says=("one-of-two",)):
    """One of two faults."""

    fault: str
