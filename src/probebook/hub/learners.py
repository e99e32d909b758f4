"""Learners as users of the machine: who is who, and what is done in their folders is done as themselves.

The hub runs as root, and a folder of a learner's own may hold anything: a link to a file of somebody else's, a pipe, a
file without end. So whatever is read or written there is done by a child that has become the learner, and the rights of
the system decide.
"""

from __future__ import annotations

import contextlib
import errno
import grp
import os
import pwd
import select
import signal
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from probebook.assessment.model import Learner
from probebook.errors import UsageError
from probebook.files import fits_sockets

__all__ = ["RUNTIME", "as_user", "check_users", "home_of", "user_of"]

#: Where a learner's kernels have their connection files and sockets, below their home: a path that is short enough.
RUNTIME = ".probebook"
#: Groups of a machine whose members read what others closed, or become them.
RIGHTS = frozenset({"adm", "disk", "docker", "incus", "kmem", "libvirt", "lxd", "root", "shadow", "sudo", "wheel"})
#: How long (seconds) what is done as a learner may take.
PATIENCE = 20
#: Seconds between two looks at whether a child has ended.
LOOK = 0.002
#: More (bytes) is not taken from what was done as a learner.
LONGEST = 80_000_000


def user_of(learner: Learner) -> str:
    """The user of the machine that a learner is: their id, in small letters, as hubs know users."""
    return learner.id.lower()


def home_of(user: str) -> Path:
    """The home folder of a user who is there."""
    return Path(pwd.getpwnam(user).pw_dir)


def check_users(learners: Iterable[Learner]) -> None:
    """See that each learner is a user of the machine, and each another one.

    Raises
    ------
    UsageError
        Somebody is not there, is no ordinary user, or has a home in which no sockets can lie; all are named.
    """
    found: dict[str, str] = {}
    missing, others, far = [], [], []
    for learner in learners:
        user = user_of(learner)
        if user in found:
            raise UsageError(
                f"'{learner.id}' and '{found[user]}' are one user", where="hub", remedy="give one another id"
            )
        found[user] = learner.id
        try:
            entry = pwd.getpwnam(user)
        except KeyError:
            missing.append(user)
            continue
        if entry.pw_uid == 0 or entry.pw_uid == os.geteuid() or _rights(user, entry.pw_gid):
            others.append(user)
        if not fits_sockets(Path(entry.pw_dir) / RUNTIME):
            far.append(user)
    if missing:
        raise UsageError(
            f"no user of this machine: {', '.join(missing)}",
            where="hub",
            remedy="make each with 'useradd --create-home NAME' and give them a password",
        )
    if others:
        raise UsageError(
            f"no learner may be the user who runs the hub, nor one with rights over others' files: {', '.join(others)}",
            where="hub",
            remedy=f"change the ids, or take them out of the groups {', '.join(sorted(RIGHTS))}",
        )
    if far:
        raise UsageError(
            f"the path of a home is too long for what must lie in it: {', '.join(far)}",
            where="hub",
            remedy="give them a home with a shorter path",
        )


def _rights(user: str, group: int) -> bool:
    """Whether a user is in a group that is known by its name to read, or become, others."""
    names = set()
    for number in os.getgrouplist(user, group):
        with contextlib.suppress(KeyError):
            names.add(grp.getgrgid(number).gr_name)
    return bool(names & RIGHTS)


def as_user(user: str, do: Callable[[], bytes], patience: float = PATIENCE) -> bytes:
    """Do something in a child process that has become a user; what it gave.

    The child is the user's: they may stop it as any process of theirs. It is waited for no longer than ``patience``
    (seconds), and it holds no file of this process open but the pipe into which it writes.

    Raises
    ------
    OSError
        It failed, or took too long; its number is that of the child's error.
    """
    entry = pwd.getpwnam(user)
    groups = os.getgrouplist(user, entry.pw_gid)
    out, into = os.pipe()
    until = time.monotonic() + patience
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.closerange(3, into)
            os.closerange(into + 1, os.sysconf("SC_OPEN_MAX"))
            signal.alarm(PATIENCE)
            os.setgroups(groups)
            os.setgid(entry.pw_gid)
            os.setuid(entry.pw_uid)
            os.umask(0o077)
            os.chdir("/")
            with os.fdopen(into, "wb") as stream:
                stream.write(b"+" + do())
            code = 0
        except OSError as error:
            code = min(error.errno or 1, 125)
        finally:
            os._exit(code)
    given, is_whole, code = bytearray(), False, -signal.SIGKILL
    try:
        os.close(into)
        is_whole = _read_all(out, given, until)
    finally:
        os.close(out)
        code = _end(child, until if is_whole else 0.0)
    if code != 0 or not given.startswith(b"+"):
        number = code if code > 0 else errno.EIO
        raise OSError(number, os.strerror(number), user)
    return bytes(given[1:])


def _read_all(out: int, given: bytearray, until: float) -> bool:
    """Read a pipe to its end; whether it was reached in time, and not too much came."""
    while len(given) <= LONGEST:
        ready, _, _ = select.select([out], [], [], max(until - time.monotonic(), 0.0))
        if not ready:
            return False
        part = os.read(out, 1 << 16)
        if not part:
            return True
        given += part
    return False


def _end(child: int, until: float) -> int:
    """The exit code of a child that is waited for so long and killed then; minus the signal that ended it."""
    done, status = os.waitpid(child, os.WNOHANG)
    while not done and time.monotonic() < until:
        time.sleep(LOOK)
        done, status = os.waitpid(child, os.WNOHANG)
    if not done:
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)
