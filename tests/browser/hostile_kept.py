"""Hostile answer keys and journals of answers, each beside a sound notebook."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hostile_rows import Row, aimed, sheet

from probebook.questions.model import Standing
from probebook.workbook.journal import SUFFIX, append_answer

__all__ = ["JOURNALS", "KEYS", "MARKUP"]

Change = Callable[[dict[str, Any]], None]
#: What would run where a text is taken for HTML, Markdown or an address; no quotation marks, so that it fits anywhere.
MARKUP = "<img src=x: onerror=MARK> [l](javascript:MARK) ![p](TRAP) </script><svg onload=MARK>"
#: Where a key holds its sentences of marking.
SAID = "meta.words.groups.questions/marking/part"
TIME = "2026-01-02T10:00:00Z"


def _key(change: Change) -> Callable[[Path, Row, str], None]:
    """A key in which something was changed."""

    def lay(folder: Path, row: Row, trap: str) -> None:
        data = sheet(row.name)
        change(data)
        _key_file(folder, row).write_text(aimed(json.dumps(data), row.name, trap), "utf-8")

    return lay


def _key_file(folder: Path, row: Row) -> Path:
    path = folder.parent / "answer_keys" / f"{row.name}.json"
    path.unlink(missing_ok=True)
    return path


def _key_as(make: bytes | Callable[[Path], object]) -> Callable[[Path, Row, str], None]:
    def lay(folder: Path, row: Row, trap: str) -> None:
        del trap
        path = _key_file(folder, row)
        path.write_bytes(make) if isinstance(make, bytes) else make(path)

    return lay


def _all_questions(*keys: str) -> Change:
    def change(data: dict[str, Any]) -> None:
        for question in data["questions"]:
            for key in keys:
                question[key] = MARKUP

    return change


def _fields(change: Callable[[dict[str, Any]], None]) -> Change:
    return lambda data: [change(field) for question in data["questions"] for field in question["fields"]] and None


def _options(data: dict[str, Any]) -> None:
    for question in data["questions"]:
        for field in question["fields"]:
            for number, option in enumerate(field.get("options", [])):
                option["text"] = f"{number} {MARKUP}"


def _advice(data: dict[str, Any]) -> None:
    for question in data["questions"]:
        for slip in question["slips"]:
            slip["advice"] = MARKUP


def _put(place: str, value: Any) -> Change:
    """Put a value at a dotted place of the key."""

    def change(data: dict[str, Any]) -> None:
        *way, last = [int(each) if each.isdigit() else each for each in place.split(".")]
        held: Any = data
        for each in way:
            held = held[each]
        held[last] = value

    return change


def _everything(data: dict[str, Any]) -> None:
    _all_questions("title", "prompt", "explanation", "working")(data)
    _options(data)
    _advice(data)
    _fields(lambda field: field.update(label=MARKUP))(data)
    data["meta"].update(title=MARKUP, note=MARKUP, outcomes=dict.fromkeys(data["meta"]["outcomes"], MARKUP))


def _sparse(path: Path, size: int) -> None:
    with path.open("wb") as stream:
        stream.truncate(size)


KEYS: tuple[Row, ...] = (
    Row("key-everything", says="onerror=", lab="", lay=_key(_everything)),
    Row("key-title", says="onerror=", lay=_key(_all_questions("title"))),
    Row("key-prompt", lay=_key(_all_questions("prompt"))),
    Row("key-explanation", lay=_key(_all_questions("explanation", "working"))),
    Row("key-label", says="onerror=", lay=_key(_fields(lambda field: field.update(label=MARKUP)))),
    Row("key-options", says="onerror=", lay=_key(_options)),
    Row("key-advice", lay=_key(_advice)),
    Row("key-answer", lay=_key(_put("questions.2.fields.0.answer", MARKUP))),
    Row("key-unit", page="either", lay=_key(_put("questions.2.fields.0.unit", MARKUP))),
    Row("key-outcome", says="onerror=", lay=_key(_put("meta.outcomes.stop", MARKUP))),
    Row("key-outcome-id", page="either", lay=_key(_put("questions.0.outcome", MARKUP))),
    Row("key-id", page="either", lay=_key(_put("questions.0.id", MARKUP))),
    Row("key-option-id", page="refused", lay=_key(_put("questions.1.fields.0.options.0.id", MARKUP))),
    Row("key-field-key", page="either", lay=_key(_put("questions.1.fields.0.key", MARKUP))),
    Row("key-meta-title", lay=_key(_put("meta.title", MARKUP))),
    Row("key-meta-list", page="either", lay=_key(_put("meta", []))),
    Row("key-words-markup", lay=_key(_put(f"{SAID}.right", [MARKUP]))),
    Row("key-words-none", page="either", lay=_key(_put("meta.words", None))),
    Row("key-words-list", page="either", lay=_key(_put("meta.words", [[]]))),
    Row("key-words-empty", page="either", lay=_key(_put("meta.words", {}))),
    Row("key-words-holes", page="either", lay=_key(_put(f"{SAID}.right", [["__class__"]]))),
    Row("key-words-groups", page="either", lay=_key(_put("meta.words.groups", {"x": 5}))),
    Row("key-outcomes-list", page="either", lay=_key(_put("meta.outcomes", [MARKUP]))),
    Row("key-language", page="either", lay=_key(_put("meta.language", "../../.."))),
    Row("key-region", page="either", lay=_key(_put("meta.region", "../x"))),
    Row("key-marks", page="refused", lay=_key(_put("questions.0.fields.0.marks", -5))),
    Row("key-band", page="refused", lay=_key(_put("questions.2.fields.0.band", ["nan", 0]))),
    Row("key-bench", page="either", lay=_key(_put("questions.2.bench", {"appliance": "../../x", "state": []}))),
    Row("key-kind", page="refused", lay=_key(_put("questions.0.fields.0.kind", "<b>"))),
    Row("key-format", page="refused", lay=_key(_put("format", 99))),
    Row("key-no-questions", page="either", lay=_key(_put("questions", []))),
    Row("key-twice", "refused", "used twice", lay=_key(lambda data: data["questions"].append(data["questions"][0]))),
    Row("key-empty", "refused", "not JSON", lay=_key_as(b"")),
    Row("key-bytes", "refused", "not JSON", lay=_key_as(bytes(range(256)))),
    Row("key-deep", "refused", "not JSON", lay=_key_as(b"[" * 100_000)),
    Row("key-list", "refused", lay=_key_as(b"[]")),
    Row("key-digits", "refused", lay=_key_as(b'{"format": ' + b"9" * 5_000 + b"}")),
    Row("key-large", "refused", "too large", lay=_key_as(lambda path: _sparse(path, 33_000_000))),
    Row("key-pipe", "refused", "no answer key", lay=_key_as(lambda path: os.mkfifo(path))),
    Row("key-folder", "refused", "no answer key", lay=_key_as(lambda path: path.mkdir())),
    Row("key-loop", "refused", "no answer key", lay=_key_as(lambda path: path.symlink_to(path.name))),
    Row("key-missing", "refused", "no answer key", lay=_key_as(lambda _: None)),
)  # fmt: skip


# ---------------------------------------------------------------- journals


def _answers(*answers: tuple[str, Any], time: str = TIME, marks: float = 1.0, origin: str = "") -> Callable[..., None]:
    """A journal whose lines are whole and chained, whatever they say."""

    def lay(folder: Path, row: Row, trap: str) -> None:
        for question, response in answers:
            append_answer(
                folder / f"{row.name}{SUFFIX}",
                question=aimed(question, row.name, trap),
                response=json.loads(aimed(json.dumps(response), row.name, trap)),
                standing=Standing.SLIP,
                marks=marks,
                time=aimed(time, row.name, trap),
                origin=origin or row.name,
            )

    return lay


def _lines(change: Callable[[bytes], bytes]) -> Callable[..., None]:
    """A sound journal of five answers, its bytes changed."""

    def lay(folder: Path, row: Row, trap: str) -> None:
        _answers(*(("q04", {"watts": f"{number} W"}) for number in range(5)))(folder, row, trap)
        path = folder / f"{row.name}{SUFFIX}"
        path.write_bytes(change(path.read_bytes()))

    return lay


def _journal_as(make: Callable[[Path], object]) -> Callable[..., None]:
    def lay(folder: Path, row: Row, trap: str) -> None:
        del trap
        make(folder / f"{row.name}{SUFFIX}")

    return lay


def _edited(old: bytes, new: bytes) -> Callable[..., None]:
    return _lines(lambda content: content.replace(old, new))


JOURNALS: tuple[Row, ...] = (
    Row("journal-typed", lay=_answers(("q04", {"watts": MARKUP}))),
    Row("journal-option", lay=_answers(("q02", {"what": MARKUP}))),
    Row("journal-order", lay=_answers(("q01", {"order": [MARKUP, "a"]}))),
    Row("journal-question", lay=_answers((MARKUP, {"x": "y"}))),
    Row("journal-practice", lay=_answers((f"practice-{MARKUP}", {"x": "y"}))),
    Row("journal-hint", lay=_answers(("hint/q01", {"n": MARKUP}), ("hint/x", {}))),
    Row("journal-time", lay=_answers(("q01", {"order": ["a"]}), time=MARKUP)),
    Row("journal-time-odd", lay=_answers(("q01", {"order": ["a"]}), time="9999999-99-99")),
    Row("journal-marks", lay=_answers(("q01", {"order": ["a"]}), marks=1e308)),
    Row("journal-marks-below", lay=_answers(("q01", {"order": ["a"]}), marks=-1e308)),
    Row("journal-long", lay=_answers(("q04", {"watts": "9" * 200_000}))),
    Row("journal-many", lay=_answers(*[("q04", {"watts": MARKUP})] * 300)),
    Row("journal-origin", lay=_answers(("q04", {"watts": MARKUP}), origin="another")),
    Row("journal-fields", lay=_answers(("q04", {"__proto__": MARKUP, "constructor": MARKUP, "": MARKUP}))),
    Row("journal-signs", lay=_answers(("q04", {"watts": "\u202e\u0000\u001b[2J\ud800"}))),
    Row("journal-edited", lay=_edited(b"3 W", b"9 W")),
    Row("journal-standing", lay=_edited(b'"slip"', b'"<img src=x: onerror=MARK>"')),
    Row("journal-number", lay=_edited(b'"n":3', b'"n":1e999')),
    Row("journal-nan", lay=_edited(b"1.0", b"NaN")),
    Row("journal-null", lay=_lines(lambda content: content + b"null\n[]\n5\n{}\n")),
    Row("journal-deep", lay=_lines(lambda content: content + b"[" * 100_000 + b"\n")),
    Row("journal-digits", lay=_lines(lambda content: content + b'{"n": ' + b"9" * 50_000 + b"}\n")),
    Row("journal-noughts", lay=_lines(lambda content: content + bytes(10_000))),
    Row("journal-bytes", lay=_lines(lambda content: bytes(range(128, 256)) + content)),
    Row("journal-wide", lay=_lines(lambda content: content.decode().encode("utf-16"))),
    Row("journal-torn", lay=_lines(lambda content: content[:-20])),
    Row("journal-doubled", lay=_lines(lambda content: content * 3)),
    Row("journal-turned", lay=_lines(lambda content: b"".join(content.splitlines(keepends=True)[::-1]))),
    Row("journal-html", lay=_lines(lambda _: b"<script>top.ran.push(1)</script>")),
    Row("journal-large", lay=_journal_as(lambda path: _sparse(path, 400_000_000))),
    Row("journal-pipe", lay=_journal_as(lambda path: os.mkfifo(path))),
    Row("journal-folder", lay=_journal_as(lambda path: path.mkdir())),
    Row("journal-link", lay=_journal_as(lambda path: path.symlink_to("/dev/zero"))),
    Row("journal-loop", lay=_journal_as(lambda path: path.symlink_to(path.name))),
)
