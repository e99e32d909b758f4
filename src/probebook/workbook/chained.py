"""Files of chained lines: each line is a JSON object with a hash of itself that takes in the hash of the line before.

The journal of answers and that of a sitting are such files. What their lines say is theirs; how a line is spelt,
hashed, locked and kept off anything that is no file stands here.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, BinaryIO

from probebook.errors import JournalError
from probebook.files import not_a_file

__all__ = ["LONGEST", "append_line", "beginning", "hash_of", "locked", "must_be_file", "sync_folder", "told"]

#: A longer file (bytes) is refused unread; a thousand lines take about 0.4 MB.
LONGEST = 8_000_000
#: How long (seconds) to wait for another kernel that is writing.
PATIENCE = 2.0


def _spelt(record: Mapping[str, Any]) -> str:
    """The one spelling of a line."""
    return json.dumps(record, sort_keys=True, separators=(",", ":"), allow_nan=False)


def hash_of(record: Mapping[str, Any]) -> str:
    """The hash of a line, its own ``hash`` left out."""
    bare = {key: value for key, value in record.items() if key != "hash"}
    return hashlib.sha256(_spelt(bare).encode("ascii")).hexdigest()


def beginning(origin: str) -> str:
    """What the first line is chained to."""
    return hashlib.sha256(f"probebook {origin}".encode(errors="replace")).hexdigest()


@contextlib.contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold a file against other kernels by a hidden file beside it that every system can lock; JournalError if held."""
    from filelock import FileLock, Timeout

    lock = FileLock(_lock_of(path), timeout=PATIENCE, poll_interval=0.02)
    try:
        lock.acquire()
    except Timeout as error:
        raise JournalError(
            "another kernel is holding the saved answers",
            where=path.name,
            remedy="close the other copy of this notebook and try again",
        ) from error
    try:
        yield
    finally:
        lock.release()


def append_line(stream: BinaryIO, record: Mapping[str, Any]) -> dict[str, Any]:
    """Write a line with its hash at the end of an open file and force it to disk; the line as written."""
    line = {**record, "hash": hash_of(record)}
    stream.write(_spelt(line).encode("ascii") + b"\n")
    stream.flush()
    os.fsync(stream.fileno())
    return line


def must_be_file(path: Path) -> None:
    """Refuse what a journal and its lock may not be: opening a pipe would hang, and a link may lead anywhere."""
    for place in (path, _lock_of(path)):
        if what := not_a_file(place):
            raise JournalError(
                f"the saved answers cannot be kept in a {what}", where=place.name, remedy="move it away and open again"
            )


def _lock_of(path: Path) -> Path:
    return path.with_name(f".{path.name}.lock")


def sync_folder(folder: Path) -> None:
    """Force to disk that a file stands in a folder, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def told(error: OSError, path: Path, done: str) -> JournalError:
    """What the system said when the answers could not be ``done`` (read, written), as an error of ours."""
    reason = (error.strerror or type(error).__name__).lower()
    return JournalError(
        f"the saved answers cannot be {done} ({reason})",
        where=path.name,
        remedy="check that the folder may be written to and has room",
    )
