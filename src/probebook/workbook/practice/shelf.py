"""What the journals beside a notebook say about a learner, and all that fresh questions are made from.

The time written beside an answer puts the answers of several workbooks in order, and does nothing else.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import ProbebookError
from probebook.learning.choosing import Template
from probebook.learning.mastery import Answer
from probebook.learning.rules import Course, load_course
from probebook.questions.marking import mark
from probebook.questions.model import Marked, Question, Response, Standing
from probebook.words import Noun, Words
from probebook.workbook.finding import find_sheet
from probebook.workbook.journal import SUFFIX, Entry, read_journal
from probebook.workbook.language import sheet_library
from probebook.workbook.practice.fresh import Order, fingerprint, rebuilt
from probebook.workbook.practice.templates import templates_of

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.codec import Sheet
    from probebook.workbook.build.plan import Plan

__all__ = ["PREFIX", "Item", "Records", "Shelf", "evidence", "is_record", "item_of"]

#: Ids of practice questions: ``practice-1``, ``practice-2`` ...
PREFIX = "practice-"

#: What was asked in practice, by id.
Records = Mapping[str, Mapping[str, Response]]

#: When, where and as which line an answer was given, and the answer.
Dated = tuple[str, str, int, Answer]


@dataclass(frozen=True, slots=True)
class Item:
    """What a question counts for: its outcome, its marks (above 0), its difficulty in logits."""

    outcome: str
    marks: float
    difficulty: float


def item_of(source: Question | Mapping[str, Response]) -> Item | None:
    """What a question, or the record of one, counts for; None for a record that does not say."""
    if isinstance(source, Question):
        return Item(source.outcome, source.marks, source.difficulty) if source.marks > 0 else None
    try:
        item = Item(str(source["outcome"]), float(str(source["marks"])), float(str(source["difficulty"])))
    except (KeyError, ValueError):
        return None
    return item if 0 < item.marks < math.inf and math.isfinite(item.difficulty) else None


def is_record(entry: Entry) -> bool:
    """Whether a journal entry says what was asked in practice, rather than what was answered."""
    return entry.question.startswith(PREFIX) and entry.standing is Standing.BLANK and "kind" in entry.response


def evidence(
    workbook: str,
    entries: Iterable[Entry],
    item_of: Callable[[str], Item | None],
    offends: Callable[[Entry], frozenset[str]],
) -> list[Dated]:
    """The answers of one journal as evidence, each with when, where and as which line it was given.

    Parameters
    ----------
    workbook, entries
        The journal's name and its entries, oldest first.
    item_of
        What the question of an id counts for, or None for one that is not known.
    offends
        The outcomes that an answer endangers; asked only about answers that earned nothing by a slip.
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
        item = item_of(entry.question)
        if item is None:
            continue
        endangered = offends(entry) if doubtful else frozenset()
        if first or endangered:
            share = min(max(entry.marks / item.marks, 0.0), 1.0)
            answer = Answer(item.outcome, share, item.difficulty, endangered, first)
            found.append((entry.time, workbook, entry.n, answer))
    return found


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
        """The trade in force, in the region and the language that the workbook was built for."""
        return self._library or sheet_library(self.sheet, self.here)

    @cached_property
    def course(self) -> Course:
        """The rules by which practice is chosen."""
        return load_course(self.library.folder)

    @cached_property
    def sheets(self) -> dict[str, Sheet]:
        """The sheet of this workbook, and those of the others that lie beside it for the same reader."""
        from probebook.questions.codec import read_sheet

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
        from probebook.workbook.build.plan import load_plans

        return load_plans(self.library.folder, self.library.words)

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
    def titles(self) -> dict[str, Noun]:
        """Titles of the outcomes."""
        return {outcome.id: self.library.words.noun(outcome.title) for outcome in self.library.outcomes.values()}

    def competences(self, slip: str) -> Sequence[str]:
        """Competences that a slip neglects; none for a slip that is not known."""
        note = self.library.slips.get(slip)
        return note.competences if note else ()

    def marked(self, question: Question, entry: Entry, words: Words) -> Marked:
        """An answer marked again, one of the bench by doing its acts again."""
        bench = None
        if question.bench:
            from probebook.questions.bench.marking import bench_marker

            bench = bench_marker(question, self.library)
        return mark(question, entry.response, words, bench=bench)

    def offended(self, question: Question, entry: Entry) -> frozenset[str]:
        """The outcomes that an answer endangers: none unless it was a safety-critical mistake."""
        marked = self.marked(question, entry, self.library.words)
        if not marked.critical:
            return frozenset()
        dangerous = {(slip.field, slip.slip) for slip in question.slips if slip.critical}
        slips = [part.slip for part in marked.fields if (part.key, part.slip) in dangerous]
        return self.course.offended(question.outcome, [c for slip in slips for c in self.competences(slip)])

    def question(self, question_id: str, sheet: Sheet, records: Records) -> Question | None:
        """A question of a sheet, or one built again from its record; None when it cannot be had as it was."""
        if question_id not in records:
            with contextlib.suppress(KeyError):
                return sheet.question(question_id)
            return None
        record = records[question_id]
        key = f"{question_id} {sorted(record.items())}"
        if key not in self._built:
            try:
                question, case = rebuilt(Order.from_record(question_id, record), self.library)
            except (ProbebookError, KeyError, TypeError, ValueError):  # or made from what there is no longer
                return None
            self._built[key] = question if fingerprint(question, case) == record.get("mark") else None
        return self._built[key]

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
            found += self._evidence(name, sheet, entries, asked)
        found.sort(key=lambda item: item[:3])
        return tuple(answer for *_, answer in found)

    def _evidence(self, name: str, sheet: Sheet, entries: Iterable[Entry], records: Records) -> list[Dated]:
        by_id = {question.id: question for question in sheet.questions}

        def item(question_id: str) -> Item | None:
            source = records.get(question_id) or by_id.get(question_id)
            return item_of(source) if source is not None else None

        def offends(entry: Entry) -> frozenset[str]:
            question = self.question(entry.question, sheet, records)
            return self.offended(question, entry) if question is not None else frozenset()

        return evidence(name, entries, item, offends)
