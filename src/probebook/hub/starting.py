"""A hub started, watched and stopped: what ``probebook hub`` does once everything was checked."""

from __future__ import annotations

import os
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from http.client import HTTPException
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import quote
from urllib.request import HTTPSHandler, ProxyHandler, build_opener

from probebook.errors import UsageError
from probebook.hub.papers import Sitting, collect
from probebook.hub.settings import HubSettings

__all__ = ["RunningHub", "pages_of"]

#: How long (seconds) the hub may take to answer for the first time, and to end.
STARTING, ENDING = 90, 60
#: Seconds between two rounds of collecting, and between two looks at what goes on.
ROUND, LOOK = 10.0, 0.25
#: Addresses that mean all of this machine's.
EVERYWHERE = ("", "0.0.0.0", "::")


def pages_of(sitting: Sitting) -> dict[str, str]:
    """User → address of their paper's page below their server."""
    return {user: f"/probebook/paper/{quote(name)}" for user, name in sitting.names}


class RunningHub:
    """The process of a hub.

    Parameters
    ----------
    told
        What it is started with.
    sitting, into
        Whose hand-ins are collected, and where to.
    """

    def __init__(self, told: HubSettings, sitting: Sitting, into: Path) -> None:
        self._told, self.sitting, self.into = replace(told, passphrase="", test_password=""), sitting, into
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
    def _scheme(self) -> str:
        return "https" if self._told.certificate else "http"

    @property
    def address(self) -> str:
        """Where learners reach it."""
        host = self._told.host if self._told.ip not in EVERYWHERE else socket.gethostname()
        return f"{self._scheme}://{host}:{self._told.port}/"

    def wait(self) -> None:
        """Wait until hub and service answer; UsageError where they end first, or take too long."""
        bench, until = self._told.ports[2], time.monotonic() + STARTING
        host = self._told.host if self._told.ip not in EVERYWHERE else "127.0.0.1"
        # Learners reach the hub through its proxy, which is told of it when all the rest is there.
        asked = ((f"http://127.0.0.1:{bench}/", 404), (f"{self._scheme}://{host}:{self._told.port}/hub/health", 200))
        for address, wanted in asked:
            while _status(address) != wanted:
                if self._process.poll() is not None or time.monotonic() > until:
                    raise UsageError("the hub does not start", where=str(self._log), remedy="read the end of that file")
                time.sleep(LOOK)

    def watch(
        self, is_over: Callable[[], bool], came: Callable[[str], object], troubled: Callable[[str], object]
    ) -> None:
        """Collect hand-ins from time to time until it is over.

        Parameters
        ----------
        is_over
            Asked whether it is.
        came
            Told the name of each new file.
        troubled
            Told why a round of collecting failed, once for as long as it does; the next is tried all the same.

        Raises
        ------
        UsageError
            The hub has ended by itself.
        """
        next_round, said = time.monotonic() + ROUND, ""
        while not is_over():
            time.sleep(LOOK)
            if self._process.poll() is not None:
                raise UsageError("the hub has ended", where=str(self._log), remedy="read the end of that file")
            if time.monotonic() >= next_round:
                try:
                    self.collect(came)
                    said = ""
                except UsageError as trouble:
                    if trouble.message != said:
                        said = trouble.message
                        troubled(said)
                next_round = time.monotonic() + ROUND

    def collect(self, came: Callable[[str], object]) -> None:
        """Collect what was handed in and tell of each new file; UsageError where that fails."""
        for name in collect(self.sitting, self.into):
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


def _status(address: str) -> int:
    """The status that is answered; 0 where nobody listens. Who it is that answers is not looked into."""
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    try:
        with build_opener(ProxyHandler({}), HTTPSHandler(context=context)).open(address, timeout=5) as answer:
            return int(answer.status)
    except HTTPError as error:
        error.close()
        return error.code
    except (OSError, HTTPException):
        return 0
