"""An item proved before it is handed out: its key, given through the form that a learner is given, earns all marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from probebook.assessment.model import Item
from probebook.questions.marking import mark
from probebook.questions.model import Standing
from probebook.workbook.forms.view import from_response, to_response

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["prove_item"]

#: Marks are kept to a hundredth.
CLOSE = 0.011


def prove_item(item: Item, words: Words) -> str:
    """What is wrong with an item; empty where its key, as a page sends it, is right and earns its marks."""
    question = item.question
    response = {field.key: to_response(field, from_response(field, field.answer)) for field in question.fields}
    marked = mark(question, response, words, final=True)
    if marked.standing is not Standing.RIGHT or abs(marked.marks - question.marks) > CLOSE:
        return f"the key of {question.id} earns {marked.marks:g} of {question.marks:g} marks"
    return ""
