"""What the sentences of a paper, and of setting it, are told."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

SET = "assessment/set"


@dataclass(frozen=True)
class PaperTitle(Facts, group=f"{SET}/paper", says=("title",)):
    """The title of a paper."""

    title: Phrase


@dataclass(frozen=True)
class PaperHead(Facts, group=f"{SET}/paper", says=("learner", "time", "rules", "danger")):
    """Whose paper it is, how long it takes, what it holds."""

    name: str
    learner: str
    minutes: float
    questions: int
    marks: float


@dataclass(frozen=True)
class PaperCells(Facts, group=f"{SET}/cell", says=("open", "review", "hand-in")):
    """What stands where no kernel runs yet."""


@dataclass(frozen=True)
class SetDone(Facts, group=f"{SET}/tutor", says=("done", "spread", "key", "tables", "benches", "asked", "public")):
    """What was set, how hard it is, where the key lies."""

    papers: int
    title: Phrase
    folder: str
    lowest: float
    highest: float
    low: float
    high: float
    file: str
