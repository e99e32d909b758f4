"""The time of a sitting: it goes on while the page is closed, and no setting of the clock turns it back."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from probebook.assessment.sitting.chain import Event

__all__ = ["Clock", "Now", "elapsed_since", "machine_clock"]

#: The clock of the machine may differ by so much (seconds) before it is said to have been set back.
SLACK = 2.0


@dataclass(frozen=True, slots=True)
class Now:
    """A moment: UTC (ISO 8601), seconds since the machine started, and what names that start (empty: unknown)."""

    time: str
    steady: float
    boot: str


Clock = Callable[[], Now]


def machine_clock() -> Now:
    """The present moment. Seconds since the start count the sleep of the machine where its system can (Linux)."""
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    steady = time.clock_gettime(boot) if boot is not None else time.monotonic()
    return Now(datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"), round(steady, 3), _boot_name())


def _boot_name() -> str:
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text("ascii").strip()
    except (OSError, UnicodeDecodeError):
        return ""


def elapsed_since(last: Event, now: Now) -> tuple[float, bool]:
    """Seconds of the sitting that have gone, and whether the clock was set back since the last event.

    Within one start of the machine its steady clock counts, whatever the other says. Across starts there is only the
    clock on the wall: time never runs backwards by it.
    """
    wall = seconds(now.time) - seconds(last.time)
    if now.boot and now.boot == last.boot and now.steady >= last.steady:
        steady = now.steady - last.steady
        return last.elapsed + steady, wall < steady - SLACK
    return last.elapsed + max(wall, 0.0), wall < -SLACK


def seconds(told: str) -> float:
    """Seconds of a time (UTC, ISO 8601) since 1970; ValueError where it is none."""
    return datetime.strptime(told, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC).timestamp()
