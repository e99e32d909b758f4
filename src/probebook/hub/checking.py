"""Whether a hub can be started here: what is missing is said before anything is started."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
from importlib.util import find_spec
from pathlib import Path

from probebook.assessment.model import Learner
from probebook.errors import UsageError
from probebook.hub.learners import user_of

__all__ = ["check_closed", "check_machine", "check_python", "check_sealed", "find_proxy"]

PROXY = "configurable-http-proxy"
#: How long (seconds) a learner's Python may take to load what a server needs.
PATIENCE = 120
#: No more (characters) is shown of what it said.
LONGEST_REASON = 200
#: What a learner's server and kernel load.
LOADED = "import ipykernel, jupyterhub, probebook.assessment.sitting.paper"


def check_machine() -> None:
    """JupyterHub is there, and who asks may start servers as other users; UsageError says what is missing."""
    if find_spec("jupyterhub") is None:
        raise UsageError("JupyterHub is not there", where="hub", remedy="run: pip install 'probebook[hub]'")
    if getattr(os, "geteuid", lambda: 1)() != 0:
        raise UsageError(
            "a hub starts each learner's server as themselves, which root alone may do",
            where="hub",
            remedy="start it as root, with the same Python",
        )


def find_proxy(named: Path | None) -> str:
    """The proxy that learners reach: the one named, or the one on the path."""
    found = shutil.which(str(named) if named else PROXY)
    if found is None:
        raise UsageError(
            f"{PROXY} is not there",
            where=str(named or "hub"),
            remedy=f"run: npm install --global {PROXY}, or name it with --proxy",
        )
    return str(Path(found).resolve())


def check_closed(folder: Path) -> None:
    """Learners are users of this machine: a folder of papers that others may look into is refused."""
    if folder.stat().st_mode & 0o077:
        raise UsageError(
            "others on this machine may read this folder", where=str(folder), remedy="run: chmod 700 on it"
        )


def check_sealed(file: Path) -> None:
    """A sealed key, a certificate's key or a password that others may read is refused."""
    if file.stat().st_mode & 0o077:
        raise UsageError("others on this machine may read this file", where=str(file), remedy="run: chmod 600 on it")


def check_python(python: str, learner: Learner) -> None:
    """A learner, who is a user here, can run the Python of the servers and load what is needed; UsageError if not."""
    user = user_of(learner)
    group = pwd.getpwnam(user).pw_gid
    line = [python, "-c", LOADED]
    reason = ""
    try:
        tried = subprocess.run(
            line,
            user=user,
            group=group,
            extra_groups=[],
            cwd="/",
            env={name: os.environ[name] for name in ("PATH", "PYTHONPATH", "LANG") if name in os.environ},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=PATIENCE,
            check=False,
        )
        if tried.returncode:
            last = (tried.stderr.strip().splitlines() or [str(tried.returncode)])[-1]
            reason = ascii(last)[1:-1][:LONGEST_REASON]
    except (OSError, subprocess.TimeoutExpired) as error:
        reason = getattr(error, "strerror", "") or type(error).__name__
    if reason:
        raise UsageError(
            f"'{user}' cannot run this Python with Probebook in it ({reason})",
            where=python,
            remedy="install Probebook where learners may read it, outside root's home, or name another with --python",
        )
