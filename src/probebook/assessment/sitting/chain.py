"""The journal of a sitting: one line for each thing that happened, chained, written before anything else is done.

A line is a JSON object with the SHA-256 of itself, which takes in the hash of the line before; the first is chained to
the paper. Whoever has this program can write a whole new chain: the chain shows tampering, it does not prevent it. What
ties a chain to its learner is the id of the paper, which nobody else was given.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from probebook.errors import JournalError
from probebook.questions.model import Response
from probebook.workbook import chained

__all__ = ["Event", "Sitting", "answers_of", "append_event", "beginning", "broken_at", "read_events", "receipt"]

#: Hex digits of a receipt: 60 bits.
RECEIPT = 15
KEYS = frozenset({"n", "what", "time", "steady", "boot", "elapsed", "item", "response", "previous", "hash"})


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened: ``open``, ``keep``, ``act``, ``hand-in``.

    Attributes
    ----------
    n
        Its number, from 1.
    what, item, response
        What happened; of a ``keep`` the item and what stood in it, by field, of an ``act`` what was added to it.
    time
        UTC, ISO 8601, by the clock of the machine.
    steady, boot
        Seconds since the machine started, and what names that start; empty where the system has no name for it.
    elapsed
        Seconds of the sitting that had gone.
    """

    n: int
    what: str
    time: str
    steady: float
    boot: str
    elapsed: float
    item: str = ""
    response: Mapping[str, Response] | None = None


@dataclass(frozen=True, slots=True)
class Sitting:
    """What a journal holds: the lines that are whole, and how many are not."""

    events: tuple[Event, ...] = ()
    broken: int = 0

    def answers(self) -> dict[str, Mapping[str, Response]]:
        """What stands in each item now."""
        return answers_of(self.events)


def answers_of(events: Iterable[Event]) -> dict[str, Mapping[str, Response]]:
    """What stands in each item after these events: the last that was kept, and what was added since."""
    found: dict[str, dict[str, Response]] = {}
    for event in events:
        given = event.response or {}
        if event.what == "keep":
            found[event.item] = {key: value if isinstance(value, str) else list(value) for key, value in given.items()}
        elif event.what == "act":
            stands = found.setdefault(event.item, {})
            for key, added in given.items():
                before = stands.get(key)
                if isinstance(before, list) and not isinstance(added, str):
                    before.extend(added)
                else:
                    stands[key] = added if isinstance(added, str) else list(added)
    return dict(found)


def beginning(paper: str, set_id: str) -> str:
    """What the first line of a paper's journal is chained to."""
    return chained.beginning(f"sitting: {set_id}/{paper}")


def receipt(last_hash: str) -> str:
    """The code of a hand-in: the beginning of the hash of its last line, in groups."""
    code = last_hash[:RECEIPT].upper()
    return "-".join(code[start : start + 5] for start in range(0, RECEIPT, 5))


# ---------------------------------------------------------------- checking


def _event(line: Any) -> Event | None:
    """A line as an event; None where its shape or its own hash is wrong."""
    if not isinstance(line, dict) or set(line) != KEYS:
        return None
    texts = all(isinstance(line[key], str) for key in ("what", "time", "boot", "item", "previous", "hash"))
    figures = all(type(line[key]) in (int, float) for key in ("steady", "elapsed")) and type(line["n"]) is int
    response = line["response"]
    if not texts or not figures or not (response is None or _is_response(response)):
        return None
    try:
        if chained.hash_of(line) != line["hash"]:
            return None
    except (ValueError, RecursionError):
        return None
    told = {key: line[key] for key in ("n", "what", "time", "boot", "item", "response")}
    return Event(**told, steady=float(line["steady"]), elapsed=float(line["elapsed"]))


def _is_response(value: object) -> bool:
    return isinstance(value, dict) and all(
        isinstance(given, str) or (isinstance(given, list) and all(isinstance(each, str) for each in given))
        for given in value.values()
    )


def broken_at(lines: Sequence[Any], paper: str, set_id: str) -> int:
    """The first line, from 1, that is not as it was written or does not follow the one before; 0 where all do."""
    previous = beginning(paper, set_id)
    for number, line in enumerate(lines, start=1):
        event = _event(line)
        if event is None or event.n != number or line["previous"] != previous:
            return number
        previous = line["hash"]
    return 0


def events_of(lines: Sequence[Any]) -> tuple[Event, ...]:
    """The lines that are whole, as events."""
    return tuple(event for event in map(_event, lines) if event is not None)


# ---------------------------------------------------------------- the file


def read_lines(path: Path) -> list[Any]:
    """The lines of a journal as plain data; what is no JSON is None, half a line at the end is left out."""
    try:
        chained.must_be_file(path)
        if path.stat().st_size > chained.LONGEST:
            raise JournalError("the journal is far too large", where=path.name, remedy="tell your tutor")
        content = path.read_bytes()
    except FileNotFoundError:
        return []
    except OSError as error:
        raise chained.told(error, path, "read") from error
    found: list[Any] = []
    for line in content.split(b"\n")[:-1]:
        try:
            found.append(json.loads(line))
        except (ValueError, RecursionError):
            found.append(None)
    return found


def read_events(path: Path) -> Sitting:
    """What a journal holds; JournalError where it cannot be read at all."""
    lines = read_lines(path)
    found = events_of(lines)
    return Sitting(found, len(lines) - len(found))


def append_event(path: Path, paper: str, set_id: str, event: Mapping[str, Any]) -> str:
    """Add a line and force it to disk before returning; its hash.

    Parameters
    ----------
    path
        The journal.
    paper, set_id
        What the first line is chained to.
    event
        Its fields but ``n``.

    Raises
    ------
    JournalError
        It could not be written: read-only folder, full disk, or another kernel holds the file.
    """
    try:
        chained.must_be_file(path)
        is_new = not path.exists()
        with chained.locked(path), path.open("a+b") as stream:
            number, previous = _end(stream, beginning(paper, set_id))
            line = chained.append_line(
                stream, {"item": "", "response": None, **event, "n": number, "previous": previous}
            )
        if is_new:
            chained.sync_folder(path.parent)
    except OSError as error:
        raise chained.told(error, path, "written") from error
    return str(line["hash"])


def _end(stream: Any, first: str) -> tuple[int, str]:
    """The number and the link of the next line; half a line at the end, after a power cut, is taken off."""
    stream.seek(0)
    content = stream.read(chained.LONGEST + 1)
    if len(content) > chained.LONGEST:
        raise JournalError("the journal is far too large", remedy="tell your tutor")
    *lines, rest = content.split(b"\n")
    if rest:
        stream.truncate(len(content) - len(rest))
    if not lines:
        return 1, first
    with contextlib.suppress(ValueError, RecursionError):
        last = json.loads(lines[-1])
        if isinstance(last, dict) and isinstance(last.get("hash"), str):
            return len(lines) + 1, last["hash"]
    return len(lines) + 1, hashlib.sha256(lines[-1]).hexdigest()
