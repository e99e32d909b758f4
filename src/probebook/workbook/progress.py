"""How far a learner has come, outcome by outcome, and what to practise next."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from probebook.questions.marking import mark
from probebook.questions.model import Question, Standing
from probebook.workbook.journal import Entry
from probebook.workbook.markup import safe

__all__ = ["Row", "advice", "progress_html", "progress_rows"]

#: Share of the marks at the first attempt from which an outcome no longer needs practice. A convention of ours.
SURE = 0.8


@dataclass(frozen=True, slots=True)
class Row:
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
    titles: Mapping[str, str] | None = None,
) -> tuple[Row, ...]:
    """A row for each outcome, in the order the workbook comes to them.

    ``of`` gives the answers to a question, ``titles`` the outcomes in words (their ids where it is silent).
    """
    by_outcome: dict[str, list[Question]] = {}
    for question in questions:
        by_outcome.setdefault(question.outcome, []).append(question)
    names = titles or {}
    return tuple(_row(names.get(outcome, outcome), group, of) for outcome, group in by_outcome.items())


def _row(outcome: str, questions: list[Question], of: Callable[[str], Sequence[Entry]]) -> Row:
    scored = {question.id: [entry for entry in of(question.id) if entry.scored] for question in questions}
    answered = [question for question in questions if scored[question.id]]
    return Row(
        outcome=outcome,
        questions=len(questions),
        answered=len(answered),
        marks=sum(scored[question.id][-1].marks for question in answered),
        first_marks=sum(scored[question.id][0].marks for question in answered),
        answered_out_of=sum(question.marks for question in answered),
        out_of=sum(question.marks for question in questions),
        critical=any(_is_critical(question, scored[question.id][-1]) for question in answered),
        open=tuple(question.id for question in questions if not scored[question.id]),
        weak=tuple(question.id for question in answered if scored[question.id][0].marks < question.marks),
    )


def _is_critical(question: Question, entry: Entry) -> bool:
    return entry.standing is Standing.SLIP and entry.marks == 0 and mark(question, entry.response).critical


def advice(rows: Sequence[Row]) -> str:
    """One sentence: what to practise next."""
    for row in rows:
        if row.critical:
            return f"First of all: {row.outcome}. An answer there would have been dangerous."
    weak = [row for row in rows if row.answered and row.share < SURE]
    if weak:
        row = min(weak, key=lambda row: row.share)
        figures = f"{row.first_marks:g} of {row.answered_out_of:g} marks at the first attempt"
        return f"Practise next: {row.outcome} ({_numbers(row.weak)}): {figures}."
    for row in rows:
        if row.open:
            return f"Go on with: {row.outcome} ({_numbers(row.open)})."
    return "Every outcome here is sure. Go on to the next workbook."


def _numbers(ids: Sequence[str]) -> str:
    """Questions as a learner knows them: ``q01`` and ``q03`` are 'questions 1 and 3'."""
    names = [name.removeprefix("q").lstrip("0") or name for name in ids]
    if len(names) == 1:
        return f"question {names[0]}"
    return f"questions {', '.join(names[:-1])} and {names[-1]}"


def progress_html(rows: Sequence[Row]) -> str:
    """The table and the advice."""
    head = "".join(
        f'<th scope="col"{_FIGURE if is_figure else ""}>{name}</th>'
        for name, is_figure in (("Outcome", False), ("Answered", True), ("Marks", True), ("At first attempt", True))
    )
    body = "".join(
        f'<tr><th scope="row">{safe(row.outcome)}{" ⚠ dangerous answer" if row.critical else ""}</th>'
        f"<td{_FIGURE}>{row.answered} of {row.questions}</td>"
        f"<td{_FIGURE}>{row.marks:g} of {row.out_of:g}</td>"
        f"<td{_FIGURE}>{f'{row.first_marks:g} of {row.answered_out_of:g}' if row.answered else '–'}</td></tr>"
        for row in rows
    )
    total = (
        f'<tr><th scope="row">All</th><td{_FIGURE}>{sum(r.answered for r in rows)} of {sum(r.questions for r in rows)}'
        f"</td><td{_FIGURE}>{sum(r.marks for r in rows):g} of {sum(r.out_of for r in rows):g}</td>"
        f"<td{_FIGURE}>{sum(r.first_marks for r in rows):g} of {sum(r.answered_out_of for r in rows):g}</td></tr>"
    )
    table = f'<table class="pb-table"><caption>Your progress</caption><tr>{head}</tr>{body}{total}</table>'
    return f'{table}<p class="pb-next">{safe(advice(rows))}</p>'


_FIGURE = ' class="pb-figure"'
