"""What a fault question says: the case's own figures."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Noun, Phrase

__all__ = [
    "ContrastFacts",
    "EnoughFacts",
    "FaultFacts",
    "FigureFacts",
    "LineFacts",
    "MendFacts",
    "MillionFacts",
    "NothingFacts",
    "NumberFacts",
    "ObservationFacts",
    "OthersFacts",
    "PlainFacts",
    "ReasonFacts",
    "RivalFacts",
    "SightFacts",
    "SymptomFacts",
    "SymptomsFacts",
]


@dataclass(frozen=True)
class FaultFacts(Facts, group="questions/fault/question", says=("title", "prompt", "label", "explanation", "working")):
    """A case and what is wrong in it.

    ``enough`` says which observations establish it, ``rivals`` why each other option is wrong, ``mends`` what is to be
    done, ``lines`` what each observation rules out.
    """

    appliance: Noun
    right: Phrase
    enough: Phrase
    rivals: tuple[Phrase, ...]
    mends: tuple[Phrase, ...]
    lines: tuple[Phrase, ...]


@dataclass(frozen=True)
class PlainFacts(Facts, group="questions/fault/option", says=("alone", "nothing")):
    """The reason of the right option, and nothing wrong as an option puts it."""


@dataclass(frozen=True)
class EnoughFacts(Facts, group="questions/fault/enough", says=("readings", "heard")):
    """Numbers of the readings that establish the answer, with the complaint or without it."""

    readings: tuple[int, ...]


@dataclass(frozen=True)
class RivalFacts(Facts, group="questions/fault/rival", says=("line",)):
    """An option that is wrong, how many times worse it explains, and what speaks against it."""

    option: str
    figure: Phrase
    reason: str


@dataclass(frozen=True)
class FigureFacts(Facts, group="questions/fault/figure", says=("about",)):
    """How many times worse an explanation is, rounded to two figures."""

    factor: float


@dataclass(frozen=True)
class MillionFacts(Facts, group="questions/fault/million", says=("over",)):
    """An explanation that is more than a million times worse."""


@dataclass(frozen=True)
class MendFacts(Facts, group="questions/fault/mend", says=("line",)):
    """What is to be done."""

    mend: str


@dataclass(frozen=True)
class LineFacts(
    Facts,
    group="questions/fault/line",
    says=("heard", "heard-nothing", "reading", "reading-nothing", "good", "good-nothing", "dried", "still-low"),
):
    """An observation of those that establish the answer, and the explanations it rules out of those left."""

    reading: int
    observation: str
    gone: tuple[str, ...]


@dataclass(frozen=True)
class OthersFacts(Facts, group="questions/fault/others", says=("more",)):
    """Explanations that are not named."""

    number: int


# ---------------------------------------------------------------- what decides


@dataclass(frozen=True)
class ObservationFacts(
    Facts,
    group="questions/fault/decides",
    says=("label", "heard", "reading", "key", "same", "weaker", "would-say", "would-show"),
):
    """An observation to be chosen, and the rival that it may rule out."""

    reading: int
    observation: str
    rival: Phrase


# ---------------------------------------------------------------- what speaks against a rival


@dataclass(frozen=True)
class ContrastFacts(Facts, group="questions/fault/reading", says=("then", "with", "again")):
    """What a reading would show with a rival, and what it shows."""

    reading: int
    band: Phrase
    display: str
    rival: Phrase


@dataclass(frozen=True)
class SightFacts(Facts, group="questions/fault/look", says=("something", "nothing")):
    """What is to be seen at a place."""

    at: str
    what: str


@dataclass(frozen=True)
class SymptomFacts(Facts, group="questions/fault/symptom", says=("customer", "observation")):
    """What would happen in a position with a rival, and what was told or observed of it."""

    position: Noun
    would: Phrase
    told: Phrase
    observation: int


@dataclass(frozen=True)
class SymptomsFacts(Facts, group="questions/fault/symptoms", says=("all", "vague")):
    """Some of what was told or observed, each as a clause."""

    parts: tuple[Phrase, ...]


@dataclass(frozen=True)
class NothingFacts(Facts, group="questions/fault/evidence", says=("complaint", "rarity")):
    """Evidence that has no number."""


@dataclass(frozen=True)
class NumberFacts(Facts, group="questions/fault/numbered", says=("reading",)):
    """A reading by its number."""

    reading: int


@dataclass(frozen=True)
class ReasonFacts(
    Facts,
    group="questions/fault/reason",
    says=("alone", "with-more", "named-alone", "named-with-more"),
):
    """What speaks most against a rival, and what else does where that alone is not enough."""

    rival: Phrase
    contrast: Phrase
    more: tuple[Phrase, ...]
