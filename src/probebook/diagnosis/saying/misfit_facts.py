"""Facts of the sentences about evidence that nothing explains."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Phrase

MISFIT = "diagnosis/misfit"


@dataclass(frozen=True)
class MisfitTexts(
    Facts,
    group=MISFIT,
    says=("nothing", "repeat", "comes-and-goes", "meter", "parallel", "series", "leak", "itself", "unlisted"),
):
    """What is said whatever the readings are: that nothing explains them, and what to do."""


@dataclass(frozen=True)
class ContradictionFacts(Facts, group=MISFIT, says=("contradiction",)):
    """Two readings of one thing, and what they show."""

    trial: Phrase
    shown: str
    other: str


@dataclass(frozen=True)
class WorstFacts(Facts, group=MISFIT, says=("worst", "worst-sound")):
    """The reading that fits least, and what a sound appliance would show there."""

    trial: Phrase
    shown: str
    band: Phrase


@dataclass(frozen=True)
class OtherElementFacts(Facts, group=MISFIT, says=("element",)):
    """An element read by itself: what has so many ohms, and what it is rated."""

    title: str
    ohms: Annotated[float, "ohm"]
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    rated: Annotated[float, "W"]


@dataclass(frozen=True)
class AsideFacts(Facts, group=MISFIT, says=("aside",)):
    """How many readings would have to be set aside."""

    numbers: int
