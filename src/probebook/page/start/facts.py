"""What the sentences of the start page and of the record of practice are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Phrase

__all__ = ["Dated", "Failed", "RecordTexts", "SlipTimes", "StartTexts", "Week", "Where"]

START = "workbook/start"


@dataclass(frozen=True)
class StartTexts(
    Facts,
    group=f"{START}/page",
    says=(
        "title",
        "lead",
        "none",
        "papers",
        "papers-lead",
        "next",
        "stopped",
        "dangers",
        "dangers-lead",
        "mended",
        "not-mended",
        "workbooks",
        "apprentice",
        "owner",
        "begin",
        "go-on",
        "look-again",
        "outcomes",
        "outcomes-lead",
        "outcome",
        "standing",
        "answers",
        "none-in-week",
        "slips",
        "slips-lead",
        "record",
        "record-lead",
        "record-page",
        "record-data",
    ),
):
    """Headings, links and lines of the start page."""


@dataclass(frozen=True)
class Where(Facts, group=f"{START}/page", says=("at-question", "at-begin", "at-practice")):
    """The number and the title of a question (a fresh one has none), and the title of its workbook."""

    number: str
    workbook: str


@dataclass(frozen=True)
class Dated(Facts, group=f"{START}/page", says=("danger",)):
    """A question that was answered on a day (ISO 8601): its title, and the title of its workbook."""

    title: str
    workbook: str
    day: str


@dataclass(frozen=True)
class SlipTimes(Facts, group=f"{START}/page", says=("slip",)):
    """A slip and how often it was made."""

    name: str
    times: int


@dataclass(frozen=True)
class Week(Facts, group=f"{START}/page", says=("week",)):
    """The Monday of a week (ISO 8601)."""

    day: str


@dataclass(frozen=True)
class Failed(Facts, group=f"{START}/page", says=("left-out", "not-all")):
    """A workbook that is left out, or what could not be told, and why."""

    what: str
    trouble: str


@dataclass(frozen=True)
class RecordTexts(
    Facts,
    group=f"{START}/record",
    says=(
        "title",
        "lead",
        "workbook",
        "question",
        "time",
        "answer",
        "answered",
        "marks",
        "all-answers",
        "no-dangers",
        "journal",
        "journal-whole",
        "right",
        "partly",
        "slip",
        "wrong",
    ),
):
    """Headings and lines of the record of practice."""


@dataclass(frozen=True)
class RecordStand(Facts, group=f"{START}/record", says=("made", "journal-problems")):
    """When the record was made (UTC, ISO 8601); how many lines of a journal are not as they were written."""

    time: str
    lines: int


@dataclass(frozen=True)
class OfMarks(Facts, group=f"{START}/record", says=("of",)):
    """Marks given, out of how many."""

    marks: Annotated[float, "1"]
    out_of: Annotated[float, "1"]


@dataclass(frozen=True)
class AfterHints(Facts, group=f"{START}/record", says=("after-hints",)):
    """How an answer stands, in words, and how many hints were read before it."""

    standing: Phrase
    hints: int
