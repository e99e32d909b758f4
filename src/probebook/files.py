"""Files that are either the old one or the new one, never half of one; and JSON with one spelling."""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
from pathlib import Path

from probebook.errors import UsageError

__all__ = ["canonical_json", "write_atomic"]

TEMPORARY_SUFFIX = ".probebook-tmp"


def write_atomic(path: Path, data: bytes | str) -> None:
    """Write ``data`` to ``path`` so that a crash leaves the old file or the new one.

    The bytes go to a temporary file in the same folder, are forced to disk and then take the name
    over in one step; the permissions of a file already there are kept.

    Parameters
    ----------
    path
        The file to write; its folder must exist.
    data
        Bytes, or text, which is written as UTF-8 with its line ends unchanged.

    Raises
    ------
    UsageError
        The file cannot be written; an old file is then still there, unchanged.
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    path = Path(path)
    try:
        _replace(path, content)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise UsageError(
            f"the file cannot be written ({reason.lower()})",
            where=str(path),
            remedy="check that the folder exists, is writable and has room",
        ) from error


def _replace(path: Path, content: bytes) -> None:
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.", suffix=TEMPORARY_SUFFIX)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(_mode_for(path))
        Path(temporary).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(temporary).unlink()
        raise
    _sync_folder(path.parent)


def _mode_for(path: Path) -> int:
    """Return the permissions ``path`` has, or those a new file would get here."""
    try:
        return path.stat().st_mode & 0o7777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _sync_folder(folder: Path) -> None:
    """Force the new name itself to disk where the system allows a folder to be opened."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def canonical_json(obj: object) -> str:
    """Return the one JSON spelling of ``obj``: keys sorted, one space of indent, a newline at the end.

    Letters outside ASCII stay as they are, so that a difference between two files can be read.

    Raises
    ------
    ValueError
        ``obj`` holds a number that JSON cannot hold (nan or an infinity).
    TypeError
        ``obj`` holds something that is not plain data.
    """
    return json.dumps(obj, sort_keys=True, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
