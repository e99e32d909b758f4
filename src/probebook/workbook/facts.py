"""What the sentences of a workbook's forms are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Phrase

__all__ = [
    "AllSure",
    "BadLine",
    "Buttons",
    "CheckButton",
    "DangerousOutcome",
    "InputHints",
    "MarksGiven",
    "MarksOut",
    "Meanwhile",
    "MoveButton",
    "MovedTo",
    "NextSteps",
    "NotSaved",
    "Notes",
    "OpenHint",
    "Opening",
    "OutcomeInDanger",
    "OutcomeOpen",
    "OutcomeWeak",
    "ProgressHeads",
    "SomeOf",
    "Torn",
    "UnitHint",
    "Verdicts",
    "WorkingHeads",
]

FORMS = "workbook/forms"
PLAYER = "workbook/player"


@dataclass(frozen=True)
class Buttons(Facts, group=f"{FORMS}/buttons", says=("check", "show-working", "hide-working", "up", "down")):
    """Buttons of a form."""


@dataclass(frozen=True)
class CheckButton(Facts, group=f"{FORMS}/buttons", says=("check-hint",)):
    """The title of the question that a button checks."""

    title: Phrase


@dataclass(frozen=True)
class MoveButton(Facts, group=f"{FORMS}/buttons", says=("move-up", "move-down")):
    """The step that a button moves."""

    step: Phrase


@dataclass(frozen=True)
class MovedTo(Facts, group=f"{FORMS}/inputs", says=("moved",)):
    """The place, from 1, that a step now stands at, and how many places there are."""

    place: int
    places: int


@dataclass(frozen=True)
class InputHints(Facts, group=f"{FORMS}/inputs", says=("number", "tick-all", "first-on-top")):
    """How a field is answered."""


@dataclass(frozen=True)
class UnitHint(Facts, group=f"{FORMS}/inputs", says=("number-and-unit",)):
    """The sign of the unit that stands beside the box."""

    sign: str


@dataclass(frozen=True)
class OpenHint(Facts, group=f"{FORMS}/inputs", says=("or-open",)):
    """A hint to which an open circuit is added."""

    hint: Phrase


@dataclass(frozen=True)
class MarksOut(Facts, group=f"{FORMS}/inputs", says=("marks",)):
    """Marks that can be earned."""

    marks: Annotated[float, "1"]


_STANDINGS = ("right", "partly", "slip", "wrong", "blank", "unreadable")


@dataclass(frozen=True)
class Verdicts(
    Facts,
    group=f"{FORMS}/verdicts",
    says=(*_STANDINGS, "critical", *(f"part-{name}" for name in _STANDINGS)),
):
    """How an answer, or a part of it, stands."""


@dataclass(frozen=True)
class Notes(Facts, group=f"{FORMS}/notes", says=("same-answer", "from-saved", "not-saved")):
    """What is said of attempts and saving."""


@dataclass(frozen=True)
class Meanwhile(Facts, group=f"{FORMS}/meanwhile", says=("earlier", "marking", "silent", "gone", "restarted")):
    """What a form says of itself between one answer and the next, and when nobody marks any more."""


@dataclass(frozen=True)
class NextSteps(Facts, group=f"{FORMS}/next", says=("mend", "again", "again-or-read", "go-on")):
    """What to do after a verdict."""


@dataclass(frozen=True)
class NotSaved(Facts, group=f"{FORMS}/notes", says=("not-saved-because",)):
    """Why an answer could not be saved, in a sentence."""

    trouble: Phrase


@dataclass(frozen=True)
class MarksGiven(Facts, group=f"{FORMS}/score", says=("out-of", "scored")):
    """Marks given, out of how many, at which attempt."""

    marks: Annotated[float, "1"]
    out_of: Annotated[float, "1"]
    attempts: int


@dataclass(frozen=True)
class WorkingHeads(Facts, group=f"{FORMS}/working", says=("answer", "answers", "why", "working", "one-right-order")):
    """Headings of the working."""


@dataclass(frozen=True)
class Opening(Facts, group=f"{PLAYER}/opening", says=("title", "title-back")):
    """A workbook being opened: its title, questions and marks, and how many questions were answered before."""

    title: Phrase
    questions: int
    marks: Annotated[float, "1"]
    back: int


@dataclass(frozen=True)
class Torn(Facts, group=f"{PLAYER}/opening", says=("torn",)):
    """Half a line at the end of the saved answers."""


@dataclass(frozen=True)
class BadLine(
    Facts,
    group=f"{PLAYER}/line",
    says=("not-an-answer", "changed", "other-beginning", "missing-before", "out-of-order"),
):
    """A line of the saved answers, from 1, that is not as it was written; how many answers are missing before it."""

    file: str
    line: int
    missing: int


@dataclass(frozen=True)
class OutcomeInDanger(Facts, group=f"{PLAYER}/advice", says=("danger",)):
    """An outcome in which an answer was dangerous."""

    outcome: Phrase


@dataclass(frozen=True)
class OutcomeOpen(Facts, group=f"{PLAYER}/advice", says=("open",)):
    """An outcome whose questions of these numbers are not answered yet."""

    outcome: Phrase
    questions: tuple[str, ...]


@dataclass(frozen=True)
class OutcomeWeak(Facts, group=f"{PLAYER}/advice", says=("weak",)):
    """An outcome whose questions of these numbers fell short at the first attempt; marks over those answered."""

    outcome: Phrase
    questions: tuple[str, ...]
    marks: Annotated[float, "1"]
    out_of: Annotated[float, "1"]


@dataclass(frozen=True)
class AllSure(Facts, group=f"{PLAYER}/advice", says=("sure",)):
    """Nothing is left to practise here."""


@dataclass(frozen=True)
class ProgressHeads(Facts, group=f"{PLAYER}/table", says=("caption", "outcome", "answered", "marks", "first", "all")):
    """Headings of the table of progress."""


@dataclass(frozen=True)
class SomeOf(Facts, group=f"{PLAYER}/table", says=("of",)):
    """So many of so many."""

    some: Annotated[float, "1"]
    all: Annotated[float, "1"]


@dataclass(frozen=True)
class DangerousOutcome(Facts, group=f"{PLAYER}/table", says=("dangerous",)):
    """An outcome in which an answer that stands is dangerous."""

    outcome: Phrase
