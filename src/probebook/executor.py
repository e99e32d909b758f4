"""Many jobs at once, behind one small interface: in this process, in several, or on whatever else can map.

Jobs and results are plain data that pickles; a job depends on nothing but itself, so every executor gives the same
results in the same order.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol, TypeVar

from probebook import stopping
from probebook.errors import ProbebookError, UsageError

__all__ = ["Executor", "Processes", "Serial"]

J = TypeVar("J")
R = TypeVar("R")


class Executor(Protocol):
    """What runs jobs."""

    def map(self, function: Callable[[J], R], jobs: Sequence[J], done: Callable[[], object] | None = None) -> list[R]:
        """The results of the jobs, in their order; ``done`` is called after each. What a job raises is raised."""


@dataclass(frozen=True, slots=True)
class Serial:
    """One after the other, here."""

    def map(self, function: Callable[[J], R], jobs: Sequence[J], done: Callable[[], object] | None = None) -> list[R]:
        """The results of the jobs, in their order."""
        found = []
        for job in jobs:
            found.append(function(job))
            if done:
                done()
        return found


@dataclass(frozen=True, slots=True)
class Processes:
    """Worker processes on this machine; a worker that is killed loses nothing.

    A killed worker breaks its pool and all that waits in it. What was lost is tried again in a fresh pool, then one job
    at a time, so that a job that kills its worker is the only one that fails.
    """

    workers: int = 2

    def map(self, function: Callable[[J], R], jobs: Sequence[J], done: Callable[[], object] | None = None) -> list[R]:
        """The results of the jobs, in their order.

        Raises
        ------
        UsageError
            A job ended its worker every time.
        """
        if self.workers < 2 or len(jobs) < 2:
            return Serial().map(function, jobs, done)
        found: dict[int, R] = {}
        waiting = list(range(len(jobs)))
        for workers in (self.workers, self.workers, 1):
            lots = [[number] for number in waiting] if workers == 1 else [waiting]
            for lot in lots:
                found.update(_together(function, {number: jobs[number] for number in lot}, workers, done))
            waiting = [number for number in waiting if number not in found]
            if not waiting:
                return [found[number] for number in range(len(jobs))]
        raise UsageError(f"job {waiting[0] + 1} ended its worker each time", remedy="run it with --jobs 1")


def _sweeper() -> None:
    """Start the process of Python's that clears up after this one, so that it does it in silence.

    After Ctrl-C it clears up too, and has nothing to tell that anybody could act on.
    """
    from multiprocessing import resource_tracker

    before = os.environ.get("PYTHONWARNINGS")
    os.environ["PYTHONWARNINGS"] = "ignore"
    try:
        resource_tracker.ensure_running()
    finally:
        del os.environ["PYTHONWARNINGS"]
        if before is not None:
            os.environ["PYTHONWARNINGS"] = before


def _together(
    function: Callable[[J], R], jobs: dict[int, J], workers: int, done: Callable[[], object] | None
) -> dict[int, R]:
    """The results of as many jobs as came to an end before a worker was lost."""
    from concurrent.futures import ProcessPoolExecutor, as_completed
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import get_context

    found: dict[int, R] = {}
    if os.name == "posix":
        _sweeper()
    pool = ProcessPoolExecutor(
        min(workers, len(jobs)), mp_context=get_context("spawn"), initializer=stopping.end_with_parent
    )
    try:
        futures = {}
        with suppress(BrokenProcessPool), stopping.held():  # workers leave Ctrl-C to this process
            for number, job in jobs.items():
                futures[pool.submit(function, job)] = number
        for future in as_completed(futures):
            if not isinstance(future.exception(), BrokenProcessPool):
                found[futures[future]] = future.result()
                if done:
                    done()
    except ProbebookError:
        pool.shutdown(cancel_futures=True)
        raise
    except BaseException:
        for worker in list((pool._processes or {}).values()):
            worker.kill()
        pool.shutdown(cancel_futures=True)
        raise
    pool.shutdown()
    return found
