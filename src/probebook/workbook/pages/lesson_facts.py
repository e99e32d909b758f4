"""What the head and the glossary of a workbook are told."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

__all__ = ["Aims", "BookBefore", "GlossaryHead", "Hours", "Minutes", "TermLine"]

LESSONS = "workbook/lessons"


@dataclass(frozen=True)
class Hours(Facts, group=f"{LESSONS}/time", says=("hours", "hours-and-minutes")):
    """A time of an hour or more, in whole hours and the minutes over."""

    hours: int
    minutes: int


@dataclass(frozen=True)
class Minutes(Facts, group=f"{LESSONS}/time", says=("minutes",)):
    """A time of less than an hour."""

    minutes: int


@dataclass(frozen=True)
class BookBefore(Facts, group=f"{LESSONS}/aims", says=("book",)):
    """A workbook that comes before: its number and its title."""

    number: int
    title: Phrase


@dataclass(frozen=True)
class Aims(Facts, group=f"{LESSONS}/aims", says=("first", "after")):
    """The head of a workbook.

    ``able`` are lines of what one can do, ``time`` how long it takes, ``questions`` how many are asked, ``before`` the
    workbooks that come before.
    """

    able: tuple[str, ...]
    time: Phrase
    questions: int
    before: tuple[Phrase, ...]


@dataclass(frozen=True)
class TermLine(Facts, group=f"{LESSONS}/glossary", says=("line",)):
    """A word and what it means."""

    word: str
    text: str


@dataclass(frozen=True)
class GlossaryHead(Facts, group=f"{LESSONS}/glossary", says=("head",)):
    """The words that a workbook explains, as lines."""

    lines: tuple[str, ...]
