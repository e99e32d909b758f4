"""Questions as JSON and back: the files in ``answer_keys/`` and the sealed keys of a paper.

One question has one spelling: keys sorted, numbers as floats, everything at its default left out. Reading back gives
an equal question; JSON has no infinity, so the band of an open circuit is spelt ``"inf"``. What is read is checked as
far as marking relies on it, and a fault is told in one sentence that names the key.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeVar

from probebook.errors import ScenarioError
from probebook.files import canonical_json
from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Response, Slip
from probebook.questions.soundness import check_question

__all__ = ["FORMAT", "Sheet", "decode_question", "encode_question", "marking_sheet", "read_sheet"]

#: The number of the format; a sheet of another format is refused.
FORMAT = 1
#: A sheet longer than this (bytes) is refused unread.
LONGEST_SHEET = 32_000_000

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)


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
        return _sheet(json.loads(path.read_text(encoding="utf-8")))
    except ScenarioError as error:
        raise error.at(str(path)) from error
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise ScenarioError(
            f"the marking sheet cannot be read ({reason})", where=str(path), remedy="check the path"
        ) from error
    except (ValueError, RecursionError) as error:
        raise ScenarioError("the file is not JSON text", where=str(path), remedy="build it again") from error


def _sheet(data: object) -> Sheet:
    table = _Table(data, "")
    if table.data.get("format") != FORMAT:
        raise ScenarioError(f"this is not a marking sheet of format {FORMAT}", where="format", remedy="build it again")
    table.only(("format", "meta", "questions"))
    meta = table.take("meta", _mapping)
    questions = table.take("questions", _many(_question))
    seen: set[str] = set()
    for number, question in enumerate(questions):
        if question.id in seen:
            raise ScenarioError(
                f"the id {question.id!r} is used twice", where=f"questions[{number}].id", remedy="give each its own"
            )
        seen.add(question.id)
    return Sheet(meta, questions)


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
    return float(value) if math.isfinite(value) else str(float(value))


# ---------------------------------------------------------------- reading


def decode_question(data: object) -> Question:
    """Read back what :func:`encode_question` gave, checked.

    Raises
    ------
    ScenarioError
        Something is missing, unknown, of the wrong type or unsound; the sentence names the key.
    """
    return _question(data, "")


class _Table:
    """A JSON object being read: every problem is told with the place it is at."""

    def __init__(self, data: object, where: str) -> None:
        self.where = where
        self.data = _mapping(data, where)

    def place(self, key: str) -> str:
        return f"{self.where}.{key}" if self.where else key

    def only(self, known: Iterable[str]) -> None:
        allowed = set(known)
        for key in self.data:
            if key not in allowed:
                raise ScenarioError(
                    "this key is not known", where=self.place(key), remedy="take it out or mend its name"
                )

    def take(self, key: str, read: Callable[[object, str], T], default: T | None = None) -> T:
        if key in self.data:
            return read(self.data[key], self.place(key))
        if default is None:
            raise ScenarioError("this key is missing", where=self.place(key), remedy="give it")
        return default


def _question(data: object, where: str) -> Question:
    table = _Table(data, where)
    table.only(item.name for item in fields(Question))
    question = Question(
        id=table.take("id", _name),
        kind=table.take("kind", _one_of(Kind)),
        outcome=table.take("outcome", _text),
        level=table.take("level", _whole),
        title=table.take("title", _text),
        prompt=table.take("prompt", _text),
        fields=table.take("fields", _many(_field)),
        slips=table.take("slips", _many(_slip)),
        explanation=table.take("explanation", _text),
        working=table.take("working", _text, ""),
        difficulty=table.take("difficulty", _number, 0.0),
        competences=table.take("competences", _many(_text), ()),
        case=table.take("case", _text, ""),
        pictures=table.take("pictures", _many(_pair(_text)), ()),
        bench=table.take("bench", _text, ""),
    )
    try:
        check_question(question)
    except ScenarioError as error:
        raise (error.at(where) if where else error) from None
    return question


def _field(data: object, where: str) -> Field:
    table = _Table(data, where)
    table.only(item.name for item in fields(Field))
    return Field(
        key=table.take("key", _name),
        kind=table.take("kind", _one_of(FieldKind)),
        label=table.take("label", _text),
        marks=table.take("marks", _number),
        answer=table.take("answer", _response),
        unit=table.take("unit", _text, ""),
        options=table.take("options", _many(_option), ()),
        band=table.take("band", _band) if table.data.get("band") is not None else None,
        before=table.take("before", _many(_pair(_text)), ()),
        partial=table.take("partial", _many(_pair(_number)), ()),
        allow_open=table.take("allow_open", _flag, False),
    )


def _option(data: object, where: str) -> Option:
    table = _Table(data, where)
    table.only(item.name for item in fields(Option))
    return Option(table.take("id", _name), table.take("text", _text), table.take("why", _text, ""))


def _slip(data: object, where: str) -> Slip:
    table = _Table(data, where)
    table.only(item.name for item in fields(Slip))
    return Slip(
        slip=table.take("slip", _name),
        field=table.take("field", _text),
        response=table.take("response", _response),
        advice=table.take("advice", _text),
        marks=table.take("marks", _number, 0.0),
        band=table.take("band", _band) if table.data.get("band") is not None else None,
        critical=table.take("critical", _flag, False),
    )


def _wrong(where: str, wanted: str) -> ScenarioError:
    return ScenarioError(f"{wanted} is wanted here", where=where or "the top level", remedy="mend it")


def _mapping(data: object, where: str) -> dict[str, Any]:
    if not isinstance(data, dict):
        raise _wrong(where, "a table")
    return data


def _text(data: object, where: str) -> str:
    if not isinstance(data, str):
        raise _wrong(where, "text")
    return data


def _name(data: object, where: str) -> str:
    if not isinstance(data, str) or not data.strip():
        raise _wrong(where, "a name that is not empty")
    return data


def _flag(data: object, where: str) -> bool:
    if not isinstance(data, bool):
        raise _wrong(where, "true or false")
    return data


def _whole(data: object, where: str) -> int:
    if not isinstance(data, int) or isinstance(data, bool):
        raise _wrong(where, "a whole number")
    return data


def _number(data: object, where: str) -> float:
    if isinstance(data, bool) or not isinstance(data, (int, float)):
        raise _wrong(where, "a number")
    try:
        value = float(data)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise _wrong(where, "a finite number")
    return value


def _limit(data: object, where: str) -> float:
    return float(data) if isinstance(data, str) and data in ("inf", "-inf") else _number(data, where)


def _band(data: object, where: str) -> Band:
    if not isinstance(data, list) or len(data) != 2:
        raise _wrong(where, "a list of the lowest and the highest value")
    return Band(_limit(data[0], f"{where}[0]"), _limit(data[1], f"{where}[1]"))


def _response(data: object, where: str) -> Response:
    if isinstance(data, str):
        return data
    if isinstance(data, list) and all(isinstance(item, str) for item in data):
        return list(data)
    raise _wrong(where, "text or a list of texts")


def _one_of(kind: type[E]) -> Callable[[object, str], E]:
    def read(data: object, where: str) -> E:
        try:
            return kind(str(data))
        except ValueError:
            raise _wrong(where, "one of " + ", ".join(kind)) from None

    return read


def _many(read: Callable[[object, str], T]) -> Callable[[object, str], tuple[T, ...]]:
    def read_all(data: object, where: str) -> tuple[T, ...]:
        if not isinstance(data, list):
            raise _wrong(where, "a list")
        return tuple(read(item, f"{where}[{number}]") for number, item in enumerate(data))

    return read_all


def _pair(second: Callable[[object, str], T]) -> Callable[[object, str], tuple[str, T]]:
    def read(data: object, where: str) -> tuple[str, T]:
        if not isinstance(data, list) or len(data) != 2:
            raise _wrong(where, "a list of two")
        return _text(data[0], f"{where}[0]"), second(data[1], f"{where}[1]")

    return read
