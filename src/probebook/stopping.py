"""Ctrl-C ends a command within a second, whatever it is at; and what a command started ends when the command does.

Python tells the main thread of Ctrl-C between two of its own steps. A long step of some library, or waiting for other
threads to end, would put that off; so a thread of its own listens too, and ends the process where it does not end by
itself. A process that is killed tells nobody: those it started watch for its end.
"""

from __future__ import annotations

import atexit
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

__all__ = [
    "STOPPED",
    "at_once",
    "done",
    "end",
    "end_kernel",
    "end_soon",
    "end_with_input",
    "end_with_parent",
    "ended",
    "held",
    "let_go",
    "listen",
    "was_asked",
]

#: Exit code of a command that was stopped: 128 and the number of the signal.
STOPPED = 130
#: Seconds that a command has to end by itself.
PATIENCE = 0.6
#: Seconds that steps which belong together may take on after that.
LONGEST_HOLD = 10.0

_SAID = b"probebook: stopped; nothing half-written was left behind\n"


class _Asked:
    """What is known of this process's being stopped."""

    def __init__(self) -> None:
        self.asked = False
        self.said = False
        self.holds = 0
        self.over = threading.Event()
        self.acts: list[Callable[[], object]] = []


_asked = _Asked()


def was_asked() -> bool:
    """Whether this process was asked to stop."""
    return _asked.asked


def listen() -> None:
    """Let Ctrl-C end this process within a second; to be called in the main thread.

    Nothing is done where whoever started the process has Ctrl-C ignored.
    """
    if threading.current_thread() is not threading.main_thread():
        return
    if signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        return
    heard, told = os.pipe()
    os.set_blocking(told, False)
    threading.Thread(target=_wait, args=(heard,), daemon=True).start()
    signal.set_wakeup_fd(told, warn_on_full_buffer=False)
    signal.signal(signal.SIGINT, _stop)
    sys.unraisablehook = _unraisable
    atexit.register(
        signal.signal, signal.SIGINT, signal.SIG_IGN
    )  # what was asked for is done: leaving is all that is left


def end_soon(said: str) -> None:
    """Let a server end by itself, and end it where it does not in good time, with a line on standard output.

    The one that ends by itself says so with :func:`ended`.
    """

    def leave() -> None:
        if _asked.over.wait(PATIENCE):
            time.sleep(PATIENCE)  # it is all but gone
            os._exit(0)
        for act in reversed(_asked.acts):
            with suppress(Exception):
                act()
        with suppress(OSError):
            os.write(1, f"{said}\n".encode())
        os._exit(0)

    threading.Thread(target=leave, daemon=True).start()


def ended() -> None:
    """Say that a server has ended by itself."""
    _asked.over.set()


def done() -> None:
    """Say that a command has done what was asked: from here on there is nothing that Ctrl-C could stop."""
    if signal.getsignal(signal.SIGINT) is _stop:
        signal.signal(signal.SIGINT, signal.SIG_IGN)


def let_go() -> None:
    """Leave Ctrl-C to somebody else from here on; to be called in the main thread."""
    with suppress(ValueError):
        signal.set_wakeup_fd(-1)


def _stop(number: int, frame: object) -> None:
    del number, frame
    again, _asked.asked = _asked.asked, True
    if not again and not _asked.holds:
        raise KeyboardInterrupt


def _wait(heard: int) -> None:
    while os.read(heard, 1)[0] != signal.SIGINT:
        pass
    time.sleep(PATIENCE)
    until = time.monotonic() + LONGEST_HOLD
    while _asked.holds and time.monotonic() < until:
        time.sleep(0.01)
    _asked.asked = True
    _leave()


def _unraisable(told: Any) -> None:
    """Where nobody could be told of Ctrl-C, nothing is printed about it: the process ends all the same."""
    if not (_asked.asked and issubclass(told.exc_type, KeyboardInterrupt)):
        sys.__unraisablehook__(told)


def end() -> None:
    """Say that the command was stopped and end it; threads that are still at something are not waited for."""
    _asked.asked = True
    _say()
    if any(not each.daemon for each in threading.enumerate() if each is not threading.main_thread()):
        _leave()
    sys.exit(STOPPED)


def _leave() -> None:
    for act in reversed(_asked.acts):
        with suppress(Exception):
            act()
    _say()
    with suppress(Exception):
        sys.stdout.flush()
    os._exit(STOPPED)


def _say() -> None:
    """One line, past whatever stands in the buffers: the main thread may hold them."""
    if not _asked.said:
        _asked.said = True
        with suppress(OSError):
            os.write(2, _SAID)


@contextmanager
def at_once(act: Callable[[], object]) -> Iterator[None]:
    """Have ``act`` done before the process is ended from within this block without its own doing."""
    _asked.acts.append(act)
    try:
        yield
    finally:
        _asked.acts.remove(act)


@contextmanager
def held() -> Iterator[None]:
    """Put Ctrl-C off while a few steps that belong together are taken; a process started meanwhile never hears it."""
    mask = getattr(signal, "pthread_sigmask", None)
    before = mask(signal.SIG_BLOCK, {signal.SIGINT}) if mask else ()
    was_asked_before = _asked.asked
    _asked.holds += 1
    try:
        yield
    finally:
        _asked.holds -= 1
        if mask:
            mask(signal.SIG_SETMASK, before)
    if _asked.asked and not was_asked_before and threading.current_thread() is threading.main_thread():
        raise KeyboardInterrupt


def end_kernel(manager: Any) -> None:
    """End the process of a kernel, and what it started; OSError where that has gone meanwhile.

    Parameters
    ----------
    manager
        The kernel manager of Jupyter's client that holds it.
    """
    number = getattr(manager.provisioner, "pid", None)
    if number is not None:
        if os.name == "posix":
            os.killpg(number, signal.SIGKILL)
        else:
            os.kill(number, signal.SIGTERM)


def end_with_parent() -> None:
    """In a worker process: leave Ctrl-C to the process that started it, and end when that one ends."""
    from multiprocessing import parent_process
    from multiprocessing.connection import wait

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = parent_process()
    if parent is not None:
        _when(lambda: wait([parent.sentinel]))


def end_with_input() -> None:
    """In a process that was started with a pipe as its input: end when the other end is closed."""
    _when(lambda: os.read(0, 1))


def _when(waited: Callable[[], object]) -> None:
    def watch() -> None:
        waited()
        os._exit(STOPPED)

    threading.Thread(target=watch, daemon=True).start()
