"""Booklets gathered into a package: every question is an item in it, or is named with the reason why not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from probebook.publish.booklet import Booklet
from probebook.publish.package.content import UnsafeDrawingError
from probebook.publish.package.items import assessment_item, can_carry
from probebook.publish.package.model import AssessmentItem, AssessmentTest, Package
from probebook.publish.package.names import identifier

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["Carried", "Gathered", "LeftOut", "gather"]


@dataclass(frozen=True, slots=True)
class Carried:
    """A question that is in the package, where it is from, and the identifier of its item."""

    source: str
    question: str
    item: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A question that is not in the package; ``why`` is an id of a sentence (``bench``, ``drawing``)."""

    source: str
    question: str
    title: str
    why: str


@dataclass(frozen=True, slots=True)
class Gathered:
    """A package, what is in it and what is not."""

    package: Package
    carried: tuple[Carried, ...]
    left_out: tuple[LeftOut, ...]


def gather(
    name: str,
    booklets: Sequence[Booklet],
    words_of: Callable[[str], Words],
    done: Callable[[str], object] | None = None,
) -> Gathered:
    """Make items of all questions of some booklets, and a test of each booklet.

    Parameters
    ----------
    name
        What the package is called.
    booklets
        Workbooks, or the papers of a class.
    words_of
        The words of a language.
    done
        Called with the name of each booklet that is through.
    """
    items: list[AssessmentItem] = []
    tests: list[AssessmentTest] = []
    carried: list[Carried] = []
    left_out: list[LeftOut] = []
    for booklet, short in zip(booklets, short_names(booklets), strict=True):
        mine: list[str] = []
        words = words_of(booklet.language)
        for item in booklet.items:
            question = item.question
            why = "" if can_carry(question) else "bench"
            if not why:
                try:
                    made = assessment_item(identifier(f"{short}-{question.id}"), question, item.before, words)
                except UnsafeDrawingError:
                    why = "drawing"
            if why:
                left_out.append(LeftOut(booklet.name, question.id, question.title, why))
                continue
            items.append(made)
            mine.append(made.identifier)
            carried.append(Carried(booklet.name, question.id, made.identifier))
        if mine:
            seconds = round(booklet.minutes * 60)
            tests.append(AssessmentTest(identifier(f"test-{short}"), booklet.title, tuple(mine), seconds))
        if done:
            done(booklet.name)
    package = Package(identifier(f"package-{name}"), tuple(items), tuple(tests))
    return Gathered(package, tuple(carried), tuple(left_out))


def short_names(booklets: Sequence[Booklet]) -> list[str]:
    """A short name for each: ``w06`` of a workbook whose number no other has, else its whole name."""
    heads = [booklet.name.partition("-")[0] for booklet in booklets]
    times = Counter(heads)
    short = [
        f"w{head}" if head.isdecimal() and head.isascii() and times[head] == 1 and not booklet.learner else booklet.name
        for head, booklet in zip(heads, booklets, strict=True)
    ]
    return [identifier(each if each[:1].isalpha() else f"p{each}") for each in short]
