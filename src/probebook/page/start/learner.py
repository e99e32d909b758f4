"""What the journals of a folder say about a learner. No kernel is started and no notebook is run."""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

from probebook.cases.seeds import stream
from probebook.errors import ProbebookError
from probebook.learning.choosing import choose
from probebook.learning.mastery import Known, rate, trace
from probebook.page.standing import Standings, standings
from probebook.page.workbook_page import Book
from probebook.questions.model import Question, Response, Standing
from probebook.words import Words
from probebook.workbook.journal import Entry, History
from probebook.workbook.practice.shelf import Item, Shelf, is_record, item_of

__all__ = ["Danger", "Done", "Learner", "Next", "OutcomeLine", "learner"]

#: So many weeks with answers are shown, the latest ones.
WEEKS = 4
#: So many slips are shown, the most frequent ones.
SLIPS = 5


@dataclass(frozen=True, slots=True)
class Done:
    """A workbook and what was done in it; ``latest`` is the time of the last answer (UTC, ISO 8601), empty for none."""

    book: Book
    history: History
    standings: Standings
    latest: str

    @property
    def reader(self) -> str:
        """Whom the workbook is for."""
        return str(self.book.sheet.meta.get("reader") or "")

    @property
    def name(self) -> str:
        """The name of the workbook."""
        return self.book.reading.name

    def of(self, question: str) -> Sequence[Entry]:
        """The answers to a question, oldest first."""
        return self.history.of(question)

    def records(self) -> dict[str, Mapping[str, Response]]:
        """What was asked in practice, by id."""
        return {entry.question: entry.response for entry in self.history.entries if is_record(entry)}


@dataclass(frozen=True, slots=True)
class Danger:
    """A dangerous answer: where and when it was given, what was said of it, whether a right one followed."""

    workbook: str
    workbook_title: str
    question: str
    question_title: str
    time: str
    said: str
    mended: bool


@dataclass(frozen=True, slots=True)
class OutcomeLine:
    """An outcome: how far it is known, and marks of first answers over marks to be had, week by week."""

    outcome: str
    title: str
    known: Known
    mastered: bool
    weeks: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Next:
    """Where to go on, and why, as a sentence (empty for going on where one stopped).

    ``how`` says what is there: a ``question``, a workbook to ``begin``, or fresh ``practice``.
    """

    workbook: str
    workbook_title: str
    how: Literal["question", "begin", "practice"]
    question: str
    why: str


@dataclass(frozen=True, slots=True)
class Learner:
    """What there is to say.

    Attributes
    ----------
    workbooks
        In order.
    dangers
        Latest first.
    weeks
        The Mondays (ISO 8601) of the weeks that have answers, the last few.
    outcomes
        In the order of the course, those with answers.
    slips
        Names of slips and how often each was made, the most frequent first.
    stopped
        Where the learner stopped last; None where nothing was begun, or all of it is answered.
    next
        What suits best; None where that cannot be told.
    trouble
        Why less is said than could be, as a sentence; empty when nothing is amiss.
    """

    workbooks: tuple[Done, ...]
    dangers: tuple[Danger, ...] = ()
    weeks: tuple[str, ...] = ()
    outcomes: tuple[OutcomeLine, ...] = ()
    slips: tuple[tuple[str, int], ...] = ()
    stopped: Next | None = None
    next: Next | None = None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class _Found:
    """First answers by week and outcome, dangers and slips, as they are met."""

    firsts: list[tuple[str, Item, float]] = field(default_factory=list)
    dangers: list[Danger] = field(default_factory=list)
    slips: Counter[str] = field(default_factory=Counter)


def done(book: Book, words: Words) -> Done:
    """What was done in a workbook."""
    history = book.history()
    latest = max((entry.time for entry in history.entries if entry.scored), default="")
    return Done(book, history, standings(book.sheet, history.of, words), latest)


def learner(workbooks: Sequence[Done], shelves: Mapping[str, Shelf], words: Words) -> Learner:
    """Read what the journals say.

    Parameters
    ----------
    workbooks
        In order.
    shelves
        For each reader, what fresh questions are made from.
    words
        The language in which it is told.
    """
    found = _Found()
    trouble = ""
    for item in workbooks:
        try:
            _gather(item, shelves[item.reader], words, found)
        except ProbebookError as error:
            trouble = str(error)
    found.dangers.sort(key=lambda danger: danger.time, reverse=True)
    weeks = sorted({week for week, _, _ in found.firsts})[-WEEKS:]
    outcomes: tuple[OutcomeLine, ...] = ()
    following = None
    reader = _reader(workbooks)
    if reader:
        own = [item for item in workbooks if item.reader == reader]
        try:
            outcomes, following = _course(own, shelves[reader], found, weeks)
        except ProbebookError as error:
            trouble = str(error)
    return Learner(
        workbooks=tuple(workbooks),
        dangers=tuple(found.dangers),
        weeks=tuple(weeks),
        outcomes=outcomes,
        slips=tuple(found.slips.most_common(SLIPS)),
        stopped=_stopped(workbooks),
        next=following,
        trouble=trouble,
    )


