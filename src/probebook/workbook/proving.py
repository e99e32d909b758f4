"""Answer every question of an open workbook through its own model and say what came of it.

This runs inside the notebook's kernel. For each question it gives the key, each slip, a blank and rubbish, by writing
the answer that a page would write and sending what a page sends when the button is pressed, and compares what the page
is then told with what the marking sheet documents.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING, Any

from probebook.questions.marking import implied_pairs
from probebook.questions.model import Field, FieldKind, Marked, Question, Response, Slip, Standing

if TYPE_CHECKING:
    from probebook.workbook.forms.form import Form
    from probebook.workbook.player import Workbook

__all__ = ["RUBBISH", "prove", "report"]

#: What nobody should type into a field for a quantity, and some will.
RUBBISH = ("abc", "12 parsec", "1e999", "-5 ohm", "nan")


def report(book: Workbook) -> str:
    """The outcome of :func:`prove` as one line of JSON."""
    return json.dumps(prove(book), ensure_ascii=False)


def prove(book: Workbook) -> dict[str, Any]:
    """Drive every question; ``{"questions": n, "attempts": n, "problems": ["q07, the key: …", …]}``."""
    attempts, problems = 0, []
    for question in book.sheet.questions:
        form = book.form(question.id)
        for name, attempt in _attempts(question, form):
            attempts += 1
            try:
                attempt()
            except _Trouble as trouble:
                problems.append(f"{question.id}, {name}: {trouble}")
    return {"questions": len(book.sheet.questions), "attempts": attempts, "problems": problems}


def _attempts(question: Question, form: Form) -> Iterator[tuple[str, Callable[[], None]]]:
    """Every attempt by name; the key comes last, so that it is what stays in the form."""
    blank = {field.key: _blank(field) for field in question.fields}
    yield "blank", partial(_unscored, form, blank, Standing.BLANK)
    for field in question.fields:
        if field.kind is FieldKind.QUANTITY:
            for text in RUBBISH:
                given = {**question.key(), field.key: text}
                yield f"'{text}' in {field.key}", partial(_unscored, form, given, Standing.UNREADABLE)
    for slip in question.slips:
        yield f"slip {slip.slip} in {slip.field}", partial(_slip, question, form, slip)
    yield "the key", partial(_key, question, form)


def _blank(field: Field) -> Response:
    return "" if field.kind in (FieldKind.QUANTITY, FieldKind.CHOICE) else []


class _Trouble(Exception):  # noqa: N818 - what an attempt came to, not a mistake of the caller's
    """What went wrong with an attempt, in a few words."""


def _give(form: Form, answers: dict[str, Response]) -> Marked:
    """Write the answer, press the button, give back the mark; :class:`_Trouble` when there is none."""
    try:
        form.set(answers)
        form.check()
    except Exception as error:
        raise _Trouble(f"the form raised {type(error).__name__}: {error}") from error
    if form.marked is None:
        raise _Trouble("the form gave no mark")
    return form.marked


def _said(form: Form) -> str:
    """What the verdict says as plain text."""
    verdict = form.model.verdict
    parts = [verdict.get("message", ""), *(part["message"] for part in verdict.get("parts", ()))]
    return _plain(html.unescape(re.sub(r"<[^>]+>", " ", " ".join(parts))))


def _plain(text: str) -> str:
    return re.sub(r"[\s*_`]+", " ", text).strip()


def _unscored(form: Form, answers: dict[str, Response], standing: Standing) -> None:
    marked = _give(form, answers)
    if marked.standing is not standing:
        raise _Trouble(f"stands as '{marked.standing}' where '{standing}' was expected")
    if marked.marks:
        raise _Trouble(f"earned {marked.marks:g} marks")
    if len(_said(form)) < len("Give an answer"):
        raise _Trouble("no message was shown")


def _key(question: Question, form: Form) -> None:
    marked = _give(form, question.key())
    if marked.marks != question.marks or marked.standing is not Standing.RIGHT:
        raise _Trouble(f"earned {marked.marks:g} of {question.marks:g} marks ({marked.standing})")


def _slip(question: Question, form: Form, slip: Slip) -> None:
    field = question.field(slip.field)
    marked = _give(form, {**question.key(), slip.field: _showing(field, slip)})
    found = next(mark for mark in marked.fields if mark.key == slip.field)
    if found.slip != slip.slip:
        raise _Trouble(f"was taken for '{found.slip or found.standing}'")
    if field.kind is not FieldKind.ORDER and found.marks != slip.marks:
        raise _Trouble(f"earned {found.marks:g} marks where {slip.marks:g} are documented")
    if slip.critical and marked.marks:
        raise _Trouble(f"is critical and still left {marked.marks:g} marks")
    if marked.marks >= question.marks:
        raise _Trouble("earned full marks")
    if _plain(slip.advice) not in _said(form):
        raise _Trouble("its advice was not shown")


def _showing(field: Field, slip: Slip) -> Response:
    """The answer that shows a slip.

    Where ticks are asked for, a slip with a single option is that option ticked alone. For an order it is one in which
    the slip's two steps stand next to each other, the wrong way round, behind whatever has to come before either of
    them: nothing else in it is wrong, unless a step has to stand between the two.
    """
    if field.kind is FieldKind.CHOICES and isinstance(slip.response, str):
        return [slip.response]
    if field.kind is not FieldKind.ORDER:
        return slip.response
    later, earlier = list(slip.response)
    pairs = implied_pairs(field.before)
    first = [
        step
        for step in field.answer
        if step not in (later, earlier) and ((step, earlier) in pairs or (step, later) in pairs)
    ]
    rest = [step for step in field.answer if step not in (*first, later, earlier)]
    return [*first, later, earlier, *rest]
