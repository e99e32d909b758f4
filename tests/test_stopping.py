"""Ctrl-C ends a process within a second, and processes end with the one that started them."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from probebook import stopping

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals are sent as POSIX has them")

SAID = "probebook: stopped; nothing half-written was left behind\n"


def started(code: str, *arguments: str) -> subprocess.Popen[str]:
    """Run code that prints a line when it is ready; in a session of its own, as a terminal gives."""
    process = subprocess.Popen(
        [sys.executable, "-c", code, *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    return process


def stopped(process: subprocess.Popen[str]) -> tuple[int, str]:
    """Press Ctrl-C; exit code and what was said."""
    time.sleep(0.1)
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate(timeout=20)
    return process.returncode, said


BUSY = {
    "a loop": "while True: pass",
    "one long step of a library": "import hashlib; hashlib.pbkdf2_hmac('sha256', b'p', b's', 10**9)",
    "a thread that does not end": "import threading; threading.Thread(target=lambda: time.sleep(60)).start()",
    "an end that swallows it": """
while True:
    try: time.sleep(60)
    except BaseException: pass
""",
    "a callback that nobody hears": """
import weakref
class Thing: pass
def loop(_):
    while True: pass
thing = Thing(); told = weakref.ref(thing, loop); del thing
""",
    "an error made of it": """
try: time.sleep(60)
except KeyboardInterrupt: raise RuntimeError from None
""",
}


@pytest.mark.parametrize("busy", BUSY)
def test_whatever_it_is_at_it_ends_with_one_line(busy: str) -> None:
    """Exit code 130 and one line, soon, though the main thread may never hear of it."""
    code = f"""
import sys, time
from probebook import stopping
stopping.listen()
try:
    print("ready", flush=True)
    exec({BUSY[busy]!r})
    time.sleep(60)
except BaseException:
    stopping.end()
"""
    process = started(code)
    start = time.monotonic()
    assert stopped(process) == (130, SAID)
    assert time.monotonic() - start < 15  # a second where the machine is free: tests/tools/kill_at_random.py --stop


def test_steps_that_belong_together_are_finished_first() -> None:
    """Ctrl-C within them comes after them."""
    code = """
import sys, time
from probebook import stopping
stopping.listen()
try:
    with stopping.held():
        print("ready", flush=True)
        end = time.monotonic() + 1.5
        while time.monotonic() < end: pass
        sys.stderr.write("both\\n")
    sys.stderr.write("on\\n")
except KeyboardInterrupt:
    stopping.end()
"""
    assert stopped(started(code)) == (130, f"both\n{SAID}")


def test_acts_are_done_where_the_process_cannot_end_by_itself(tmp_path: Path) -> None:
    """What was to be done at once is done, and what is over is not."""
    code = """
import hashlib, sys
from pathlib import Path
from probebook import stopping
stopping.listen()
place = Path(sys.argv[1])
with stopping.at_once((place / "over").touch):
    pass
with stopping.at_once((place / "now").touch):
    print("ready", flush=True)
    hashlib.pbkdf2_hmac("sha256", b"p", b"s", 10**9)
"""
    assert stopped(started(code, str(tmp_path))) == (130, SAID)
    assert [path.name for path in tmp_path.iterdir()] == ["now"]


def test_where_ctrl_c_is_ignored_it_stays_so() -> None:
    """Whoever started the process had it ignored: it goes on."""
    code = """
import signal, sys, time
from probebook import stopping
signal.signal(signal.SIGINT, signal.SIG_IGN)
stopping.listen()
print("ready", flush=True)
time.sleep(0.5)
"""
    assert stopped(started(code)) == (0, "")


def test_what_somebody_else_takes_over_is_theirs() -> None:
    """A server that has let go stops in its own way and time."""
    code = """
import signal, sys, time
from probebook import stopping
stopping.listen()
stopping.let_go()
signal.signal(signal.SIGINT, lambda *_: sys.stderr.write("theirs\\n"))
print("ready", flush=True)
end = time.monotonic() + 1.5
while time.monotonic() < end: time.sleep(0.05)
"""
    assert stopped(started(code)) == (0, "theirs\n")


def is_running(number: int) -> bool:
    """Whether a process is there and no mere entry of one that ended."""
    try:
        state = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


def gone(numbers: list[int]) -> bool:
    """Whether all of some processes end soon."""
    until = time.monotonic() + 20
    while time.monotonic() < until and any(is_running(number) for number in numbers):
        time.sleep(0.05)
    return not any(is_running(number) for number in numbers)


POOL = """
import os, sys, time
from probebook import stopping
from probebook.executor import Processes
def job(number):
    with open(sys.argv[1] if len(sys.argv) > 1 else os.environ["NOTE"], "a") as note:
        note.write(f"{os.getpid()}\\n")
    time.sleep(600)
if __name__ == "__main__":
    stopping.listen()
    print("ready", flush=True)
    try:
        Processes(2).map(job, range(4))
    except KeyboardInterrupt:
        stopping.end()
"""


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes are looked up in /proc")
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGKILL])
def test_workers_end_with_the_process_that_started_them(tmp_path: Path, sent: int) -> None:
    """Stopped or killed, its workers end too, and none of them has a word to say."""
    script, note = tmp_path / "pool.py", tmp_path / "note"
    script.write_text(POOL)
    process = subprocess.Popen(
        [sys.executable, str(script)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env={**os.environ, "NOTE": str(note)},
    )
    until = time.monotonic() + 60
    while time.monotonic() < until and not (note.exists() and len(note.read_text().split()) == 2):
        time.sleep(0.05)
    workers = [int(number) for number in note.read_text().split()]
    os.killpg(process.pid, sent) if sent == signal.SIGINT else process.kill()
    _, said = process.communicate(timeout=20)
    assert said == (SAID if sent == signal.SIGINT else "")
    assert gone(workers)


def test_a_process_ends_with_its_input() -> None:
    """The other end of the pipe is closed: it ends."""
    code = """
import time
from probebook import stopping
stopping.end_with_input()
print("ready", flush=True)
time.sleep(600)
"""
    process = started(code)
    assert process.stdin is not None
    process.stdin.close()
    assert process.wait(20) == stopping.STOPPED
    for pipe in (process.stdout, process.stderr):
        assert pipe is not None
        pipe.close()
