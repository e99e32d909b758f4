"""A hub started, watched and stopped: what ``probebook hub`` does once everything was checked."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import quote
from urllib.request import ProxyHandler, build_opener

from probebook.assessment.model import PaperSet
from probebook.errors import UsageError
from probebook.hub.learners import user_of
from probebook.hub.papers import collect
from probebook.hub.settings import HubSettings

__all__ = ["RunningHub", "free_ports", "pages_of"]

#: How long (seconds) the hub may take to answer for the first time, and to end.
STARTING, ENDING = 90, 60
#: Seconds between two rounds of collecting, and between two looks at what goes on.
ROUND, LOOK = 10.0, 0.25
#: Addresses that mean all of this machine's.
EVERYWHERE = ("", "0.0.0.0", "::")


def pages_of(papers: PaperSet) -> dict[str, str]:
    """User → address of their paper's page below their server."""
    named = ((user_of(paper.learner), papers.blueprint.paper_name(paper.learner)) for paper in papers.papers)
    return {user: f"/probebook/paper/{quote(name)}" for user, name in named}


def free_ports() -> tuple[int, int, int]:
    """Three ports of this machine that nobody listens at."""
    held = [socket.create_server(("127.0.0.1", 0)) for _ in range(3)]
    one, two, three = (each.getsockname()[1] for each in held)
    for each in held:
        each.close()
    return one, two, three


class RunningHub:
    """The process of a hub.

    Parameters
    ----------
    told
        What it is started with.
    papers, into
        Whose hand-ins are collected, and where to.
    """

    def __init__(self, told: HubSettings, papers: PaperSet, into: Path) -> None:
        self._told, self._papers, self.into = told, papers, into
        self._log = Path(told.state) / "hub.log"
        with open(os.open(self._log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600), "ab") as log:  # noqa: PTH123
            self._process = subprocess.Popen(
                [sys.executable, "-m", "probebook.hub.running"],
                stdin=subprocess.PIPE,
                stdout=log,
                stderr=log,
                cwd=told.state,
                text=True,
                start_new_session=True,
            )
        assert self._process.stdin is not None
        with suppress(BrokenPipeError):
            self._process.stdin.write(told.as_text())
            self._process.stdin.flush()

    @property
    def address(self) -> str:
        """Where learners reach it."""
        scheme = "https" if self._told.certificate else "http"
        host = self._told.ip if self._told.ip not in EVERYWHERE else socket.gethostname()
        return f"{scheme}://{host}:{self._told.port}/"

    def wait(self) -> None:
        """Wait until hub and service answer; UsageError where they end first, or take too long."""
        hub, _, bench = self._told.ports
        until = time.monotonic() + STARTING
        ip = self._told.ip if self._told.ip not in EVERYWHERE else "127.0.0.1"
        for place, path in (
            (("127.0.0.1", hub), "/hub/health"),
            (("127.0.0.1", bench), "/"),
            ((ip, self._told.port), ""),
        ):
            while not _answers(place, path):
                if self._process.poll() is not None or time.monotonic() > until:
                    raise UsageError("the hub does not start", where=str(self._log), remedy="read the end of that file")
                time.sleep(LOOK)

    def watch(self, is_over: Callable[[], bool], came: Callable[[str], object]) -> None:
        """Collect hand-ins from time to time until it is over.

        Raises
        ------
        UsageError
            The hub has ended by itself.
        """
        next_round = time.monotonic() + ROUND
        while not is_over():
            time.sleep(LOOK)
            if self._process.poll() is not None:
                raise UsageError("the hub has ended", where=str(self._log), remedy="read the end of that file")
            if time.monotonic() >= next_round:
                self.collect(came)
                next_round = time.monotonic() + ROUND

    def collect(self, came: Callable[[str], object]) -> None:
        """Collect what was handed in and tell of each new file."""
        for name in collect(self._papers, self.into):
            came(name)

    def stop(self) -> None:
        """Stop the hub, its proxy, its service and the servers of the learners."""
        if self._process.poll() is None:
            self._process.send_signal(signal.SIGTERM)
            try:
                self._process.wait(ENDING)
            except subprocess.TimeoutExpired:
                self._process.kill()
                self._process.wait()
        if self._process.stdin is not None:
            with suppress(OSError):
                self._process.stdin.close()


def _answers(place: tuple[str, int], path: str) -> bool:
    """Whether somebody listens at an address and port, and, where a path is given, answers a question for it."""
    try:
        if not path:
            socket.create_connection(place, timeout=5).close()
        else:
            build_opener(ProxyHandler({})).open(f"http://{place[0]}:{place[1]}{path}", timeout=5).close()
    except HTTPError as error:
        error.close()
    except OSError:
        return False
    return True
