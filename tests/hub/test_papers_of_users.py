"""Papers into homes and hand-ins out of them, done as their owners; here without users, in this process."""

from __future__ import annotations

import grp
import os
import pwd
import signal
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hubs import Set

from probebook.assessment.model import Learner
from probebook.assessment.sitting.handin import LONGEST
from probebook.errors import UsageError
from probebook.hub import learners, making, starting
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


def collected(two: Set, into: Path) -> tuple[str, ...]:
    """A round of collecting: the names of what is new."""
    return tuple(placing.collect(placing.Sitting.of(two.papers), into))


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
    assert collected(two, into) == ()
    path.write_text("first", "utf-8")
    assert collected(two, into) == (path.name,)
    assert collected(two, into) == ()
    path.write_text("second", "utf-8")
    assert collected(two, into) == (f"{two.name(0)}.2.handin.json",)
    assert (into / path.name).read_text("utf-8") == "first"
    assert (into / path.name).stat().st_mode & 0o777 == 0o600
    for number in range(20):
        path.write_text(str(number), "utf-8")
        collected(two, into)
    assert len(list(into.iterdir())) == placing.MOST_HANDINS


def test_what_is_no_plain_file_is_not_collected(homes: Path, two: Set, tmp_path: Path) -> None:
    """A link, a pipe and a folder by that name are left alone, and nobody waits for them; a long file is cut."""
    placing.place_papers(two.papers, two.folder / "papers")
    into, path = tmp_path / "in", place_of(homes, two, 0) / f"{two.name(0)}.handin.json"
    path.symlink_to(two.key)
    assert collected(two, into) == ()
    path.unlink()
    os.mkfifo(path)
    assert collected(two, into) == ()
    path.unlink()
    path.mkdir()
    assert collected(two, into) == ()
    path.rmdir()
    with path.open("wb") as stream:
        stream.truncate(10 * LONGEST)
    assert collected(two, into) == (path.name,)
    assert (into / path.name).stat().st_size == LONGEST + 1


