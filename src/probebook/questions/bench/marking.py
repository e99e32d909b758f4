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


def bench_marker(question: Question, library: Library, *, final: bool = False) -> BenchMarker:
    """What marks the bench field of a question (``bench`` of :func:`probebook.questions.marking.mark`).

    ``final`` says that nothing can be done any more: a job without a conclusion then keeps the marks of safe working.
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
        if not log.state.over and final:
            return _unfinished(field, opened[0], log.state.proved_dead)
        if not log.state.over:
            return unmarked(field, Standing.BLANK, "go-on")
        return _field_mark(question, field, opened[0], grade(opened[0], log))

    return marker


def _unfinished(field: Field, bench: Bench, is_dead: bool) -> FieldMark:
    """A job that nobody concluded."""
    earned = bench.grading.safety * field.marks / bench.grading.whole if is_dead else 0.0
    standing = Standing.PARTLY if is_dead else Standing.WRONG
    return FieldMark(field.key, standing, earned, bench.say(JobNotMarked(), "unfinished"))


def _field_mark(question: Question, field: Field, bench: Bench, found: Grade) -> FieldMark:
    scale = field.marks / bench.grading.whole
    advice = next((s.advice for s in question.slips if s.slip == found.slip and s.field == field.key), "")
    notes = " ".join(found.notes)
    if found.critical:
        return FieldMark(field.key, Standing.SLIP, 0.0, f"{notes} {advice}".strip(), found.slip)
    said = " ".join(part for part in (_parts(bench, found, scale), notes, advice) if part)
    if found.marks >= bench.grading.whole:
        return FieldMark(field.key, Standing.RIGHT, field.marks, bench.say(JobRight(Phrase(said)), "right"))
    if advice:
        return FieldMark(field.key, Standing.SLIP, found.marks * scale, said, found.slip)
    return FieldMark(field.key, Standing.PARTLY if found.conclusion else Standing.WRONG, found.marks * scale, said)


def _parts(bench: Bench, found: Grade, scale: float) -> Phrase:
    """The four parts in a sentence; ``scale`` is what a mark of the bench is worth here."""
    most = bench.grading
    facts = PartsOfGrade(
        safety=found.safety * scale,
        safety_most=most.safety * scale,
        support=found.support * scale,
        support_most=most.support * scale,
        economy=found.economy * scale,
        economy_most=most.economy * scale,
        conclusion=found.conclusion * scale,
        conclusion_most=most.conclusion * scale,
    )
    return bench.say(facts, "parts")
