"""The journal of answers: one line for each answer, written beside the notebook as the answer is given.

Each line is a JSON object with the SHA-256 hash of itself, which takes in the hash of the line before. So a line that
was edited, taken out or moved is found and named by its number, and the lines round it still count.

What a hash chain is worth: it shows tampering by somebody who edits the file; it does not prevent it. Whoever has this
program can write a whole new chain, and a journal cut off at the end of a line looks like one that stopped there. An
assessment that needs more has to collect the files at a stated time and under the learner's name.

A power cut may leave half a line at the end. It is ignored in reading and removed before the next answer is written.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import math
import os
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from time import monotonic, sleep
from typing import Any, BinaryIO

from probebook.errors import JournalError
from probebook.questions.model import Response, Standing

if sys.platform == "win32":

    def _try_lock(stream: BinaryIO) -> None:
        """No lock here: two kernels on one journal are noticed by its chain only."""

else:
    import fcntl

    def _try_lock(stream: BinaryIO) -> None:
        """Lock the file until it is closed; BlockingIOError when another kernel has it."""
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)


__all__ = ["SUFFIX", "Entry", "History", "Problem", "append_answer", "read_journal"]

#: A journal is named after its notebook, with this instead of ``.ipynb``.
SUFFIX = ".answers.jsonl"
#: A longer journal (bytes) is refused unread; a thousand answers take about 0.4 MB.
LONGEST_JOURNAL = 8_000_000
#: How long (seconds) to wait for another kernel that is writing.
PATIENCE = 2.0

_KEYS = {"n", "time", "question", "response", "standing", "marks", "previous", "hash"}


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
    """A line (numbered from 1) that is not as it was written, and what is wrong with it in one sentence."""

    line: int
    message: str


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
        if path.stat().st_size > LONGEST_JOURNAL:
            raise JournalError("the journal is far too large", where=str(path), remedy="ask for a fresh copy")
        content = path.read_bytes()
    except FileNotFoundError:
        return History()
    except OSError as error:
        raise _told(error, path, "read") from error
    return _history(content, origin)


def _history(content: bytes, origin: str) -> History:
    lines, rest = _split(content)
    tail = _record(rest) if rest else None
    if tail is not None and _is_whole(tail):
        lines.append(rest)  # only the line end is missing
        rest = b""
    entries: dict[str, Entry] = {}
    problems: list[Problem] = []
    previous, expected = _beginning(origin), 1
    for number, line in enumerate(lines, start=1):
        record = _record(line)
        entry = _entry(record) if record is not None and _is_whole(record) else None
        if record is None:
            problems.append(Problem(number, "The line is not an answer as it was written; it is set aside."))
        elif entry is None:
            problems.append(Problem(number, "The line was changed after it was written; it is set aside."))
        else:
            entries.setdefault(_link(line, record), entry)
        if record is not None and (record["previous"] != previous or record["n"] != expected):
            problems.append(Problem(number, _break_message(number, record["n"], expected)))
        previous = _link(line, record)
        expected = record["n"] + 1 if record is not None else expected + 1
    in_order = sorted(entries.values(), key=lambda entry: entry.n)
    return History(tuple(in_order), tuple(problems), torn=bool(rest))


def _break_message(number: int, n: int, expected: int) -> str:
    if number == 1 and n == 1:
        return "The journal does not begin here as it was written: it belongs to something else, or its start was cut."
    if n > expected:
        return f"Before this line {_answers(n - expected)} missing or moved."
    return "This line does not follow the one before it: lines were moved, copied or replaced."


def _answers(number: int) -> str:
    return "one answer is" if number == 1 else f"{number} answers are"


def _split(content: bytes) -> tuple[list[bytes], bytes]:
    """The complete lines, and what stands after the last line end."""
    *lines, rest = content.split(b"\n")
    return lines, rest


def _record(line: bytes) -> dict[str, Any] | None:
    """The line as a table with the keys and types of a record, or None."""
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        return None
    if not isinstance(data, dict) or set(data) != _KEYS:
        return None
    texts = all(isinstance(data[key], str) for key in ("time", "question", "standing", "previous", "hash"))
    whole = isinstance(data["n"], int) and not isinstance(data["n"], bool)
    marks = isinstance(data["marks"], (int, float)) and not isinstance(data["marks"], bool)
    return data if texts and whole and marks and isinstance(data["response"], dict) else None


def _is_whole(record: dict[str, Any]) -> bool:
    """Whether the record still has the hash it was written with."""
    try:
        return bool(record["hash"] == _hash(record))
    except (ValueError, RecursionError):
        return False


def _entry(record: dict[str, Any]) -> Entry | None:
    try:
        standing, marks = Standing(record["standing"]), float(record["marks"])
    except (ValueError, OverflowError):
        return None
    response = record["response"]
    plain = all(
        isinstance(value, str) or (isinstance(value, list) and all(isinstance(item, str) for item in value))
        for value in response.values()
    )
    if not plain or not math.isfinite(marks):
        return None
    return Entry(record["n"], record["time"], record["question"], response, standing, marks)


def _beginning(origin: str) -> str:
    return hashlib.sha256(f"probebook answers: {origin}".encode(errors="replace")).hexdigest()


def _hash(record: Mapping[str, Any]) -> str:
    bare = {key: value for key, value in record.items() if key != "hash"}
    return hashlib.sha256(_spelt(bare).encode("ascii")).hexdigest()


def _spelt(record: Mapping[str, Any]) -> str:
    return json.dumps(record, sort_keys=True, separators=(",", ":"), allow_nan=False)


def _link(line: bytes, record: dict[str, Any] | None) -> str:
    """What the next line is chained to: the hash the line states, or of its bytes when it states none."""
    return str(record["hash"]) if record is not None else hashlib.sha256(line).hexdigest()


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
    try:
        is_new = not path.exists()
        with path.open("a+b") as stream, _locked(stream, path):
            number, previous = _trimmed_end(stream, origin)
            record: dict[str, Any] = {
                "n": number,
                "time": time,
                "question": question,
                "response": dict(response),
                "standing": str(standing),
                "marks": float(marks),
                "previous": previous,
            }
            record["hash"] = _hash(record)
            stream.write(_spelt(record).encode("ascii") + b"\n")
            stream.flush()
            os.fsync(stream.fileno())
        if is_new:
            _sync_folder(path.parent)
    except OSError as error:
        raise _told(error, path, "written") from error
    return Entry(number, time, question, dict(response), standing, float(marks))


def _trimmed_end(stream: BinaryIO, origin: str) -> tuple[int, str]:
    """Mend the end of the file after a power cut; give the number and the link for the next line."""
    stream.seek(0)
    content = stream.read(LONGEST_JOURNAL + 1)
    if len(content) > LONGEST_JOURNAL:
        raise JournalError("the journal is far too large", remedy="move it away to start a new one")
    lines, rest = _split(content)
    if rest:
        tail = _record(rest)
        if tail is not None and _is_whole(tail):
            stream.write(b"\n")
            lines.append(rest)
        else:
            stream.truncate(len(content) - len(rest))
    if not lines:
        return 1, _beginning(origin)
    expected = 1
    record: dict[str, Any] | None = None
    for line in lines:
        record = _record(line)
        expected = record["n"] + 1 if record is not None else expected + 1
    return expected, _link(lines[-1], record)


@contextlib.contextmanager
def _locked(stream: BinaryIO, path: Path) -> Iterator[None]:
    deadline = monotonic() + PATIENCE
    while True:
        try:
            _try_lock(stream)
            break
        except BlockingIOError as error:
            if monotonic() > deadline:
                raise JournalError(
                    "another kernel is holding the saved answers",
                    where=path.name,
                    remedy="close the other copy of this notebook and check the answer again",
                ) from error
            sleep(0.02)
        except OSError:  # a file system without locks: the chain still shows what happened
            break
    yield  # closing the file gives the lock back


def _sync_folder(folder: Path) -> None:
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _told(error: OSError, path: Path, done: str) -> JournalError:
    reason = (error.strerror or type(error).__name__).lower()
    return JournalError(
        f"the saved answers cannot be {done} ({reason})",
        where=path.name,
        remedy="check that the folder may be written to and has room",
    )
