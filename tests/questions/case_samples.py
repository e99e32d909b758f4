"""Questions on cases, built once for the tests of each kind."""

from __future__ import annotations

from functools import cache

from english import WORDS
from probebook.cases.generate import make_case
from probebook.cases.library import library
from probebook.cases.model import Case
from probebook.cases.seeds import stream
from probebook.questions.checks import check_question
from probebook.questions.frame import Ask, Unfit
from probebook.questions.marking import mark
from probebook.questions.model import FieldKind, Kind, Question, Standing
from probebook.questions.registry import builder_of

TRADE = library()


@cache
def cases(level: int) -> tuple[Case, ...]:
    """A case of every appliance at a level."""
    return tuple(make_case(TRADE, a, "questions", level) for a in TRADE.appliance_ids)


@cache
def asked(kind: Kind, level: int) -> tuple[tuple[Case, Question], ...]:
    """A question of this kind on every case of a level that has one."""
    found: list[tuple[Case, Question]] = []
    for case in cases(level):
        ask = Ask("q01", kind, "samples", level, case.appliance, {}, case)
        try:
            question = builder_of(kind)(ask, TRADE, stream("samples", case.id))
        except Unfit:
            continue
        check_question(question)
        found.append((case, question))
    return tuple(found)


def keys_and_slips_are_marked(question: Question) -> None:
    """The key earns everything; each slip earns what it says and is told with its advice."""
    marked = mark(question, question.key(), WORDS)
    assert (marked.standing, marked.marks) == (Standing.RIGHT, question.marks)
    for slip in question.slips:
        field = question.field(slip.field)
        given = slip.response
        if field.kind is FieldKind.CHOICES and isinstance(given, str):
            given = [*field.answer, given]
        result = mark(question, {**question.key(), slip.field: given}, WORDS)
        part = next(m for m in result.fields if m.key == slip.field)
        assert part.standing is Standing.SLIP
        assert part.slip == slip.slip
        assert slip.advice in part.message
        if slip.critical:
            assert result.critical
            assert result.marks == 0.0
        elif field.kind is not FieldKind.CHOICES or isinstance(slip.response, list):
            assert part.marks == slip.marks
