"""What the journals beside a notebook say about a learner, and all that fresh questions are made from.

The time written beside an answer puts the answers of several workbooks in order, and does nothing else.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import ProbebookError
from probebook.questions.marking import mark
from probebook.questions.mastery import Answer, Course, load_course
from probebook.questions.model import Question, Response, Standing
from probebook.workbook.choosing import Order, Template, fingerprint, rebuilt, templates_of
from probebook.workbook.journal import SUFFIX, Entry, read_journal

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.codec import Sheet
    from probebook.workbook.plan import Plan

__all__ = ["PREFIX", "Records", "Shelf", "evidence", "is_record"]

#: Ids of practice questions: ``practice-1``, ``practice-2`` ...
PREFIX = "practice-"

#: What was asked in practice, by id.
Records = Mapping[str, Mapping[str, Response]]

#: When, where and as which line an answer was given, and the answer.
Dated = tuple[str, str, int, Answer]


def is_record(entry: Entry) -> bool:
    """Whether a journal entry says what was asked in practice, rather than what was answered."""
    return entry.question.startswith(PREFIX) and entry.standing is Standing.BLANK and "kind" in entry.response


def evidence(
    workbook: str,
    entries: Iterable[Entry],
    question_of: Callable[[str], Question | None],
    course: Course,
    competences: Callable[[str], Sequence[str]],
) -> list[Dated]:
    """The answers of one journal as evidence, each with when, where and as which line it was given.

    Parameters
    ----------
    workbook, entries
        The journal's name and its entries, oldest first.
    question_of
        The question of an id, or None for one that is not known any more.
    course
        Rules of the outcomes.
    competences
        Competences (C01 to C44) that a slip neglects.
    """
    found: list[Dated] = []
    met: set[str] = set()
    for entry in entries:
        if not entry.scored:
            continue
        first = entry.question not in met
        met.add(entry.question)
        # A dangerous answer earns nothing and stands as a slip: only such a one has to be looked at when not the first.
        doubtful = entry.standing is Standing.SLIP and entry.marks == 0
        if not first and not doubtful:
            continue
        question = question_of(entry.question)
        if question is None or not question.marks:
            continue
        offends = _offends(question, entry, course, competences) if doubtful else frozenset()
        if first or offends:
            share = min(max(entry.marks / question.marks, 0.0), 1.0)
            answer = Answer(question.outcome, share, question.difficulty, offends, first)
            found.append((entry.time, workbook, entry.n, answer))
    return found


def _offends(
    question: Question, entry: Entry, course: Course, competences: Callable[[str], Sequence[str]]
) -> frozenset[str]:
    marked = mark(question, entry.response)
    if not marked.critical:
        return frozenset()
    dangerous = {(slip.field, slip.slip) for slip in question.slips if slip.critical}
    neglected = [c for part in marked.fields if (part.key, part.slip) in dangerous for c in competences(part.slip)]
    return course.offended(question.outcome, neglected)


class Shelf:
    """All that fresh questions are made from, read when first asked for: the trade, the plans, sheets and journals."""

    def __init__(self, name: str, sheet: Sheet, here: Path, library: Library | None) -> None:
        self.name = name
        self.sheet = sheet
        self.here = here
        self._library = library
        self._built: dict[str, Question | None] = {}

    @cached_property
    def library(self) -> Library:
        """The trade in force."""
        from probebook.cases.library import library

        return self._library or library()

    @cached_property
    def course(self) -> Course:
        """The rules by which practice is chosen."""
        return load_course(self.library.folder)

    @cached_property
    def sheets(self) -> dict[str, Sheet]:
        """The sheet of this workbook, and those of the others that lie beside it for the same reader."""
        from probebook.questions.codec import read_sheet
        from probebook.workbook.player import find_sheet

        found = {self.name: self.sheet}
        reader = self.sheet.meta.get("reader")
        for plan in self.plans:
            if plan.stem == self.name or plan.reader != reader:
                continue
            with contextlib.suppress(ProbebookError):
                found[plan.stem] = read_sheet(find_sheet(plan.stem, self.here))
        return found

    @cached_property
    def plans(self) -> tuple[Plan, ...]:
        """The plans of all workbooks."""
        from probebook.workbook.plan import load_plans

        return load_plans(self.library.folder)

    @cached_property
    def templates(self) -> tuple[Template, ...]:
        """What fresh questions are made after."""
        return templates_of(self.plans, self.sheets)

    @cached_property
    def appliances(self) -> tuple[str, ...]:
        """Appliances that fresh questions may be about: for an owner those of the owners' workbooks, else all."""
        met = dict.fromkeys(template.appliance for template in self.templates)
        others = () if self.sheet.meta.get("reader") == "owner" else self.library.appliance_ids
        return tuple(dict.fromkeys((*met, *others)))

    @cached_property
    def titles(self) -> dict[str, str]:
        """Titles of the outcomes."""
        return {outcome.id: outcome.title for outcome in self.library.outcomes.values()}

    def competences(self, slip: str) -> Sequence[str]:
        """Competences that a slip neglects; none for a slip that is not known."""
        note = self.library.slips.get(slip)
        return note.competences if note else ()

    def question_of(self, sheet: Sheet, records: Records) -> Callable[[str], Question | None]:
        """What finds a question by its id: in a sheet, or built again from the record of practice."""

        def find(question_id: str) -> Question | None:
            if question_id not in records:
                with contextlib.suppress(KeyError):
                    return sheet.question(question_id)
                return None
            record = records[question_id]
            key = f"{question_id} {sorted(record.items())}"
            if key not in self._built:
                try:
                    question, case = rebuilt(Order.from_record(question_id, record), self.library)
                except ProbebookError:
                    return None
                self._built[key] = question if fingerprint(question, case) == record.get("mark") else None
            return self._built[key]

        return find

    def answers(self, own: Callable[[str], Sequence[Entry]], records: Records) -> tuple[Answer, ...]:
        """The evidence of all journals, oldest first.

        Parameters
        ----------
        own
            The entries of a question in this workbook's journal, oldest first.
        records
            What was asked in practice here.
        """
        found: list[Dated] = []
        for name, sheet in self.sheets.items():
            if name == self.name:
                ids = [*(question.id for question in sheet.questions), *records]
                entries: Iterable[Entry] = [entry for question_id in ids for entry in own(question_id)]
                asked = records
            else:
                try:
                    entries = read_journal(self.here / f"{name}{SUFFIX}", origin=name).entries
                except ProbebookError:
                    continue
                asked = {entry.question: entry.response for entry in entries if is_record(entry)}
            find = self.question_of(sheet, asked)
            found += evidence(name, entries, find, self.course, self.competences)
        found.sort(key=lambda item: item[:3])
        return tuple(answer for *_, answer in found)
