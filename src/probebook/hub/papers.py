"""Papers put into the folders of their learners, and hand-ins collected from there."""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from probebook.assessment.model import PaperSet
from probebook.assessment.sitting.handin import LONGEST, SUFFIX
from probebook.errors import UsageError
from probebook.files import write_all
from probebook.hub.learners import as_user, home_of, user_of

__all__ = ["Sitting", "collect", "folder_of", "place_papers"]

#: More hand-ins than these of one paper, each another, are not collected.
MOST_HANDINS = 9


@dataclass(frozen=True, slots=True)
class Sitting:
    """All that the command keeps of a set while it is sat: no question, no bench, no key.

    Attributes
    ----------
    title
        Of the papers.
    folder
        The name of the folder in each home.
    names
        For each learner, the user that they are and the stem of their paper's file.
    """

    title: str
    folder: str
    names: tuple[tuple[str, str], ...]

    @classmethod
    def of(cls, papers: PaperSet) -> Sitting:
        """That of a set."""
        named = ((user_of(paper.learner), papers.blueprint.paper_name(paper.learner)) for paper in papers.papers)
        return cls(papers.blueprint.title, folder_of(papers), tuple(named))


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
        place = Path(folder_of(papers))
        try:
            place = home_of(user) / place
            as_user(user, lambda place=place, name=name, content=content: _put(place, name, content))  # type: ignore[misc]
        except (OSError, KeyError) as error:  # a user that is gone meanwhile
            reason = (getattr(error, "strerror", "") or type(error).__name__).lower()
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


def collect(sitting: Sitting, into: Path) -> Iterator[str]:
    """Collect what was handed in; the name of each file that is new, once it is there.

    What was collected once stays as it is. A hand-in that differs from it is put beside it, so that marking sees both;
    the folder is the tutor's, closed to everybody else.

    Raises
    ------
    UsageError
        The folder takes nothing, or cannot be read.
    """
    try:
        into.mkdir(mode=0o700, parents=True, exist_ok=True)
        for user, stem in sitting.names:
            yield from _collected(user, sitting.folder, stem, into)
    except OSError as error:
        raise UsageError(
            f"hand-ins cannot be collected ({(error.strerror or type(error).__name__).lower()})",
            where=str(into),
            remedy="see to that folder, and start the hub again: it collects what lies in the homes",
        ) from error


def _collected(user: str, folder: str, stem: str, into: Path) -> Iterator[str]:
    try:
        path = home_of(user) / folder / f"{stem}{SUFFIX}"
        content = as_user(user, lambda: _read(path))
    except (OSError, KeyError):  # not handed in yet, nothing that can be read, or a user whom nobody knows just now
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
