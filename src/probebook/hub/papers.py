"""Papers put into the folders of their learners, and hand-ins collected from there."""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterable
from pathlib import Path

from probebook.assessment.model import Paper, PaperSet
from probebook.assessment.sitting.handin import LONGEST, SUFFIX
from probebook.errors import UsageError
from probebook.files import write_all
from probebook.hub.learners import as_user, home_of, user_of

__all__ = ["collect", "folder_of", "place_papers"]

#: More hand-ins than these of one paper, each another, are not collected.
MOST_HANDINS = 9


def folder_of(papers: PaperSet) -> str:
    """The name of the folder in a learner's home in which they sit a paper of this set."""
    return f"paper-{papers.id}"


def place_papers(papers: PaperSet, folder: Path) -> None:
    """Put each learner's paper into their home, readable by themselves alone; one that lies there stays.

    Raises
    ------
    UsageError
        A paper is missing in ``folder``, or a home cannot be written.
    """
    for paper in papers.papers:
        name = f"{papers.blueprint.paper_name(paper.learner)}.ipynb"
        user = user_of(paper.learner)
        try:
            content = (folder / name).read_bytes()
        except OSError as error:
            raise UsageError(
                "a paper is missing", where=str(folder / name), remedy="name the folder of the set"
            ) from error
        place = home_of(user) / folder_of(papers)
        try:
            as_user(user, lambda place=place, name=name, content=content: _put(place, name, content))  # type: ignore[misc]
        except OSError as error:
            reason = (error.strerror or type(error).__name__).lower()
            raise UsageError(
                f"the paper of '{user}' cannot be put into their home ({reason})", where=str(place), remedy="see to it"
            ) from error


def _put(place: Path, name: str, content: bytes) -> bytes:
    """Write a file that is not there, as its owner; the folder is closed to everybody else."""
    place.mkdir(mode=0o700, exist_ok=True)
    place.chmod(0o700)
    path, half = place / name, place / f".{name}.part"
    if path.exists():
        return b""
    with contextlib.suppress(FileNotFoundError):
        half.unlink()
    file = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(file, "wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    half.rename(path)
    return b""


def collect(papers: PaperSet, into: Path) -> tuple[str, ...]:
    """Collect what was handed in; the names of files that are new.

    What was collected once stays as it is. A hand-in that differs from it is put beside it, so that marking sees both;
    the folder is the tutor's, closed to everybody else.
    """
    into.mkdir(mode=0o700, parents=True, exist_ok=True)
    return tuple(name for paper in papers.papers for name in _collected(papers, paper, into))


def _collected(papers: PaperSet, paper: Paper, into: Path) -> Iterable[str]:
    stem, user = papers.blueprint.paper_name(paper.learner), user_of(paper.learner)
    path = home_of(user) / folder_of(papers) / f"{stem}{SUFFIX}"
    try:
        content = as_user(user, lambda: _read(path))
    except OSError:  # not handed in yet, or nothing that can be read
        return
    for number in range(1, MOST_HANDINS + 1):
        name = f"{stem}{f'.{number}' if number > 1 else ''}{SUFFIX}"
        if not (into / name).exists():
            write_all({into / name: content}, private={into / name})
            yield name
            return
        if (into / name).read_bytes() == content:
            return


def _read(path: Path) -> bytes:
    """The bytes of a plain file, no longer than a hand-in may be and one more."""
    file = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK | os.O_CLOEXEC)
    with os.fdopen(file, "rb") as stream:
        if not stat.S_ISREG(os.fstat(file).st_mode):
            raise OSError(22, os.strerror(22))
        return stream.read(LONGEST + 1)
