"""Jobs that end the worker that does them, or cannot be done: for whatever runs jobs."""

from __future__ import annotations

import os
import signal
from pathlib import Path

from probebook.errors import ScenarioError


def squared(number: int) -> int:
    """A job."""
    return number * number


def killed_once(job: tuple[int, str]) -> int:
    """A job whose third kills its worker the first time."""
    number, note = job
    if number == 3 and not Path(note).exists():
        Path(note).write_text("killed")
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def always_killed(number: int) -> int:
    """A job that kills its worker."""
    if number == 2:
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def wrong(number: int) -> int:
    """A job that cannot be done."""
    if number == 2:
        raise ScenarioError("this cannot be met", where=f"row[{number}]", remedy="widen it")
    return number
