"""Marking the bench field of a question: the acts are replayed on the same bench and the job is graded.

A mistake that can kill takes the whole job to zero, whatever else was right. Minutes for isolating and proving dead are
never counted against anybody.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from probebook.bench.facts import PartsOfGrade
from probebook.bench.grading import Grade, grade
from probebook.bench.log import readable, replay
from probebook.bench.simulator import Bench, BenchSpec, open_bench
from probebook.questions.bench.facts import JobNotMarked, JobRight
from probebook.questions.model import Field, FieldMark, Question, Standing
from probebook.words import Phrase

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.marking import BenchMarker

__all__ = ["bench_marker"]


def bench_marker(question: Question, library: Library) -> BenchMarker:
    """What marks the bench field of a question (``bench`` of :func:`probebook.questions.marking.mark`).

    The bench is set up at the first answer. UsageError then, when the question does not say from what.
    """
    opened: list[Bench] = []

    def unmarked(field: Field, standing: Standing, key: str) -> FieldMark:
        return FieldMark(field.key, standing, 0.0, library.words.say(JobNotMarked(), key))

    def marker(field: Field, given: object) -> FieldMark:
        if given is None or given in ("", []):
            return unmarked(field, Standing.BLANK, "nothing-done")
        acts = readable(given)
        if acts is None:
            return unmarked(field, Standing.UNREADABLE, "no-acts")
        if not opened:
            opened.append(open_bench(BenchSpec.from_json(question.bench), library))
        log = replay(opened[0], acts)
        if not log.state.over:
            return unmarked(field, Standing.BLANK, "go-on")
        return _field_mark(question, field, opened[0], grade(opened[0], log))

    return marker


def _field_mark(question: Question, field: Field, bench: Bench, found: Grade) -> FieldMark:
    advice = next((s.advice for s in question.slips if s.slip == found.slip and s.field == field.key), "")
    notes = " ".join(found.notes)
    if found.critical:
        return FieldMark(field.key, Standing.SLIP, 0.0, f"{notes} {advice}".strip(), found.slip)
    said = " ".join(part for part in (_parts(bench, found), notes, advice) if part)
    if found.marks >= field.marks:
        return FieldMark(field.key, Standing.RIGHT, field.marks, bench.say(JobRight(Phrase(said)), "right"))
    if advice:
        return FieldMark(field.key, Standing.SLIP, found.marks, said, found.slip)
    return FieldMark(field.key, Standing.PARTLY if found.conclusion else Standing.WRONG, found.marks, said)


def _parts(bench: Bench, found: Grade) -> Phrase:
    """The four parts in a sentence."""
    most = bench.grading
    facts = PartsOfGrade(
        safety=found.safety,
        safety_most=most.safety,
        support=found.support,
        support_most=most.support,
        economy=found.economy,
        economy_most=most.economy,
        conclusion=found.conclusion,
        conclusion_most=most.conclusion,
    )
    return bench.say(facts, "parts")
