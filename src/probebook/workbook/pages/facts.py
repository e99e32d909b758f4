"""What the sentences round questions are told."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

__all__ = [
    "AnswerSample",
    "AnswerShown",
    "CellTexts",
    "ExampleHead",
    "FieldAsked",
    "PictureWord",
    "QuantityAsked",
    "QuestionHead",
    "SheetNote",
    "WhyNot",
    "WorkingShown",
]

PAGES = "workbook/pages"


@dataclass(frozen=True)
class QuestionHead(Facts, group=f"{PAGES}/question", says=("head",)):
    """Heading of a question: its number, title and marks in words."""

    number: str
    title: Phrase
    marks: Phrase


@dataclass(frozen=True)
class ExampleHead(Facts, group=f"{PAGES}/question", says=("example-head",)):
    """Heading of a worked example."""

    title: Phrase


@dataclass(frozen=True)
class WorkingShown(Facts, group=f"{PAGES}/question", says=("working", "working-lines")):
    """The working of an example, on one line or several."""

    working: Phrase


@dataclass(frozen=True)
class AnswerShown(Facts, group=f"{PAGES}/question", says=("answer",)):
    """What is right in a field of a worked example."""

    label: Phrase
    right: tuple[str, ...]


@dataclass(frozen=True)
class WhyNot(Facts, group=f"{PAGES}/question", says=("why-not",)):
    """Something wrong to choose, and why it is wrong here."""

    option: Phrase
    why: Phrase


@dataclass(frozen=True)
class PictureWord(Facts, group=f"{PAGES}/question", says=("picture",)):
    """What a picture without a title is called."""


@dataclass(frozen=True)
class FieldAsked(Facts, group=f"{PAGES}/answer", says=("choice", "choices", "order", "bench")):
    """A field to answer, by its label."""

    label: Phrase


@dataclass(frozen=True)
class QuantityAsked(Facts, group=f"{PAGES}/answer", says=("quantity",)):
    """A quantity to answer, and how one is typed."""

    label: Phrase
    example: Phrase


@dataclass(frozen=True)
class AnswerSample(Facts, group=f"{PAGES}/sample", says=("ohm", "watt", "ampere", "volt", "percent")):
    """How a quantity of a unit is typed."""


@dataclass(frozen=True)
class CellTexts(Facts, group=f"{PAGES}/cell", says=("open", "progress", "practice", "practice-text")):
    """What stands in a cell where no kernel runs, and the heading of practice."""


@dataclass(frozen=True)
class SheetNote(Facts, group=f"{PAGES}/sheet", says=("note",)):
    """What a marking sheet says of itself."""
