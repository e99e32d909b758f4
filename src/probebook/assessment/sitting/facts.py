"""What the sentences of a sitting are told."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

SITTING = "assessment/sitting"
NOTHING = Phrase("")


@dataclass(frozen=True)
class Head(Facts, group=f"{SITTING}/head", says=("title", "left", "over", "answered", "back", "clock", "broken")):
    """Whose paper it is, and how far it is."""

    title: Phrase
    name: str
    answered: int
    questions: int
    lines: int


@dataclass(frozen=True)
class Kept(
    Facts,
    group=f"{SITTING}/question",
    says=("kept", "kept-of", "not-kept", "closed", "bench", "bench-kept", "bench-ended"),
):
    """Whether an answer is kept, and what prevents it."""

    trouble: Phrase = NOTHING


@dataclass(frozen=True)
class KeepButton(Facts, group=f"{SITTING}/question", says=("check", "check-hint")):
    """The title of the question whose answer a button keeps."""

    title: Phrase


@dataclass(frozen=True)
class PaperBenchWords(
    Facts,
    group=f"{SITTING}/bench",
    says=("stop-next", "ended", "ended-sign", "ended-next", "wrong-hint", "restart", "restart-hint"),
):  # fmt: skip
    """What the bench of a paper says where that of a workbook speaks of marking."""


@dataclass(frozen=True)
class AskedBenchWords(Facts, group=f"{SITTING}/bench-asked", says=("away", "refused", "elsewhere", "no-more")):
    """Why a bench that a service has cannot be used now."""


@dataclass(frozen=True)
class Review(Facts, group=f"{SITTING}/review", says=("none", "some", "refresh")):
    """What is not answered yet."""


@dataclass(frozen=True)
class ReviewItem(Facts, group=f"{SITTING}/review", says=("item",)):
    """A question that is not answered yet."""

    number: int
    title: Phrase


@dataclass(frozen=True)
class HandIn(
    Facts,
    group=f"{SITTING}/hand-in",
    says=("button", "sure", "sure-open", "yes", "no", "done", "receipt", "keep", "failed"),
):
    """Handing in: what is not answered, the file, its code, what prevents it."""

    questions: int = 0
    file: str = ""
    code: str = ""
    trouble: Phrase = NOTHING
