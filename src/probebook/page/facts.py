"""What the sentences of our pages are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Phrase

__all__ = ["Elsewhere", "GoOnAt", "Listed", "PageTexts", "Stand", "StateWords", "Troubles"]

PAGE = "workbook/page"


@dataclass(frozen=True)
class PageTexts(
    Facts,
    group=f"{PAGE}/page",
    says=(
        "skip",
        "all-workbooks",
        "contents",
        "progress",
        "coming",
        "practice-coming",
        "nothing-open",
        "sheet",
        "no-sheet",
        "elsewhere",
        "elsewhere-link",
    ),
):
    """What stands on the page of a workbook beside its own text."""


@dataclass(frozen=True)
class Stand(Facts, group=f"{PAGE}/page", says=("stand",)):
    """How many questions are answered of how many, and marks of how many."""

    answered: int
    questions: int
    marks: Annotated[float, "1"]
    out_of: Annotated[float, "1"]


@dataclass(frozen=True)
class GoOnAt(Facts, group=f"{PAGE}/page", says=("begin", "go-on")):
    """The number of the question to begin or go on with."""

    number: str


@dataclass(frozen=True)
class Listed(Facts, group=f"{PAGE}/contents", says=("question",)):
    """A question in the contents: its number and its title."""

    number: str
    title: Phrase


@dataclass(frozen=True)
class StateWords(Facts, group=f"{PAGE}/contents", says=("open", "right", "partly", "wrong")):
    """How a question stands."""


@dataclass(frozen=True)
class Elsewhere(Facts, group=f"{PAGE}/trouble", says=("not-here",)):
    """Why a workbook cannot be shown in our page."""

    trouble: Phrase


@dataclass(frozen=True)
class Troubles(
    Facts,
    group=f"{PAGE}/trouble",
    says=("connecting", "restarted", "stopped", "other-pass", "refused", "back", "again"),
):
    """What happened to whoever marks, and that all is well again."""
