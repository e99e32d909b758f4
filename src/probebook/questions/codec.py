"""Questions as JSON and back: the files in ``answer_keys/`` and the sealed keys of a paper.

One question has one spelling: keys sorted, numbers as floats of at most seven significant digits, everything at its
default left out. Reading back gives an equal question; JSON has no infinity, so the band of an open circuit is spelt
``"inf"``. What is read is checked as far as marking relies on it, and a fault is told in one sentence that names the
key.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.errors import ScenarioError
from probebook.files import canonical_json
from probebook.numerics.rounding import stored
from probebook.questions.checks import check_question
from probebook.questions.model import Band, Field, Option, Question, Slip

if TYPE_CHECKING:
    from typing import TypeVar

    from pydantic import BaseModel

    M = TypeVar("M", bound=BaseModel)

__all__ = ["FORMAT", "Sheet", "decode_question", "encode_question", "marking_sheet", "read_sheet", "sheet_of"]

#: The number of the format that is written.
FORMAT = 1
#: A sheet longer than this (bytes) is refused unread.
LONGEST_SHEET = 32_000_000


@dataclass(frozen=True, slots=True)
class Sheet:
    """A marking sheet: what it belongs to (``meta``, plain JSON data) and its questions."""

    meta: dict[str, Any]
    questions: tuple[Question, ...]

    def question(self, question_id: str) -> Question:
        """The question of that id; KeyError when there is none."""
        for question in self.questions:
            if question.id == question_id:
                return question
        raise KeyError(question_id)


def marking_sheet(questions: Iterable[Question], meta: Mapping[str, Any]) -> str:
    """The text of a marking sheet: the same questions and meta give the same bytes."""
    return canonical_json(
        {"format": FORMAT, "meta": dict(meta), "questions": [encode_question(question) for question in questions]}
    )


def read_sheet(path: Path) -> Sheet:
    """Read and check a marking sheet.

    Raises
    ------
    ScenarioError
        The file cannot be read, is not a marking sheet of this format, or a question in it is unsound. The sentence
        names the file and the key.
    """
    path = Path(path)
    try:
        if path.stat().st_size > LONGEST_SHEET:
            raise ScenarioError("the file is too large for a marking sheet", remedy="build it again")
        return sheet_of(path.read_text(encoding="utf-8"))
    except ScenarioError as error:
        raise error.at(str(path)) from error
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise ScenarioError(
            f"the marking sheet cannot be read ({reason})", where=str(path), remedy="check the path"
        ) from error
    except UnicodeDecodeError as error:
        raise ScenarioError("the file is not JSON text", where=str(path), remedy="build it again") from error


# ---------------------------------------------------------------- writing


def encode_question(question: Question) -> dict[str, Any]:
    """The question as plain JSON data; whatever equals its default is left out."""
    encoded: dict[str, Any] = _encode(question)
    return encoded


def _encode(value: Any) -> Any:
    if isinstance(value, Band):
        return [_number_out(value.low), _number_out(value.high)]
    if isinstance(value, (Question, Field, Option, Slip)):
        kept: dict[str, Any] = {}
        for item in fields(value):
            if item.name == "effort":
                continue  # weighed into the difficulty already
            held = getattr(value, item.name)
            if item.default is MISSING or held != item.default:
                kept[item.name] = _encode(float(held) if item.type == "float" else held)
        return kept
    if isinstance(value, (tuple, list)):
        return [_encode(part) for part in value]
    if isinstance(value, StrEnum):
        return str(value)
    return _number_out(value) if isinstance(value, float) else value


def _number_out(value: float) -> float | str:
    return stored(value) if math.isfinite(value) else str(float(value))


# ---------------------------------------------------------------- reading


def decode_question(data: object) -> Question:
    """Read back what :func:`encode_question` gave, checked.

    Raises
    ------
    ScenarioError
        Something is missing, unknown, of the wrong type or unsound; the sentence names the key.
    """
    from probebook.questions.sheetmodel import QuestionText

    try:
        text = json.dumps(data)
    except (ValueError, TypeError, RecursionError) as error:
        raise ScenarioError("this is not plain JSON data", where="the top level", remedy="mend it") from error
    question = _validated(text, QuestionText).value()
    check_question(question)
    return question


def sheet_of(text: str) -> Sheet:
    """Read and check the text of a marking sheet; ScenarioError names the key of what is unsound."""
    from probebook.questions.sheetmodel import SheetText

    found = _validated(text, SheetText)
    questions = tuple(question.value() for question in found.questions)
    seen: set[str] = set()
    for number, question in enumerate(questions):
        place = f"questions[{number}]"
        if question.id in seen:
            raise ScenarioError(
                f"the id {question.id!r} is used twice", where=f"{place}.id", remedy="give each its own"
            )
        seen.add(question.id)
        try:
            check_question(question)
        except ScenarioError as error:
            raise error.at(place) from None
    return Sheet(found.meta.model_dump(exclude_unset=True), questions)


def _validated(text: str, model: type[M]) -> M:
    """The text as the model reads it, or its first fault as a sentence with its key, items counted from nought."""
    from pydantic import ValidationError

    from probebook.textmodels import explain

    try:
        return model.model_validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        if first["type"] == "json_invalid":
            raise ScenarioError("the file is not JSON text", remedy="build it again") from None
        data = json.loads(text)
        raise explain(first, data if isinstance(data, dict) else {}, model, "", first_item=0) from None
