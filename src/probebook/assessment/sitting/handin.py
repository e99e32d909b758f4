"""Hand-ins: one file a learner, made at the end of a sitting and read as data. Nothing in it is ever run."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from probebook.assessment.sitting.chain import Event, answers_of, broken_at, events_of, receipt
from probebook.bench.acts import MOST
from probebook.errors import ProbebookError
from probebook.questions.model import Response

__all__ = ["LONGEST", "SUFFIX", "HandedIn", "UnreadableError", "handin_text", "read_handin"]

#: A hand-in is named after its paper, with this instead of ``.ipynb``.
SUFFIX = ".handin.json"
FORMAT = 1
#: A longer file (bytes) is refused unread.
LONGEST = 4_000_000
#: Brackets within brackets; a hand-in has six.
DEEPEST = 12
MOST_EVENTS = 20_000
LONGEST_ANSWER = 2_000
MOST_FIELDS = 60
KEYS = frozenset({"format", "paper", "set", "learner", "answers", "handed_in", "elapsed", "entries", "receipt"})


class UnreadableError(ProbebookError):
    """A file that is no hand-in; ``message`` is the key of the sentence that says why."""


@dataclass(frozen=True, slots=True)
class HandedIn:
    """A hand-in that is whole in itself.

    ``broken`` is the first entry that is not as it was written, 0 for none.
    """

    paper: str
    set_id: str
    learner: str
    answers: Mapping[str, Mapping[str, Response]]
    handed_in: str
    elapsed: float
    events: tuple[Event, ...]
    receipt: str
    last_hash: str
    broken: int


def handin_text(paper: str, set_id: str, learner: str, lines: list[Any]) -> str:
    """The text of a hand-in, from the lines of a journal whose last is the handing in."""
    events = events_of(lines)
    answers = answers_of(events)
    told = {
        "format": FORMAT,
        "paper": paper,
        "set": set_id,
        "learner": learner,
        "answers": answers,
        "handed_in": events[-1].time,
        "elapsed": events[-1].elapsed,
        "entries": lines,
        "receipt": receipt(lines[-1]["hash"]),
    }
    return json.dumps(told, sort_keys=True, indent=1, allow_nan=False) + "\n"


def read_handin(path: Path) -> HandedIn:
    """Read a hand-in as data.

    Raises
    ------
    UnreadableError
        It is too large, cut off, or none; ``message`` is ``too-large``, ``truncated`` or ``not-readable``.
    """
    try:
        if path.is_symlink() or not path.is_file():
            raise UnreadableError("not-readable")
        if path.stat().st_size > LONGEST:
            raise UnreadableError("too-large")
        content = path.read_bytes()
    except OSError as error:
        raise UnreadableError("not-readable") from error
    data = _data(content)
    try:
        return _handed_in(data)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
        raise UnreadableError("not-readable") from error


def _data(content: bytes) -> Any:
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise UnreadableError("not-readable") from error
    if _depth(text) > DEEPEST:
        raise UnreadableError("not-readable")
    try:
        return json.loads(text, parse_constant=_refuse, parse_int=_whole, object_pairs_hook=_once)
    except json.JSONDecodeError as error:
        told = text.strip()
        is_cut = told.startswith("{") and (not told.endswith("}") or error.pos >= len(text.rstrip()))
        raise UnreadableError("truncated" if is_cut else "not-readable") from error
    except (ValueError, RecursionError) as error:
        raise UnreadableError("not-readable") from error


def _depth(text: str) -> int:
    """How deep brackets stand within brackets, strings left out."""
    deepest = depth = 0
    in_string = is_escaped = False
    for sign in text:
        if in_string:
            if is_escaped:
                is_escaped = False
            elif sign == "\\":
                is_escaped = True
            elif sign == '"':
                in_string = False
        elif sign == '"':
            in_string = True
        elif sign in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif sign in "]}":
            depth -= 1
    return deepest


def _refuse(name: str) -> NoReturn:
    raise ValueError(name)


def _whole(digits: str) -> int:
    if len(digits) > 20:
        raise ValueError(digits[:20])
    return int(digits)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError
    return found


def _handed_in(data: Any) -> HandedIn:
    if not isinstance(data, dict) or set(data) != KEYS:
        raise ValueError
    if type(data["format"]) is not int or data["format"] != FORMAT:
        raise ValueError
    if not all(isinstance(data[key], str) for key in ("paper", "set", "learner", "handed_in", "receipt")):
        raise ValueError
    if type(data["elapsed"]) not in (int, float) or not 0 <= data["elapsed"] < 1e9:
        raise ValueError
    lines = data["entries"]
    if not isinstance(lines, list) or not 0 < len(lines) <= MOST_EVENTS:
        raise ValueError
    events = events_of(lines)
    last = lines[-1]
    return HandedIn(
        paper=data["paper"],
        set_id=data["set"],
        learner=data["learner"],
        answers=_answers(data["answers"]),
        handed_in=data["handed_in"],
        elapsed=float(data["elapsed"]),
        events=events,
        receipt=data["receipt"],
        last_hash=last["hash"] if isinstance(last, dict) and isinstance(last.get("hash"), str) else "",
        broken=broken_at(lines, data["paper"], data["set"]),
    )


def _answers(data: Any) -> dict[str, dict[str, Response]]:
    found: dict[str, dict[str, Response]] = {}
    for item, given in data.items():
        if not isinstance(given, dict) or len(given) > MOST_FIELDS:
            raise ValueError
        if not all(map(_is_text, (item, *given))):
            raise ValueError
        found[item] = {field: _response(value) for field, value in given.items()}
    return found


def _response(value: Any) -> Response:
    if _is_text(value):
        return str(value)
    if isinstance(value, list) and len(value) <= MOST and all(map(_is_text, value)):
        return [str(each) for each in value]
    raise ValueError


def _is_text(value: Any) -> bool:
    """Whether it is text that a file can hold: halves of surrogate pairs can stand in JSON and nowhere else."""
    if not isinstance(value, str) or len(value) > LONGEST_ANSWER:
        return False
    return not any("\ud800" <= sign <= "\udfff" for sign in value)
