"""Why a line of the stock list is the wrong one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = ["LampVolts", "Misfit", "NotPointed", "OtherFault", "OtherRating", "OtherVolts", "PlainWhy"]


@dataclass(frozen=True)
class PlainWhy(
    Facts,
    group="questions/replacement/why",
    says=(
        "copied-old",
        "circuits",
        "household",
        "opens-later",
        "link",
        "other-model",
        "other-model-contacts",
        "remake",
    ),
):
    """Reasons without figures."""


@dataclass(frozen=True)
class OtherRating(
    Facts, group="questions/replacement/why", says=("too-little", "too-much", "fuse-small", "other-temperature")
):
    """The rating that is called for."""

    rating: Phrase


@dataclass(frozen=True)
class OtherVolts(Facts, group="questions/replacement/why", says=("other-voltage",)):
    """The voltage a line is made for, the supply here, what it would give here, and what is called for."""

    made: Annotated[float, "V"]
    volts: Annotated[float, "V"]
    watts: Annotated[float, "W"]
    wanted: Annotated[float, "W"]


@dataclass(frozen=True)
class LampVolts(Facts, group="questions/replacement/why", says=("low-voltage",)):
    """The voltage a lamp is made for, and the supply here."""

    made: Annotated[float, "V"]
    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class Misfit(Facts, group="questions/replacement/why", says=("misfit",)):
    """In what a line does not fit, and what is wanted."""

    here: Noun
    wanted: Noun


@dataclass(frozen=True)
class OtherFault(Facts, group="questions/replacement/why", says=("other-fault",)):
    """The fault that a line would be for, and why it is not that one."""

    fault: Noun
    here: Phrase


@dataclass(frozen=True)
class NotPointed(Facts, group="questions/replacement/why", says=("not-pointed",)):
    """A part that no reading points to."""

    part: Noun
