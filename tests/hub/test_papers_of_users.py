"""Papers into homes and hand-ins out of them, done as their owners; here without users, in this process."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hubs import Set

from probebook.assessment.model import Learner
from probebook.assessment.sitting.handin import LONGEST
from probebook.errors import UsageError
from probebook.hub import papers as placing
from probebook.hub.learners import as_user, check_users, user_of
from probebook.hub.making import make_users


@pytest.fixture
def homes(two: Set, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home a learner, and everything done as whoever runs the test."""

    def done(user: str, do: Callable[[], bytes]) -> bytes:
        del user
        return do()

    monkeypatch.setattr(placing, "as_user", done)
    monkeypatch.setattr(placing, "home_of", lambda user: tmp_path / user)
    for paper in two.papers.papers:
        (tmp_path / paper.learner.id).mkdir()
    return tmp_path


def place_of(homes: Path, two: Set, number: int) -> Path:
    """The folder of a learner's paper."""
    return homes / two.papers.papers[number].learner.id / placing.folder_of(two.papers)


def test_a_paper_is_put_where_its_learner_alone_reads_it(homes: Path, two: Set) -> None:
    """Paper and folder are closed to others; a paper that lies there stays as it is."""
    placing.place_papers(two.papers, two.folder / "papers")
    place = place_of(homes, two, 0)
    path = place / f"{two.name(0)}.ipynb"
    assert path.read_bytes() == (two.folder / "papers" / path.name).read_bytes()
    assert (path.stat().st_mode & 0o777, place.stat().st_mode & 0o777) == (0o600, 0o700)
    assert [each.name for each in place.iterdir()] == [path.name]
    path.write_text("worked on", "utf-8")
    placing.place_papers(two.papers, two.folder / "papers")
    assert path.read_text("utf-8") == "worked on"


def test_a_missing_paper_is_named(homes: Path, two: Set, tmp_path: Path) -> None:
    """One sentence says which file is not there."""
    with pytest.raises(UsageError) as caught:
        placing.place_papers(two.papers, tmp_path)
    assert f"{two.name(0)}.ipynb" in str(caught.value)


def test_what_is_collected_stays(homes: Path, two: Set, tmp_path: Path) -> None:
    """A hand-in that is changed afterwards goes beside the first; the same one is not collected twice."""
    placing.place_papers(two.papers, two.folder / "papers")
    into, path = tmp_path / "in", place_of(homes, two, 0) / f"{two.name(0)}.handin.json"
    assert placing.collect(two.papers, into) == ()
    path.write_text("first", "utf-8")
    assert placing.collect(two.papers, into) == (path.name,)
    assert placing.collect(two.papers, into) == ()
    path.write_text("second", "utf-8")
    assert placing.collect(two.papers, into) == (f"{two.name(0)}.2.handin.json",)
    assert (into / path.name).read_text("utf-8") == "first"
    assert (into / path.name).stat().st_mode & 0o777 == 0o600
    for number in range(20):
        path.write_text(str(number), "utf-8")
        placing.collect(two.papers, into)
    assert len(list(into.iterdir())) == placing.MOST_HANDINS


def test_what_is_no_plain_file_is_not_collected(homes: Path, two: Set, tmp_path: Path) -> None:
    """A link, a pipe and a folder by that name are left alone, and nobody waits for them; a long file is cut."""
    placing.place_papers(two.papers, two.folder / "papers")
    into, path = tmp_path / "in", place_of(homes, two, 0) / f"{two.name(0)}.handin.json"
    path.symlink_to(two.key)
    assert placing.collect(two.papers, into) == ()
    path.unlink()
    os.mkfifo(path)
    assert placing.collect(two.papers, into) == ()
    path.unlink()
    path.mkdir()
    assert placing.collect(two.papers, into) == ()
    path.rmdir()
    with path.open("wb") as stream:
        stream.truncate(10 * LONGEST)
    assert placing.collect(two.papers, into) == (path.name,)
    assert (into / path.name).stat().st_size == LONGEST + 1


def test_learners_who_are_no_users_are_named() -> None:
    """All who are missing stand in one sentence; two who would be one user, and root, are refused."""
    with pytest.raises(UsageError) as caught:
        check_users([Learner("pb-nobody-1", "A"), Learner("pb-nobody-2", "B")])
    assert "pb-nobody-1, pb-nobody-2" in str(caught.value)
    with pytest.raises(UsageError, match="are one user"):
        check_users([Learner("Root", "A"), Learner("root", "B")])
    with pytest.raises(UsageError, match="no learner may be the user who runs the hub: root"):
        check_users([Learner("root", "A")])
    assert user_of(Learner("Ada-Lamp", "A")) == "ada-lamp"


@pytest.mark.skipif(os.geteuid() != 0, reason="only root becomes another user")
def test_what_is_done_as_a_user_has_their_rights(tmp_path: Path) -> None:
    """It reads nothing that the user may not read, gives back what it made, and its errors keep their number."""
    assert (
        as_user("nobody", lambda: str((os.getuid() != 0, os.getgroups() == [os.getgid()])).encode()) == b"(True, True)"
    )
    (tmp_path / "secret").write_text("x", "utf-8")
    (tmp_path / "secret").chmod(0o600)
    with pytest.raises(PermissionError):
        as_user("nobody", (tmp_path / "secret").read_bytes)
    with pytest.raises(FileNotFoundError):
        as_user("nobody", Path("/no/such/file").read_bytes)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root becomes another user")
def test_a_user_who_stops_the_child_holds_nothing_up() -> None:
    """A child that its user has stopped is ended when its time is over, and it has no file of this process open."""
    begun = time.monotonic()
    with pytest.raises(OSError, match="nobody"):
        as_user("nobody", lambda: os.kill(os.getpid(), signal.SIGSTOP) or b"", patience=0.5)
    assert 0.5 <= time.monotonic() - begun < 5.0
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)
    held, other = os.pipe()
    open_files = as_user("nobody", lambda: repr([_is_open(each) for each in (held, other)]).encode())
    assert open_files == b"[False, False]"
    os.close(held)
    os.close(other)


def _is_open(file: int) -> bool:
    try:
        os.fstat(file)
    except OSError:
        return False
    return True


def test_passwords_are_not_written_over(tmp_path: Path) -> None:
    """A file of passwords that is there is named, and nobody is made; where all are users nothing is written."""
    (tmp_path / "passwords.csv").write_text("x", "utf-8")
    with pytest.raises(UsageError, match="is there already"):
        make_users([Learner("pb-nobody-1", "A")], tmp_path / "passwords.csv")
    assert make_users([Learner("root", "R")], tmp_path / "other.csv") == 0
    assert not (tmp_path / "other.csv").exists()
