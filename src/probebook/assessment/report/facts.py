"""What the sentences of a report are told; the text is ``assessment/report.toml`` of the language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from probebook.words import Facts

REPORT = "assessment/report"


@dataclass(frozen=True)
class ReportTexts(
    Facts,
    group=f"{REPORT}/page",
    says=("safety", "no-danger", "tomorrow", "paper", "items", "outcomes", "learners", "slips", "plot-facility",
          "plot-difficulty", "untold", "how-read", "refused", "absent", "answers", "how-answers", "history",
          "how-history", "first"),
):  # fmt: skip
    """Headings, and what is said where there is nothing to say."""


@dataclass(frozen=True)
class HeadTexts(
    Facts,
    group=f"{REPORT}/heads",
    says=("learner", "marks", "passed", "where", "slip", "times", "outcome", "kind", "place", "facility", "interval",
          "discrimination", "upper-lower", "foretold", "estimated", "look", "share", "help",
          "helped", "figure", "value",
          "difficulty", "mean", "alpha", "kr20", "error", "accuracy", "consistency", "kappa", "equality", "model",
          "file", "reason", "part", "answer", "top", "bottom", "day", "papers", "facility-before", "before", "now", "z",
          "p", "moved"),
):  # fmt: skip
    """Heads of columns and of rows."""


@dataclass(frozen=True)
class ClassFacts(Facts, group=f"{REPORT}/page", says=("title", "few")):
    """The paper's title and how many papers were marked."""

    title: str
    learners: int


@dataclass(frozen=True)
class TomorrowFacts(Facts, group=f"{REPORT}/tomorrow", says=("danger", "outcome", "slip", "nothing")):
    """Whom safety comes first with; the weakest outcome; the commonest slip."""

    learners: tuple[str, ...]
    outcome: str
    share: float
    needing: int
    slip: str
    times: int


@dataclass(frozen=True)
class LookFacts(Facts, group=f"{REPORT}/look", says=("why",)):
    """Why an item is looked at again."""

    why: Literal["turned", "hard", "easy", "weak"]


@dataclass(frozen=True)
class AnswerFacts(Facts, group=f"{REPORT}/answer", says=("right", "slip", "option", "other", "partly", "nothing")):
    """An answer: the name of its slip, or the text of its option."""

    answer: str


@dataclass(frozen=True)
class DriftFacts(Facts, group=f"{REPORT}/drift", says=("harder", "easier", "none")):
    """The places that became harder, or easier."""

    places: tuple[str, ...]


@dataclass(frozen=True)
class TypedFacts(Facts, group=f"{REPORT}/page", says=("typed",)):
    """How many papers were typed in from answer sheets."""

    typed: int


@dataclass(frozen=True)
class YesFacts(Facts, group=f"{REPORT}/look", says=("passed",)):
    """Whether a learner passed."""

    passed: bool


@dataclass(frozen=True)
class WrittenFacts(Facts, group=f"{REPORT}/command", says=("wrote",)):
    """How many papers a report is of, and where it lies."""

    papers: int
    file: str
