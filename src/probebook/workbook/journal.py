"""The journal of answers: one line for each answer, written beside the notebook as the answer is given.

Each line is a JSON object with the SHA-256 hash of itself, which takes in the hash of the line before. So a line that
was edited, taken out or moved is found and named by its number, and the lines round it still count.

What a hash chain is worth: it shows tampering by somebody who edits the file; it does not prevent it. Whoever has this
program can write a whole new chain, and a journal cut off at the end of a line looks like one that stopped there. An
assessment that needs more has to collect the files at a stated time and under the learner's name.

A power cut may leave half a line at the end. It is ignored in reading and removed before the next answer is written.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from probebook.errors import JournalError
from probebook.questions.model import Response, Standing
from probebook.workbook.chained import (
    LONGEST,
    append_line,
    beginning,
    hash_of,
    locked,
    must_be_file,
    sync_folder,
    told,
)

if TYPE_CHECKING:
    from probebook.workbook.records import Record

__all__ = ["SUFFIX", "Entry", "History", "Problem", "append_answer", "check_writable", "read_journal"]

#: A journal is named after its notebook, with this instead of ``.ipynb``.
SUFFIX = ".answers.jsonl"


@dataclass(frozen=True, slots=True)
class Entry:
    """One answer: its number from 1, the time in UTC (ISO 8601), the question, the response and how it was marked."""

    n: int
    time: str
    question: str
    response: dict[str, Response]
    standing: Standing
    marks: float

    @property
    def scored(self) -> bool:
        """Whether the answer used up an attempt."""
        return self.standing not in (Standing.BLANK, Standing.UNREADABLE)


@dataclass(frozen=True, slots=True)
class Problem:
    """A line (numbered from 1) that is not as it was written.

    ``what`` says how: ``not-an-answer``, ``changed``, ``other-beginning``, ``missing-before`` (``missing`` answers) or
    ``out-of-order``.
    """

    line: int
    what: str
    missing: int = 0


@dataclass(frozen=True, slots=True)
class History:
    """What a journal holds.

    ``entries`` are the lines that are whole, in the order they were given (not the order they stand in, should someone
    have moved them) and without copies; ``torn`` tells of half a line at the end.
    """

    entries: tuple[Entry, ...] = ()
    problems: tuple[Problem, ...] = ()
    torn: bool = False

    def of(self, question: str) -> tuple[Entry, ...]:
        """The answers to one question, oldest first."""
        return tuple(entry for entry in self.entries if entry.question == question)


# ---------------------------------------------------------------- reading


def read_journal(path: Path, origin: str = "") -> History:
    """Read a journal; one that does not exist yet is empty.

    Parameters
    ----------
    path
        The file.
    origin
        What the journal belongs to (a workbook, or a paper and its learner). The first line is chained to it, so that
        a journal of something else is noticed at line 1.

    Raises
    ------
    JournalError
        The file cannot be read at all, or is far too large.
    """
    try:
        must_be_file(path)
        if path.stat().st_size > LONGEST:
            raise JournalError("the journal is far too large", where=str(path), remedy="ask for a fresh copy")
        content = path.read_bytes()
    except FileNotFoundError:
        return History()
    except OSError as error:
        raise told(error, path, "read") from error
    return _history(content, origin)


def _history(content: bytes, origin: str) -> History:
    lines, rest = _split(content)
    tail = _record(rest) if rest else None
    if tail is not None and _is_whole(rest, tail):
        lines.append(rest)  # only the line end is missing
        rest = b""
    entries: dict[str, Entry] = {}
    problems: list[Problem] = []
    previous, expected = beginning(f"answers: {origin}"), 1
    for number, line in enumerate(lines, start=1):
        record = _record(line)
        if record is None:
            problems.append(Problem(number, "not-an-answer"))
        elif not _is_whole(line, record):
            problems.append(Problem(number, "changed"))
        else:
            entries.setdefault(record.hash, _entry(record))
        if record is not None and (record.previous != previous or record.n != expected):
            problems.append(_break(number, record.n, expected))
        previous = _link(line, record)
        expected = record.n + 1 if record is not None else expected + 1
    in_order = sorted(entries.values(), key=lambda entry: entry.n)
    return History(tuple(in_order), tuple(problems), torn=bool(rest))


def _break(number: int, n: int, expected: int) -> Problem:
    if number == 1 and n == 1:
        return Problem(number, "other-beginning")
    if n > expected:
        return Problem(number, "missing-before", n - expected)
    return Problem(number, "out-of-order")


def _split(content: bytes) -> tuple[list[bytes], bytes]:
    """The complete lines, and what stands after the last line end."""
    *lines, rest = content.split(b"\n")
    return lines, rest


def _record(line: bytes) -> Record | None:
    """The line as a record, or None when it is none."""
    from pydantic import ValidationError

    from probebook.workbook.records import Record

    try:
        return Record.model_validate_json(line)
    except ValidationError:
        return None


def _is_whole(line: bytes, record: Record) -> bool:
    """Whether the record still has the hash it was written with."""
    try:
        return record.hash == hash_of(json.loads(line))
    except (ValueError, RecursionError):
        return False


def _entry(record: Record) -> Entry:
    return Entry(record.n, record.time, record.question, record.response, record.standing, record.marks)


def _link(line: bytes, record: Record | None) -> str:
    """What the next line is chained to: the hash the line states, or of its bytes when it states none."""
    return record.hash if record is not None else hashlib.sha256(line).hexdigest()


# ---------------------------------------------------------------- writing


def append_answer(
    path: Path,
    *,
    question: str,
    response: Mapping[str, Response],
    standing: Standing,
    marks: float,
    time: str,
    origin: str = "",
) -> Entry:
    """Add one answer and force it to disk before returning.

    The file is locked meanwhile, and the line is chained to whatever stands last in it: two kernels on one notebook
    make one chain.

    Raises
    ------
    JournalError
        The answer could not be saved: read-only folder, full disk, or another kernel holds the file.
    """
    given = {key: _storable(value) for key, value in response.items()}
    try:
        must_be_file(path)
        is_new = not path.exists()
        with path.open("a+b") as stream, locked(path):
            number, previous = _trimmed_end(stream, origin)
            record: dict[str, Any] = {
                "n": number,
                "time": time,
                "question": question,
                "response": given,
                "standing": str(standing),
                "marks": float(marks),
                "previous": previous,
            }
            append_line(stream, record)
        if is_new:
            sync_folder(path.parent)
    except OSError as error:
        raise told(error, path, "written") from error
    return Entry(number, time, question, given, standing, float(marks))


def _storable(value: Response) -> Response:
    """The response with halves of surrogate pairs, which no JSON text can hold, replaced."""
    if isinstance(value, list):
        return [item.encode("utf-16", "surrogatepass").decode("utf-16", "replace") for item in value]
    return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _trimmed_end(stream: BinaryIO, origin: str) -> tuple[int, str]:
    """Mend the end of the file after a power cut; give the number and the link for the next line."""
    stream.seek(0)
    content = stream.read(LONGEST + 1)
    if len(content) > LONGEST:
        raise JournalError("the journal is far too large", remedy="move it away to start a new one")
    lines, rest = _split(content)
    if rest:
        tail = _record(rest)
        if tail is not None and _is_whole(rest, tail):
            stream.write(b"\n")
            lines.append(rest)
        else:
            stream.truncate(len(content) - len(rest))
    if not lines:
        return 1, beginning(f"answers: {origin}")
    expected = 1
    record: Record | None = None
    for line in lines:
        record = _record(line)
        expected = record.n + 1 if record is not None else expected + 1
    return expected, _link(lines[-1], record)


def check_writable(path: Path) -> None:
    """Make sure, without writing, that answers can be saved.

    Raises
    ------
    JournalError
        The folder or the file may not be written to, or something else stands in the file's place.
    """
    try:
        must_be_file(path)
        for each in (path.parent, path):
            if each.exists() and not os.access(each, os.W_OK):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        if not path.parent.exists():
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT))
    except OSError as error:
        raise told(error, path, "written") from error
