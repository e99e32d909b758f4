"""Learners made users of the machine, with a password each, where a class has none yet."""

from __future__ import annotations

import contextlib
import pwd
import re
import secrets
import subprocess
from collections.abc import Iterable
from pathlib import Path

from probebook.assessment.cells import plain_cell, table_text
from probebook.assessment.model import Learner
from probebook.errors import UsageError
from probebook.files import write_all
from probebook.hub.learners import user_of

__all__ = ["make_users"]

#: Letters and figures that nobody takes for one another when they read a password off paper, and how many make one.
SIGNS, LENGTH = "abcdefghjkmnpqrstuvwxyz23456789", 10
HEADS = ("user", "name", "password")
#: What every system that has these commands takes as the name of a user.
NAME = re.compile(r"[a-z][a-z0-9-]{0,31}")
#: The command that makes a user, with a home that nobody else looks into, who signs in to the hub alone.
ADDING = ("useradd", "--create-home", "--key", "HOME_MODE=0700", "--shell", "/usr/sbin/nologin")


def make_users(learners: Iterable[Learner], into: Path) -> int:
    """Make those learners users who are none yet, and write their passwords into a file; how many were made.

    A home is closed to everybody else. The file is written before anybody is made, for its owner alone to read. Where
    one cannot be made, those that were made before are taken away again, and so is the file.

    Raises
    ------
    UsageError
        The file is there already, a name can be no user's, or the system refuses to make a user.
    """
    new = [learner for learner in learners if not _is_there(user_of(learner))]
    if not new:
        return 0
    if into.exists():
        raise UsageError("this file is there already", where=str(into), remedy="name another for the new passwords")
    unfit = [user for user in map(user_of, new) if not NAME.fullmatch(user)]
    if unfit:
        raise UsageError(
            f"no user of this machine can be called {', '.join(unfit)}",
            where=str(into),
            remedy="an id is a letter, and up to 31 letters, figures and hyphens: change the ids in the class file",
        )
    drawn = {user_of(each): "".join(secrets.choice(SIGNS) for _ in range(LENGTH)) for each in new}
    rows = [(user_of(each), plain_cell(each.name), drawn[user_of(each)]) for each in new]
    write_all({into: table_text(HEADS, rows)}, private={into})
    made: list[str] = []
    try:
        for user, password in drawn.items():
            _run([*ADDING, user], "", user)
            made.append(user)
            _run(["chpasswd"], f"{user}:{password}\n", user)
    except BaseException:
        for user in made:
            with contextlib.suppress(UsageError):
                _run(["userdel", "--remove", user], "", user)
        into.unlink(missing_ok=True)
        raise
    return len(new)


def _is_there(user: str) -> bool:
    try:
        pwd.getpwnam(user)
    except KeyError:
        return False
    return True


def _run(command: list[str], told: str, user: str) -> None:
    try:
        done = subprocess.run(command, input=told, capture_output=True, text=True, check=False)
        reason = done.stderr.strip().splitlines()[-1:] if done.returncode else []
        failed = bool(done.returncode)
    except OSError as error:
        reason, failed = [error.strerror or type(error).__name__], True
    if failed:
        raise UsageError(
            f"the system does not make the user '{user}' ({' '.join(reason) or 'no reason given'})",
            where=command[0],
            remedy="make the learners users of this machine by hand",
        )