def test_whom_nobody_knows_just_now_holds_nobody_up(
    homes: Path, two: Set, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the names of users cannot be looked up for one learner, the others' hand-ins are collected."""
    placing.place_papers(two.papers, two.folder / "papers")
    path, home = place_of(homes, two, 1) / f"{two.name(1)}.handin.json", placing.home_of
    path.write_text("done", "utf-8")
    monkeypatch.setattr(placing, "home_of", lambda user: {}[user] if user == two.user(0) else home(user))
    assert collected(two, tmp_path / "in") == (path.name,)


def test_a_folder_that_takes_nothing_is_named(homes: Path, two: Set, tmp_path: Path) -> None:
    """One sentence says which, and that nothing is lost."""
    (tmp_path / "in").write_text("a file", "utf-8")
    with pytest.raises(UsageError, match="start the hub again") as caught:
        collected(two, tmp_path / "in")
    assert caught.value.where == str(tmp_path / "in")


def test_a_round_that_fails_ends_no_sitting(two: Set, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is said once for as long as it fails, and the next round is tried; what comes then is told."""
    monkeypatch.setattr(starting, "ROUND", 0.0)
    monkeypatch.setattr(starting, "LOOK", 0.0)
    given = iter((UsageError("full"), UsageError("full"), ["x.handin.json"], UsageError("full")))

    def round_of(*_: object) -> list[str]:
        found = next(given)
        if isinstance(found, UsageError):
            raise found
        return found

    monkeypatch.setattr(starting, "collect", round_of)
    hub: Any = object.__new__(starting.RunningHub)
    hub.sitting, hub.into, hub._log = placing.Sitting.of(two.papers), tmp_path, tmp_path / "hub.log"
    hub._process = SimpleNamespace(poll=lambda: None)
    came: list[str] = []
    troubles: list[str] = []
    rounds = iter([False] * 4 + [True])
    hub.watch(lambda: next(rounds), came.append, troubles.append)
    assert (came, troubles) == (["x.handin.json"], ["full", "full"])


def test_learners_who_read_what_others_closed_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A member of a group that becomes others, by whatever way, is named with the groups."""
    check_users([Learner("nobody", "A")])
    monkeypatch.setattr(learners.os, "getgrouplist", lambda _, group: [group, grp.getgrnam("shadow").gr_gid])
    with pytest.raises(UsageError, match=r"rights over others' files: nobody; .*shadow"):
        check_users([Learner("nobody", "A")])


def test_a_home_too_far_down_for_sockets_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Kernels are spoken to over sockets in it; the longest name in /home fits."""
    entry = pwd.getpwnam("nobody")
    for folder, fits in ((f"/home/{'x' * 32}", True), (f"/export/students/{'x' * 32}", False)):
        told = pwd.struct_passwd((*entry[:5], folder, entry[6]))
        monkeypatch.setattr(learners.pwd, "getpwnam", lambda _, told=told: told)
        if fits:
            check_users([Learner("nobody", "A")])
        else:
            with pytest.raises(UsageError, match="too long for what must lie in it: nobody"):
                check_users([Learner("nobody", "A")])


def test_learners_who_are_no_users_are_named() -> None:
    """All who are missing stand in one sentence; two who would be one user, and root, are refused."""
    with pytest.raises(UsageError) as caught:
        check_users([Learner("pb-nobody-1", "A"), Learner("pb-nobody-2", "B")])
    assert "pb-nobody-1, pb-nobody-2" in str(caught.value)
    with pytest.raises(UsageError, match="are one user"):
        check_users([Learner("Root", "A"), Learner("root", "B")])
    with pytest.raises(UsageError, match=r"no learner may be the user who runs the hub, .*: root"):
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
def test_a_user_who_stops_the_child_holds_nothing_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """A child that its user has stopped is ended when its time is over, and it has no file of this process open."""
    children: list[int] = []
    fork = os.fork

    def noted() -> int:
        children.append(fork())
        return children[-1]

    monkeypatch.setattr(os, "fork", noted)
    begun = time.monotonic()
    with pytest.raises(OSError, match="nobody"):
        as_user("nobody", lambda: os.kill(os.getpid(), signal.SIGSTOP) or b"", patience=0.5)
    assert 0.5 <= time.monotonic() - begun < 5.0
    (child,) = children
    with pytest.raises(ChildProcessError):  # it has been waited for, and is no more
        os.waitpid(child, os.WNOHANG)
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


def test_names_that_no_user_has_are_all_named(tmp_path: Path) -> None:
    """Before anybody is made; a class file takes such ids."""
    class_ = [Learner("7up", "A"), Learner("pb-nobody-1", "B"), Learner("a" * 33, "C")]
    with pytest.raises(UsageError, match=f"can be called 7up, {'a' * 33};"):
        make_users(class_, tmp_path / "passwords.csv")
    assert not (tmp_path / "passwords.csv").exists()


@pytest.mark.parametrize("fails", ["useradd", "chpasswd"])
def test_a_user_that_is_not_made_leaves_nobody_half_made(
    fails: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each gets a password at once; where one fails those before are taken away again, and the file too."""
    ran: list[tuple[str, str]] = []

    def run(command: list[str], told: str, user: str) -> None:
        assert told.startswith(f"{user}:") == (command[0] == "chpasswd")
        ran.append((command[0], user))
        if (command[0], user) == (fails, "pb-nobody-2"):
            raise UsageError("refused")

    monkeypatch.setattr(making, "_run", run)
    class_ = [Learner(f"pb-nobody-{number}", "A") for number in (1, 2, 3)]
    with pytest.raises(UsageError, match="refused"):
        make_users(class_, tmp_path / "passwords.csv")
    assert ran[:3] == [("useradd", "pb-nobody-1"), ("chpasswd", "pb-nobody-1"), ("useradd", "pb-nobody-2")]
    removed = {user for command, user in ran if command == "userdel"}
    assert removed == {"pb-nobody-1"} | ({"pb-nobody-2"} if fails == "chpasswd" else set())
    assert not (tmp_path / "passwords.csv").exists()


def test_passwords_are_not_written_over(tmp_path: Path) -> None:
    """A file of passwords that is there is named, and nobody is made; where all are users nothing is written."""
    (tmp_path / "passwords.csv").write_text("x", "utf-8")
    with pytest.raises(UsageError, match="is there already"):
        make_users([Learner("pb-nobody-1", "A")], tmp_path / "passwords.csv")
    assert make_users([Learner("root", "R")], tmp_path / "other.csv") == 0
    assert not (tmp_path / "other.csv").exists()
