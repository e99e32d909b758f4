"""How ``probebook hub`` ends: whatever ended it, what was handed in is collected once more after all have stopped."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from probebook.api import hubbing
from probebook.cli.hub import command
from probebook.errors import UsageError
from probebook.hub.papers import Sitting

NUMBERS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


class Pretended:
    """A hub that is watched until something ends it; what was done with it."""

    def __init__(self, end: Callable[[], object], folder: Path) -> None:
        self.done: list[str] = []
        self.sitting, self.address, self.into, self._end = Sitting("T", "p", ()), "http://x/", folder, end

    def wait(self) -> None:
        """Be there."""
        self.done.append("wait")

    def watch(self, is_over: Callable[[], bool], came: object, troubled: Callable[[str], object]) -> None:
        """Go on until the end."""
        assert callable(came)
        troubled("the disk is full")
        self._end()
        assert is_over()

    def stop(self) -> None:
        """End."""
        self.done.append("stop")

    def collect(self, came: Callable[[str], object]) -> None:
        """Have a hand-in."""
        self.done.append("collect")
        came("x-ada.handin.json")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[Callable[[], object]], Any]]:
    """Run the command on a hub that ends so; the hub, and what the command gave. Signals are as before afterwards."""
    before = [signal.getsignal(number) for number in NUMBERS]
    signal.signal(signal.SIGHUP, signal.SIG_DFL)

    def ran(end: Callable[[], object]) -> tuple[Pretended, Any]:
        hub = Pretended(end, tmp_path)
        monkeypatch.setattr(hubbing, "open_hub", lambda *_: hub)
        line = [str(tmp_path), "--key", str(tmp_path / "x.key")]
        return hub, CliRunner().invoke(command, line, env={"PROBEBOOK_PASSPHRASE": "a passphrase for tests"})

    yield ran
    for number, handler in zip(NUMBERS, before, strict=True):
        signal.signal(number, handler)


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number.name)
def test_a_signal_stops_and_collects(number: signal.Signals, run: Any) -> None:
    """Ctrl-C, a stop of the machine, and a terminal that is closed end it alike."""
    hub, told = run(lambda: os.kill(os.getpid(), number))
    assert told.exception is None
    assert hub.done == ["wait", "stop", "collect"]
    assert "A round of collecting failed: the disk is full." in told.output
    assert told.output.index("Stopping") < told.output.index("Collected x-ada.handin.json")


def test_a_hub_that_ends_by_itself_is_collected_from_too(run: Any) -> None:
    """The error is said afterwards."""

    def fail() -> None:
        raise UsageError("the hub has ended")

    hub, told = run(fail)
    assert hub.done == ["wait", "stop", "collect"]
    assert "Collected x-ada.handin.json" in told.output
    assert str(told.exception) == "the hub has ended."
