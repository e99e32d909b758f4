"""How far a learner has come, outcome by outcome, and what to practise next."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from probebook.questions.marking import mark
from probebook.questions.model import Question, Standing
from probebook.words import Phrase, Words
from probebook.workbook.facts import (
    AllSure,
    DangerousOutcome,
    OutcomeInDanger,
    OutcomeOpen,
    OutcomeWeak,
    ProgressHeads,
    SomeOf,
)
from probebook.workbook.journal import Entry
from probebook.workbook.markup import safe

__all__ = ["OutcomeRow", "advice", "progress_html", "progress_rows"]

#: Share of the marks at the first attempt from which an outcome no longer needs practice. A convention of ours.
SURE = 0.8


@dataclass(frozen=True, slots=True)
class OutcomeRow:
    """One outcome: its questions, how many are answered, marks now and at the first attempts, out of how many.

    ``answered_out_of`` counts the answered questions only; ``critical`` tells that an answer that stands now is a
    safety-critical mistake; ``open`` and ``weak`` are the ids of questions not answered, and short of full marks at
    the first attempt.
    """

    outcome: str
    questions: int
    answered: int
    marks: float
    first_marks: float
    answered_out_of: float
    out_of: float
    critical: bool
    open: tuple[str, ...]
    weak: tuple[str, ...]

    @property
    def share(self) -> float:
        """Share of the marks at the first attempt, over the questions answered; 1 when there are none."""
        return self.first_marks / self.answered_out_of if self.answered_out_of else 1.0


def progress_rows(
    questions: Iterable[Question],
    of: Callable[[str], Sequence[Entry]],
    words: Words,
    titles: Mapping[str, str] | None = None,
) -> tuple[OutcomeRow, ...]:
    """A row for each outcome, in the order the workbook comes to them.

    ``of`` gives the answers to a question, ``titles`` the outcomes in words (their ids where it is silent).
    """
    by_outcome: dict[str, list[Question]] = {}
    for question in questions:
        by_outcome.setdefault(question.outcome, []).append(question)
    names = titles or {}
    return tuple(_row(names.get(outcome, outcome), group, of, words) for outcome, group in by_outcome.items())


def _row(outcome: str, questions: list[Question], of: Callable[[str], Sequence[Entry]], words: Words) -> OutcomeRow:
    scored = {question.id: [entry for entry in of(question.id) if entry.scored] for question in questions}
    answered = [question for question in questions if scored[question.id]]
    return OutcomeRow(
        outcome=outcome,
        questions=len(questions),
        answered=len(answered),
        marks=math.fsum(scored[question.id][-1].marks for question in answered),
        first_marks=math.fsum(scored[question.id][0].marks for question in answered),
        answered_out_of=math.fsum(question.marks for question in answered),
        out_of=math.fsum(question.marks for question in questions),
        critical=any(_is_critical(question, scored[question.id][-1], words) for question in answered),
        open=tuple(question.id for question in questions if not scored[question.id]),
        weak=tuple(question.id for question in answered if scored[question.id][0].marks < question.marks),
    )


def _is_critical(question: Question, entry: Entry, words: Words) -> bool:
    return entry.standing is Standing.SLIP and entry.marks == 0 and mark(question, entry.response, words).critical


def advice(rows: Sequence[OutcomeRow], words: Words) -> str:
    """One sentence: what to practise next."""
    for row in rows:
        if row.critical:
            return words.say(OutcomeInDanger(Phrase(row.outcome)), "danger")
    weak = [row for row in rows if row.answered and row.share < SURE]
    if weak:
        row = min(weak, key=lambda row: row.share)
        found = OutcomeWeak(Phrase(row.outcome), _numbers(row.weak), row.first_marks, row.answered_out_of)
        return words.say(found, "weak")
    for row in rows:
        if row.open:
            return words.say(OutcomeOpen(Phrase(row.outcome), _numbers(row.open)), "open")
    return words.say(AllSure(), "sure")


def _numbers(ids: Sequence[str]) -> tuple[str, ...]:
    """Questions as a learner knows them: ``q01`` is question 1."""
    return tuple(name.removeprefix("q").lstrip("0") or name for name in ids)


def progress_html(rows: Sequence[OutcomeRow], words: Words) -> str:
    """The table and the advice."""

    def head(key: str) -> str:
        return safe(words.say(ProgressHeads(), key))

    def of(some: float, whole: float) -> str:
        return f"<td{_FIGURE}>{safe(words.say(SomeOf(some, whole), 'of'))}</td>"

    def cells(row: OutcomeRow) -> str:
        title = words.say(DangerousOutcome(Phrase(row.outcome)), "dangerous") if row.critical else row.outcome
        first = of(row.first_marks, row.answered_out_of) if row.answered else f"<td{_FIGURE}>–</td>"
        counted = of(row.answered, row.questions) + of(row.marks, row.out_of)
        return f'<tr><th scope="row">{safe(title)}</th>{counted}{first}</tr>'

    heads = f'<th scope="col">{head("outcome")}</th>' + "".join(
        f'<th scope="col"{_FIGURE}>{head(key)}</th>' for key in ("answered", "marks", "first")
    )
    total = (
        f'<tr><th scope="row">{head("all")}</th>'
        + of(sum(row.answered for row in rows), sum(row.questions for row in rows))
        + of(math.fsum(row.marks for row in rows), math.fsum(row.out_of for row in rows))
        + of(math.fsum(row.first_marks for row in rows), sum(row.answered_out_of for row in rows))
        + "</tr>"
    )
    body = "".join(cells(row) for row in rows)
    table = f'<table class="pb-table"><caption>{head("caption")}</caption><tr>{heads}</tr>{body}{total}</table>'
    return f'{table}<p class="pb-next">{safe(advice(rows, words))}</p>'


_FIGURE = ' class="pb-figure"'
