"""What the sentences of fresh practice are told."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

__all__ = [
    "Chance",
    "GoOn",
    "KnownTable",
    "LikeQuestion",
    "ListedQuestion",
    "Owed",
    "PracticeButtons",
    "PracticeHead",
    "PracticeStatus",
    "PracticeTrouble",
]

PRACTICE = "workbook/practice"


@dataclass(frozen=True)
class PracticeButtons(
    Facts, group=f"{PRACTICE}/buttons", says=("another-like", "make-one", "make-one-hint", "suits", "suits-hint")
):
    """Buttons and lists of the practice cell."""


@dataclass(frozen=True)
class GoOn(Facts, group=f"{PRACTICE}/buttons", says=("go-on",)):
    """The number of the question that was practised last."""

    number: int


@dataclass(frozen=True)
class ListedQuestion(Facts, group=f"{PRACTICE}/buttons", says=("question",)):
    """A question of the workbook as it stands in the list."""

    number: str
    title: Phrase


@dataclass(frozen=True)
class LikeQuestion(Facts, group=f"{PRACTICE}/status", says=("like",)):
    """The question of the workbook that a fresh one is like."""

    number: str
    title: Phrase


@dataclass(frozen=True)
class PracticeStatus(Facts, group=f"{PRACTICE}/status", says=("making", "choosing", "bringing-back", "from-saved")):
    """What the cell is doing."""


@dataclass(frozen=True)
class Chance(Facts, group=f"{PRACTICE}/status", says=("easy", "right-for-you", "hard")):
    """Why a question was chosen; the sentence adds how hard it should be for this learner."""

    why: Phrase


@dataclass(frozen=True)
class PracticeTrouble(
    Facts, group=f"{PRACTICE}/trouble", says=("not-like-this", "none-fresh", "nothing-before", "other-version")
):
    """What stops a fresh question."""


@dataclass(frozen=True)
class PracticeHead(Facts, group=f"{PRACTICE}/page", says=("head",)):
    """Heading of a fresh question."""

    number: str
    title: Phrase
    marks: Phrase


@dataclass(frozen=True)
class KnownTable(
    Facts,
    group=f"{PRACTICE}/known",
    says=(
        "summary",
        "caption",
        "outcome",
        "lately",
        "answers",
        "standing",
        "mastered",
        "learning",
        "was-right",
        "was-missed",
    ),
):
    """Headings and standings of the table of outcomes."""


@dataclass(frozen=True)
class Owed(Facts, group=f"{PRACTICE}/known", says=("owed",)):
    """How many faultless questions in a row make a dangerous answer good."""

    owed: int
