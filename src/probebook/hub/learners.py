"""Learners as users of the machine: who is who, and what is done in their folders is done as themselves.

The hub runs as root, and a folder of a learner's own may hold anything: a link to a file of somebody else's, a pipe, a
file without end. So whatever is read or written there is done by a child that has become the learner, and the rights of
the system decide.
"""

from __future__ import annotations

import contextlib
import os
import pwd
import signal
from collections.abc import Callable, Iterable
from pathlib import Path

from probebook.assessment.model import Learner
from probebook.errors import UsageError

__all__ = ["as_user", "check_users", "home_of", "user_of"]

#: How long (seconds) what is done as a learner may take.
PATIENCE = 20
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
        Somebody is not there, or is no ordinary user; all are named.
    """
    found: dict[str, str] = {}
    missing, others = [], []
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
        if entry.pw_uid == 0 or entry.pw_uid == os.geteuid():
            others.append(user)
    if missing:
        raise UsageError(
            f"no user of this machine: {', '.join(missing)}",
            where="hub",
            remedy="make each with 'useradd --create-home NAME' and give them a password",
        )
    if others:
        raise UsageError(
            f"no learner may be the user who runs the hub: {', '.join(others)}", where="hub", remedy="change the ids"
        )


def as_user(user: str, do: Callable[[], bytes]) -> bytes:
    """Do something in a child process that has become a user; what it gave.

    Raises
    ------
    OSError
        It failed, or took too long; its number is that of the child's error.
    """
    entry = pwd.getpwnam(user)
    groups = os.getgrouplist(user, entry.pw_gid)
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(out)
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
    os.close(into)
    try:
        with os.fdopen(out, "rb") as stream:
            given = stream.read(LONGEST + 1)
    finally:
        with contextlib.suppress(ProcessLookupError):
            if len(given) > LONGEST:
                os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
    code = os.waitstatus_to_exitcode(status)
    if code != 0 or not given.startswith(b"+") or len(given) > LONGEST:
        number = code if code > 0 else 5
        raise OSError(number, os.strerror(number), user)
    return given[1:]
