"""The executor: the same results however many processes there are, and a killed worker loses nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from lost_jobs import always_killed, killed_once, squared, wrong

from probebook.errors import ScenarioError, UsageError
from probebook.executor import Processes, Serial


def test_processes_give_what_serial_gives() -> None:
    """Results come in the order of the jobs."""
    jobs = list(range(9))
    assert Processes(2).map(squared, jobs) == Serial().map(squared, jobs) == [n * n for n in jobs]


def test_a_killed_worker_loses_nothing(tmp_path: Path) -> None:
    """What was lost with a worker is done again."""
    jobs = [(number, str(tmp_path / "note")) for number in range(6)]
    assert Processes(2).map(killed_once, jobs) == list(range(6))
    assert (tmp_path / "note").exists()


def test_a_job_that_always_kills_is_named() -> None:
    """It is said which job ended its worker, and the others do not wait for ever."""
    with pytest.raises(UsageError, match="job 3 ended its worker"):
        Processes(2).map(always_killed, list(range(4)))


def test_what_a_job_raises_is_raised() -> None:
    """An error crosses from a worker whole: message, place and remedy."""
    with pytest.raises(ScenarioError, match=r"row\[2\]: this cannot be met; widen it"):
        Processes(2).map(wrong, list(range(4)))
