"""An item proved before it is handed out: its key, given through the form that a learner is given, earns all marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from probebook.assessment.model import Item
from probebook.questions.bench.marking import bench_marker
from probebook.questions.marking import mark
from probebook.questions.model import Field, FieldKind, Response, Standing
from probebook.workbook.forms.view import from_response, to_response

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["prove_item"]

#: Marks are kept to a hundredth.
CLOSE = 0.011


def prove_item(item: Item, library: Library) -> str:
    """What is wrong with an item; empty where its key, as a page sends it, is right and earns its marks."""
    question = item.question
    response = {field.key: _sent(field) for field in question.fields}
    bench = bench_marker(question, library, final=True) if question.bench else None
    marked = mark(question, response, library.words, final=True, bench=bench)
    if marked.standing is not Standing.RIGHT or abs(marked.marks - question.marks) > CLOSE:
        return f"the key of {question.id} earns {marked.marks:g} of {question.marks:g} marks"
    return ""


def _sent(field: Field) -> Response:
    """The key of a field as a page sends it; a bench sends the acts that were done."""
    return (
        list(field.answer) if field.kind is FieldKind.BENCH else to_response(field, from_response(field, field.answer))
    )
