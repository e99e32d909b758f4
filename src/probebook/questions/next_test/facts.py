"""What a next-test question says: how the job stands, the suspects, what each test is worth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = [
    "CostFacts",
    "HeadFacts",
    "KnownFacts",
    "LineFacts",
    "QuestionFacts",
    "RankFacts",
    "ShareFacts",
    "SightFacts",
    "SightsFacts",
    "SplitFacts",
    "StandsFacts",
    "StatesFacts",
    "SuspectsFacts",
    "WorthFacts",
]


@dataclass(frozen=True)
class QuestionFacts(
    Facts, group="questions/next_test/question", says=("title", "label", "prompt", "explanation", "working")
):
    """The job as it stands, the doubt left, the best test and what it takes away of it, in bits and minutes."""

    paragraphs: tuple[Phrase, ...]
    doubt: float
    best: Phrase
    bits: float
    minutes: Annotated[float, "min"]
    splits: Phrase
    suspects: Phrase
    ranking: Phrase


# ---------------------------------------------------------------- what is known


@dataclass(frozen=True)
class KnownFacts(
    Facts,
    group="questions/next_test/known",
    says=("back-many", "back-one", "back-none", "nothing", "so-far", "which"),
):
    """The number of the last reading that is known, and lines with what is known."""

    last: int
    lines: tuple[Phrase, ...]


@dataclass(frozen=True)
class LineFacts(Facts, group="questions/next_test/known", says=("line",)):
    """An observation and its number."""

    number: int
    observation: str


@dataclass(frozen=True)
class StandsFacts(
    Facts,
    group="questions/next_test/stands",
    says=("dead-plug", "dead-fixed", "covers-on", "covers-off", "wires-on", "wires-off"),
):
    """Covers and wires that are off."""

    covers: tuple[Noun, ...]
    wires: tuple[str, ...]


@dataclass(frozen=True)
class StatesFacts(Facts, group="questions/next_test/stands", says=("whole",)):
    """How the job stands, and what takes time, as clauses."""

    states: tuple[Phrase, ...]
    costs: tuple[Phrase, ...]


@dataclass(frozen=True)
class CostFacts(
    Facts,
    group="questions/next_test/stands",
    says=("cost-cover", "cost-wire", "cost-controls", "cost-reading"),
):
    """Something that takes time, and the minutes of it."""

    cover: str
    minutes: Annotated[float, "min"]


# ---------------------------------------------------------------- suspects


@dataclass(frozen=True)
class SuspectsFacts(Facts, group="questions/next_test/suspects", says=("listed",)):
    """What is still possible."""

    names: tuple[Phrase, ...]


@dataclass(frozen=True)
class ShareFacts(Facts, group="questions/next_test/suspects", says=("share",)):
    """A suspect and its probability."""

    name: Phrase
    share: float


@dataclass(frozen=True)
class RestFacts(Facts, group="questions/next_test/suspects", says=("rest",)):
    """The probability of all that is not named, together."""

    share: float


# ---------------------------------------------------------------- what a test is worth


@dataclass(frozen=True)
class WorthFacts(Facts, group="questions/next_test/worth", says=("best", "nothing-same", "nothing", "share")):
    """Bits and minutes of a test, its share of the best, and what it shows whichever of the suspects it is."""

    bits: float
    minutes: Annotated[float, "min"]
    share: float
    shown: Phrase


@dataclass(frozen=True)
class SplitFacts(Facts, group="questions/next_test/splits", says=("all", "reading", "burnt")):
    """Suspects with which a reading would show the same."""

    names: tuple[Phrase, ...]
    shown: Phrase


@dataclass(frozen=True)
class SightsFacts(Facts, group="questions/next_test/splits", says=("sights",)):
    """What there would be to see, suspect by suspect."""

    sights: tuple[Phrase, ...]


@dataclass(frozen=True)
class SightFacts(Facts, group="questions/next_test/splits", says=("sight",)):
    """What there would be to see with a suspect."""

    name: Phrase
    seen: str


@dataclass(frozen=True)
class HeadFacts(Facts, group="questions/next_test/ranking", says=("head",)):
    """The head of the table of tests."""


@dataclass(frozen=True)
class RankFacts(Facts, group="questions/next_test/ranking", says=("row",)):
    """A row of the table of tests."""

    test: str
    bits: float
    minutes: Annotated[float, "min"]
    rate: float
    share: float
