"""Files that are either the old one or the new one, never half of one; and JSON with one spelling."""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Collection, Iterable, Iterator, Mapping
from pathlib import Path

from probebook import stopping
from probebook.errors import UsageError

__all__ = ["canonical_json", "fits_sockets", "not_a_file", "scratch", "sweep", "write_all", "write_atomic"]

TEMPORARY_SUFFIX = ".probebook-tmp"
#: The process that a temporary file is of stands in its name.
_OWNER = re.compile(r"\.([0-9]{1,9})\.[^.]*" + re.escape(TEMPORARY_SUFFIX) + r"\Z")

#: The whole path of a socket in the file system (in a server's folder, ``/kernel-<36>-ipc-<2>``) must stay under the
#: 104 bytes that the strictest systems allow.
LONGEST_SOCKET_FOLDER = 50

#: Temporary files and folders that this process is at now: its number alone may be that of one that was killed.
_ours: set[Path] = set()


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

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     write_atomic(Path(folder) / "page.html", "<!DOCTYPE html>")
    ...     (Path(folder) / "page.html").read_text()
    '<!DOCTYPE html>'
    """
    path = Path(path)
    sweep(path.parent, path.name)
    try:
        _put(_staged(path, _bytes(data)), path)
        _sync_folder(path.parent)
    except OSError as error:
        raise _told(error, path) from error


def write_all(
    files: Mapping[Path, bytes | str], *, private: Collection[Path] = (), then: Mapping[Path, Path] | None = None
) -> None:
    """Write several files that belong together: none takes its place before all of them are whole on disk.

    They take their places in the order given, one straight after the other, so that whatever ends the process leaves
    the old ones, the new ones, or (for the blink of that) some of each; never half of one. Ctrl-C waits for that blink.
    Folders are made, and what killed processes left in them is swept away first.

    Parameters
    ----------
    files
        Path → content, in the order in which they take their places.
    private
        Those of them that nobody but their owner may read.
    then
        Those of them that take another name once all are in place.

    Raises
    ------
    UsageError
        A file cannot be written; then none was replaced, unless the places themselves gave way meanwhile.
    """
    staged: dict[Path, Path] = {}
    folders = dict.fromkeys(path.parent for path in files)
    path = Path()
    with stopping.at_once(lambda: _forget(tuple(staged.values()))):
        try:
            for path in folders:
                path.mkdir(parents=True, exist_ok=True)
                sweep(path)
            for path, data in files.items():
                staged[path] = _staged(path, _bytes(data), private=path in private)
            with stopping.held():
                for path in tuple(staged):
                    _put(staged[path], path)
                    del staged[path]
                for path, name in (then or {}).items():
                    path.replace(name)
                for folder in folders:
                    _sync_folder(folder)
        except OSError as error:
            raise _told(error, path) from error
        finally:
            _forget(staged.values())


def _forget(staged: Iterable[Path]) -> None:
    """Remove staged files."""
    for temporary in staged:
        _ours.discard(temporary)
        with contextlib.suppress(OSError):
            temporary.unlink()


def sweep(folder: Path, name: str = "") -> None:
    """Remove what processes that were killed while writing left in a folder; those still at it keep theirs.

    Where a ``name`` is given, only what was to become the file of that name.
    """
    for path in folder.glob(f".*{TEMPORARY_SUFFIX}"):
        if name and not path.name.startswith(f".{name[:40]}."):
            continue
        if path in _ours:
            continue
        found = _OWNER.search(path.name)
        if found is None or not _is_running(int(found[1])):
            with contextlib.suppress(OSError):
                _remove(path)


def _remove(path: Path) -> None:
    """Remove a file, or a folder with all that is in it."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink()


def fits_sockets(folder: Path) -> bool:
    """Whether kernels can be spoken to over sockets that lie in a folder: not where its path is long, nor off POSIX."""
    return os.name == "posix" and len(os.fsencode(folder)) <= LONGEST_SOCKET_FOLDER


@contextlib.contextmanager
def scratch(beside: Path | None = None) -> Iterator[Path]:
    """A folder for what is needed while something goes on, gone afterwards; those of killed processes go first.

    Parameters
    ----------
    beside
        A folder or file that it is to stand beside, so that one can take the other's place; in the system's folder for
        such things where None.

    Raises
    ------
    UsageError
        It cannot be made.
    """
    place = beside.parent if beside is not None else Path(tempfile.gettempdir())
    name = beside.name[:40] if beside is not None else "probebook"
    sweep(place)
    prefix = f".{name}.{os.getpid()}."
    try:
        folder = tempfile.TemporaryDirectory(
            dir=place, prefix=prefix, suffix=TEMPORARY_SUFFIX, ignore_cleanup_errors=True
        )
    except OSError as error:
        raise _told(error, place) from error
    _ours.add(Path(folder.name))
    try:
        with folder as made, stopping.at_once(folder.cleanup):
            yield Path(made)
    finally:
        _ours.discard(Path(folder.name))


def _is_running(process: int) -> bool:
    if process == os.getpid():
        return False
    if os.name != "posix":  # asking would end it there
        return True
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


def _bytes(data: bytes | str) -> bytes:
    return data.encode("utf-8") if isinstance(data, str) else data


def _told(error: OSError, path: Path) -> UsageError:
    reason = error.strerror or type(error).__name__
    return UsageError(
        f"the file cannot be written ({reason.lower()})",
        where=str(path),
        remedy="check that the folder exists, is writable and has room",
    )


def _staged(path: Path, content: bytes, *, private: bool = False) -> Path:
    """A temporary file beside ``path`` with the content, forced to disk; only its owner may read a private one."""
    prefix = f".{path.name[:40]}.{os.getpid()}."
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=prefix, suffix=TEMPORARY_SUFFIX)
    temporary = Path(name)
    _ours.add(temporary)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        if not private:
            temporary.chmod(_mode_for(path))
    except BaseException:
        _forget([temporary])
        raise
    return temporary


def _put(temporary: Path, path: Path) -> None:
    """Give a staged file its name."""
    try:
        temporary.replace(path)
        _ours.discard(temporary)
    except BaseException:
        _forget([temporary])
        raise


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


def not_a_file(path: Path) -> str:
    """What stands at ``path`` instead of a file: ``folder``, ``link``, ``pipe`` or ``device``; empty where none does.

    Links are not followed, and nothing is opened: opening a pipe would wait for its other end.

    Raises
    ------
    OSError
        It cannot be looked at.
    """
    try:
        mode = os.lstat(path).st_mode
    except FileNotFoundError:
        return ""
    if stat.S_ISREG(mode):
        return ""
    kinds = ((stat.S_ISDIR, "folder"), (stat.S_ISLNK, "link"), (stat.S_ISFIFO, "pipe"))
    return next((name for fits, name in kinds if fits(mode)), "device")


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
