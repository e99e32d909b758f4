"""What the sentences of practice and of coverage are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun

__all__ = [
    "Chosen",
    "CompetenceShort",
    "Endangered",
    "InLearning",
    "OutcomeShort",
    "ShareFacts",
]


@dataclass(frozen=True)
class Endangered(Facts, group="learning/choosing", says=("danger", "danger-one")):
    """An outcome in which an answer was dangerous, and how many faultless questions in a row make that good."""

    outcome: Noun
    owed: int


@dataclass(frozen=True)
class Chosen(Facts, group="learning/choosing", says=("fresh", "new")):
    """An outcome that is mastered like all others, or that nothing was answered about yet."""

    outcome: Noun


@dataclass(frozen=True)
class InLearning(Facts, group="learning/choosing", says=("missed", "all-missed", "last-missed", "none-missed")):
    """An outcome that is not mastered, and how many of so many last questions about it were missed."""

    outcome: Noun
    missed: int
    of: int


@dataclass(frozen=True)
class ShareFacts(Facts, group="learning/coverage", says=("share",)):
    """So many of so many competences."""

    covered: int
    of: int
    percent: Annotated[float, "%"]


@dataclass(frozen=True)
class CompetenceShort(Facts, group="learning/coverage", says=("competence",)):
    """A competence with too few items."""

    id: str
    items: int
    wanted: int
    text: str


@dataclass(frozen=True)
class OutcomeShort(Facts, group="learning/coverage", says=("outcome",)):
    """An outcome that is practised by too few kinds of question."""

    outcome: str
    kinds: int
    wanted: int
