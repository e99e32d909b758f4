"""What was done on the benches of a hub, line by line on disk: a service that begins anew goes on from there."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from probebook.errors import UsageError

__all__ = ["JobLog"]

#: A longer file (bytes) is refused unread, and none is made longer. A line is some 80 bytes and never more than 1000,
#: and a bench has 1200 lines at the most: two hundred of them all written full, or two thousand of usual lines.
LONGEST = 240_000_000


class JobLog:
    """A file of lines, each a JSON object; whoever writes one knows it on disk afterwards."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def read(self) -> Iterator[Mapping[str, Any]]:
        """The lines from the first; half a line at the end, after a power cut, is cut off the file.

        Raises
        ------
        UsageError
            The file cannot be read, or one of its lines is not as it was written.
        """
        try:
            if self._path.exists() and self._path.stat().st_size > LONGEST:
                raise UsageError("the file is too large for what was done on benches", where=str(self._path))
            content = self._path.read_bytes() if self._path.exists() else b""
            whole = content.rfind(b"\n") + 1
            if whole < len(content):
                with self._path.open("r+b") as stream:
                    stream.truncate(whole)
        except OSError as error:
            raise UsageError(
                "what was done on the benches cannot be read", where=str(self._path), remedy="check the folder"
            ) from error
        for number, line in enumerate(content[:whole].splitlines(), start=1):
            try:
                told = json.loads(line)
            except (ValueError, RecursionError):
                told = None
            if not isinstance(told, dict):
                raise UsageError(
                    "a line of what was done on the benches is damaged",
                    where=f"{self._path}, line {number}",
                    remedy="move the file away; papers whose page is opened again bring what they hold",
                )
            yield told

    def add(self, told: Mapping[str, Any]) -> None:
        """Add a line and force it to disk; only the user of the service reads the file.

        Raises
        ------
        OSError
            The line cannot be written whole; the file is then as before.
        """
        line = json.dumps(told, sort_keys=True, separators=(",", ":")).encode() + b"\n"
        file = os.open(self._path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_NOFOLLOW | os.O_CLOEXEC, 0o600)
        try:
            before = os.fstat(file).st_size
            if before + len(line) > LONGEST:
                raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(self._path))
            try:
                if os.write(file, line) < len(line):
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(self._path))
                os.fsync(file)
            except OSError:
                os.ftruncate(file, before)
                raise
        finally:
            os.close(file)
