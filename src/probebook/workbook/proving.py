"""Answer every question of an open workbook through its own widgets and say what came of it.

This runs inside the notebook's kernel. For each question it gives the key, each slip, a blank and rubbish, by setting
the widgets a learner would use and pressing the same button, and compares what the form then shows with what the
marking sheet documents.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from probebook.questions.marking import implied_pairs
from probebook.questions.model import Field, FieldKind, Question, Response, Slip, Standing

if TYPE_CHECKING:
    from probebook.workbook import Form, Workbook

__all__ = ["RUBBISH", "prove", "report"]

#: What nobody should type into a field for a quantity, and some will.
RUBBISH = ("abc", "12 parsec", "1e999", "-5 ohm", "nan")


def report(book: Workbook) -> str:
    """The outcome of :func:`prove` as one line of JSON."""
    return json.dumps(prove(book), ensure_ascii=False)


def prove(book: Workbook) -> dict[str, Any]:
    """Drive every question; ``{"questions": n, "attempts": n, "problems": ["q07: …", …]}``."""
    attempts, problems = 0, []
    for question in book.sheet.questions:
        form = book.form(question.id)
        for name, problem in _attempts(question, form):
            attempts += 1
            if problem:
                problems.append(f"{question.id}, {name}: {problem}")
    return {"questions": len(book.sheet.questions), "attempts": attempts, "problems": problems}


def _attempts(question: Question, form: Form) -> Iterator[tuple[str, str]]:
    yield "blank", _unscored(form, {field.key: _blank(field) for field in question.fields}, Standing.BLANK)
    for field in question.fields:
        if field.kind is FieldKind.QUANTITY:
            for text in RUBBISH:
                given = {**question.key(), field.key: text}
                yield f"'{text}' in {field.key}", _unscored(form, given, Standing.UNREADABLE)
    for slip in question.slips:
        yield f"slip {slip.slip} in {slip.field}", _slip(question, form, slip)
    yield "the key", _key(question, form)


def _blank(field: Field) -> Response:
    return "" if field.kind in (FieldKind.QUANTITY, FieldKind.CHOICE) else []


def _give(form: Form, answers: dict[str, Response]) -> str:
    """Set the widgets, press the button; what went wrong, if anything did."""
    try:
        for key, response in answers.items():
            form.inputs[key].set(response)
        form.check.click()
    except Exception as error:
        return f"the form raised {type(error).__name__}: {error}"
    return "" if form.marked is not None else "the form gave no mark"


def _said(form: Form) -> str:
    """What the feedback says as plain text."""
    return _plain(html.unescape(re.sub(r"<[^>]+>", " ", form.feedback.value)))


def _plain(text: str) -> str:
    return re.sub(r"[\s*_`]+", " ", text).strip()


def _unscored(form: Form, answers: dict[str, Response], standing: Standing) -> str:
    problem = _give(form, answers)
    if problem:
        return problem
    marked = form.marked
    if marked.standing is not standing:
        return f"stands as '{marked.standing}' where '{standing}' was expected"
    if marked.marks:
        return f"earned {marked.marks:g} marks"
    if len(_said(form)) < len("Give an answer"):
        return "no message was shown"
    return ""


def _key(question: Question, form: Form) -> str:
    problem = _give(form, question.key())
    if problem:
        return problem
    if form.marked.marks != question.marks or form.marked.standing is not Standing.RIGHT:
        return f"earned {form.marked.marks:g} of {question.marks:g} marks ({form.marked.standing})"
    return ""


def _slip(question: Question, form: Form, slip: Slip) -> str:
    field = question.field(slip.field)
    problem = _give(form, {**question.key(), slip.field: _showing(field, slip)})
    if problem:
        return problem
    found = next(mark for mark in form.marked.fields if mark.key == slip.field)
    if found.slip != slip.slip:
        return f"was taken for '{found.slip or found.standing}'"
    if field.kind is not FieldKind.ORDER and found.marks != slip.marks:
        return f"earned {found.marks:g} marks where {slip.marks:g} are documented"
    if slip.critical and form.marked.marks:
        return f"is critical and still left {form.marked.marks:g} marks"
    if form.marked.marks >= question.marks:
        return "earned full marks"
    if _plain(slip.advice) not in _said(form):
        return "its advice was not shown"
    return ""


def _showing(field: Field, slip: Slip) -> Response:
    """The answer that shows a slip.

    For an order it is one in which the slip's two steps stand next to each other, the wrong way round, behind whatever
    has to come before either of them: nothing else in it is wrong, unless a step has to stand between the two.
    """
    if field.kind is not FieldKind.ORDER:
        return slip.response
    later, earlier = slip.response
    pairs = implied_pairs(field.before)
    first = [
        step
        for step in field.answer
        if step not in (later, earlier) and ((step, earlier) in pairs or (step, later) in pairs)
    ]
    rest = [step for step in field.answer if step not in (*first, later, earlier)]
    return [*first, later, earlier, *rest]