def _reader(workbooks: Sequence[Done]) -> str:
    """Whom the workbook is for that was worked in last; else the first."""
    latest = max(workbooks, key=lambda item: item.latest, default=None)
    return latest.reader if latest is not None else ""


# ---------------------------------------------------------------- one journal


def _gather(done: Done, shelf: Shelf, words: Words, found: _Found) -> None:
    records = done.records()
    by_id = {question.id: question for question in done.book.sheet.questions}
    met: set[str] = set()
    for entry in done.history.entries:
        if not entry.scored:
            continue
        source = records.get(entry.question) or by_id.get(entry.question)
        item = item_of(source) if source is not None else None
        if item is not None and entry.question not in met:
            found.firsts.append((_monday(entry.time), item, min(max(entry.marks, 0.0), item.marks)))
        met.add(entry.question)
        if entry.standing is Standing.SLIP:
            _gather_slip(done, shelf, words, entry, found)


def _gather_slip(done: Done, shelf: Shelf, words: Words, entry: Entry, found: _Found) -> None:
    question = shelf.question(entry.question, done.book.sheet, done.records())
    if question is None:
        return
    marked = shelf.marked(question, entry, words)
    for part in marked.fields:
        note = shelf.library.slips.get(part.slip) if part.slip else None
        if note is not None:
            found.slips[str(note.name)] += 1
    if marked.critical:
        said = " ".join(part.message for part in marked.fields if part.slip)
        found.dangers.append(_danger(done, question, entry, said))


def _danger(done: Done, question: Question, entry: Entry, said: str) -> Danger:
    later = [other for other in done.of(entry.question) if other.scored and other.n > entry.n]
    return Danger(
        workbook=done.name,
        workbook_title=done.book.reading.title,
        question=entry.question,
        question_title=question.title,
        time=entry.time,
        said=said,
        mended=bool(later) and later[-1].standing is Standing.RIGHT,
    )


def _monday(time: str) -> str:
    """The Monday of the week of a time (ISO 8601); empty for a time that is none."""
    try:
        day = date.fromisoformat(time[:10])
    except ValueError:
        return ""
    return (day - timedelta(days=day.weekday())).isoformat()


# ---------------------------------------------------------------- the course


def _course(
    own: Sequence[Done], shelf: Shelf, found: _Found, weeks: Sequence[str]
) -> tuple[tuple[OutcomeLine, ...], Next | None]:
    """Outcomes with answers, and what suits best, going by the workbooks for one reader."""
    base = next(item for item in own if item.name == shelf.name)
    answers = shelf.answers(base.of, base.records())
    course, titles = shelf.course, shelf.titles
    known = trace(answers, course)
    order = [name for name in (*course.outcomes, *sorted(set(known) - set(course.outcomes))) if name in known]
    lines = tuple(
        OutcomeLine(
            outcome=name,
            title=str(titles.get(name, name)),
            known=known[name],
            mastered=known[name].mastered(course.goal),
            weeks=tuple(_of_week(found.firsts, week, name) for week in weeks),
        )
        for name in order
    )
    digest = hashlib.sha256(repr([(item.name, len(item.history.entries)) for item in own]).encode()).hexdigest()
    rng = stream("start page", digest[:16])
    choice = choose(shelf.templates, known, rate(answers, course), course, titles, rng, shelf.library.words)
    return lines, _next(own, choice.outcome, choice.why)


def _of_week(firsts: Iterable[tuple[str, Item, float]], week: str, outcome: str) -> tuple[float, float]:
    own = [(marks, item.marks) for when, item, marks in firsts if when == week and item.outcome == outcome]
    return math.fsum(marks for marks, _ in own), math.fsum(out_of for _, out_of in own)


def _next(own: Sequence[Done], outcome: str, why: str) -> Next:
    """The first open question about an outcome, in workbooks begun and the one that follows; else fresh practice."""
    first = next((item for item in own if not item.standings.answered), None)
    for item in own:
        if not item.standings.answered and item is not first:
            continue
        for question in item.book.sheet.questions:
            if question.outcome == outcome and item.standings.states[question.id] == "open":
                how: Literal["question", "begin"] = "question" if item.standings.answered else "begin"
                return Next(item.name, item.book.reading.title, how, question.id, why)
    latest = max(own, key=lambda item: item.latest)
    return Next(latest.name, latest.book.reading.title, "practice", "", why)


def _stopped(workbooks: Sequence[Done]) -> Next | None:
    """The question to go on with in the workbook that was worked in last."""
    latest = max(workbooks, key=lambda item: item.latest, default=None)
    if latest is None or not latest.latest or not latest.standings.following:
        return None
    return Next(latest.name, latest.book.reading.title, "question", latest.standings.following, "")
