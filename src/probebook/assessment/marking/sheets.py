"""Answers typed in from paper: tables with a line a field, as ``probebook print`` makes them, read as data.

A line says what stands on the answer sheet (``answer``), or the marks that somebody gave it (``marks`` and ``by``). A
line that cannot be taken is refused by itself, named by file, number and reason; the others count.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.cells import read_table
from probebook.assessment.marking.facts import SheetLine
from probebook.assessment.marking.judging import printed_name
from probebook.assessment.marking.letters import MistypedError, response_of
from probebook.assessment.model import SPARE, Item, Paper, PaperSet, Refused
from probebook.errors import UsageError, choose_one
from probebook.questions.model import Field, FieldKind, Response

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["COLUMNS", "GivenMark", "TypedIn", "read_sheets"]

COLUMNS = ("learner", "question", "item", "field", "kind", "unit", "answer", "marks", "by")
NEEDED = ("learner", "item", "field")
#: A longer file (bytes) is refused unread.
LONGEST = 20_000_000
LONGEST_ANSWER, LONGEST_NAME = 200, 80


@dataclass(frozen=True, slots=True)
class GivenMark:
    """Marks that somebody gave a field on paper."""

    marks: float
    out_of: float
    by: str


@dataclass(slots=True)
class TypedIn:
    """What was typed in of one paper: answers by item and field, and the marks given by hand by (item, field)."""

    file: str
    answers: dict[str, dict[str, Response]] = field(default_factory=dict)
    given: dict[tuple[str, str], GivenMark] = field(default_factory=dict)


class _RefusedError(Exception):
    """A line that is not taken: the key of the sentence that says why, and what it is told."""

    def __init__(self, key: str, told: SheetLine | None = None) -> None:
        super().__init__(key)
        self.key, self.told = key, told or SheetLine()


def read_sheets(paths: Sequence[Path], papers: PaperSet, words: Words) -> tuple[dict[str, TypedIn], list[Refused]]:
    """Read tables of answers.

    Parameters
    ----------
    paths, papers
        The tables, and what was set.
    words
        The language of the reasons.

    Returns
    -------
    typed, refused
        By paper what was typed in, papers of which nothing was left out; and the lines that were not taken, in order.

    Raises
    ------
    UsageError
        A file is no such table at all: it cannot be read, or its headings are others.
    """
    known = {name: paper for paper in papers.papers for name in _names(paper, papers)}
    typed: dict[str, TypedIn] = {}
    refused: list[Refused] = []
    seen: dict[tuple[str, str, str], str] = {}
    for path in paths:
        for number, row, heads in _rows(path):
            place = f"{printed_name(path.name)}: line {number}"
            try:
                _take(row, heads, (place, path.name), known, typed, seen)
            except _RefusedError as error:
                refused.append(Refused(place, words.say(error.told, error.key)))
    return typed, refused


def _names(paper: Paper, papers: PaperSet) -> tuple[str, ...]:
    return paper.id, paper.learner.id, papers.blueprint.paper_name(paper.learner)


# ---------------------------------------------------------------- the file


def _rows(path: Path) -> list[tuple[int, list[str], list[str]]]:
    """The lines that hold something: number, cells, headings."""
    rows = read_table(path, "the answer table", LONGEST)
    heads = [head.lower() for head in rows[0][1]] if rows else []
    _check_heads(heads, path)
    return [(number, row, heads) for number, row in rows[1:] if any(row)]


def _check_heads(heads: list[str], path: Path) -> None:
    where = f"{path.name}: line 1"
    for head in heads:
        if head not in COLUMNS:
            remedy = choose_one(head, COLUMNS)
            raise UsageError(f"there is no column '{head[:40]}'", where=where, remedy=remedy)
        if heads.count(head) > 1:
            raise UsageError(f"the column '{head}' stands twice", where=where, remedy="take one out")
    lacking = [head for head in NEEDED if head not in heads]
    if lacking or not {"answer", "marks"} & set(heads):
        name = lacking[0] if lacking else "answer"
        raise UsageError(f"the column '{name}' is missing", where=where, remedy=f"write {','.join(COLUMNS[:7])}")


# ---------------------------------------------------------------- a line


def _take(
    row: list[str],
    heads: list[str],
    place: tuple[str, str],
    known: Mapping[str, Paper],
    typed: dict[str, TypedIn],
    seen: dict[tuple[str, str, str], str],
) -> None:
    """Take a line; _RefusedError where it cannot be taken. ``place`` is where it stands, and in which file."""
    if len(row) > len(heads):
        raise _RefusedError("columns")
    given = dict(zip(heads, row, strict=False))
    answer, marks = given.get("answer", ""), given.get("marks", "")
    if not answer and not marks:
        return
    paper = known.get(given.get("learner", ""))
    if paper is None:
        raise _RefusedError("no-learner", SheetLine(_short(given.get("learner", ""))))
    item = next((each for each in paper.items if each.id == given.get("item", "")), None)
    if item is None:
        raise _RefusedError("no-item", SheetLine(_short(given.get("item", "")), paper.learner.name))
    asked = _field(item, given.get("field", ""))
    slot = (paper.id, item.id, asked.key)
    if slot in seen:
        raise _RefusedError("twice", SheetLine(other=seen[slot]))
    if answer and marks:
        raise _RefusedError("both")
    found = typed.get(paper.id) or TypedIn(printed_name(place[1]))
    if marks:
        found.given[item.id, asked.key] = _mark(marks, given.get("by", ""), asked)
    else:
        found.answers.setdefault(item.id, {})[asked.key] = _answer(answer, asked)
    typed[paper.id] = found
    seen[slot] = place[0]


def _field(item: Item, name: str) -> Field:
    for asked in item.question.fields:
        if asked.key == name and asked.kind is not FieldKind.BENCH:
            return asked
    raise _RefusedError("no-field", SheetLine(_short(name), item.id))


def _answer(text: str, asked: Field) -> Response:
    if len(text) > LONGEST_ANSWER:
        raise _RefusedError("too-long", SheetLine(most=LONGEST_ANSWER))
    try:
        return response_of(asked, text)
    except MistypedError as error:
        raise _RefusedError(error.key, SheetLine(_short(error.given), error.last)) from None


def _mark(text: str, by: str, asked: Field) -> GivenMark:
    try:
        marks = float(text.replace(",", "."))
    except ValueError:
        marks = math.nan
    if not 0 <= marks <= asked.marks + SPARE:
        raise _RefusedError("no-mark", SheetLine(_short(text), most=asked.marks))
    if not by or len(by) > LONGEST_NAME:
        raise _RefusedError("no-by", SheetLine(most=LONGEST_NAME))
    return GivenMark(round(marks, 2), asked.marks, by)


def _short(text: str) -> str:
    return printed_name(text)[:40]
