"""Commands and a kernel killed, or stopped by Ctrl-C, at random moments; what is on disk then, and after the next run.

Half of the moments are drawn over the whole of a run, half from the moment on at which the first file is staged. Of a
killed command nothing may be half-written, and no notebook may find the key of another build; the next run works, or
says in one sentence why not, and sweeps what the killed one left. Of a stopped one nothing at all may be left, no file
and no process, and it ends within a second.

    python tests/tools/kill_at_random.py --moments 200               # kill -9, each command
    python tests/tools/kill_at_random.py --stop --moments 40 verify  # Ctrl-C, one command
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from command_trials import OURS, Trial, environment, line_of, must, prepared, trials

from probebook.files import TEMPORARY_SUFFIX
from probebook.workbook.journal import read_journal
from progress_lines import without_progress

#: Of the whole of a run, the part up to which moments are drawn; seconds after its first write up to which they are.
WHOLE, WRITING = 1.05, 0.03
#: Seconds that a stopped command has; a machine that is busy with other things is given more by the caller.
BAR = 1.0
#: Exit codes of a command that was stopped or had just ended; a shell shows the signal, which Python itself may leave
#: with where it stood in code made of a string, as 130 too.
ENDED = (130, -signal.SIGINT, 0, 1)
#: Seconds after which a process that a killed one started must have ended by itself.
ORPHANS = 8.0


@dataclass
class Tally:
    """What came of the moments of one trial."""

    name: str
    moments: int = 0
    ended_first: int = 0
    slowest: float = 0.0
    wrong: list[str] = field(default_factory=list)

    def line(self) -> str:
        """One line to read."""
        return (
            f"{self.name:9} {self.moments:4d} moments, {self.ended_first} after the end, "
            f"slowest end {self.slowest:.2f} s, {len(self.wrong)} findings"
        )


# ---------------------------------------------------------------- moments


def stray(folder: Path) -> list[str]:
    """Files that are there for a while only."""
    return [str(path.relative_to(folder)) for path in folder.rglob(f"*{TEMPORARY_SUFFIX}")] + [
        f"tmp/{path.name}" for path in (folder / "tmp").iterdir() if not path.name.endswith(TEMPORARY_SUFFIX)
    ]


def running(folder: Path) -> list[int]:
    """Processes that were started in this trial and still run."""
    mark = f"{OURS}={folder}".encode()
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):
            state = (place / "stat").read_text().rpartition(")")[2].split()[0]
            if state != "Z" and mark in (place / "environ").read_bytes().split(b"\0"):
                found.append(int(place.name))
    return [number for number in found if number != os.getpid()]


def wait_for_write(process: subprocess.Popen[bytes], folder: Path, until: float) -> None:
    """Return when the first file is staged in a folder, or the process has ended."""
    while time.monotonic() < until and process.poll() is None:
        if folder.is_dir() and any(folder.rglob(f".*{TEMPORARY_SUFFIX}")):
            return
        time.sleep(0.0005)


def wait_until_it_listens(process: subprocess.Popen[bytes]) -> None:
    """Return when a command has a thread that listens for Ctrl-C: before that there is only the interpreter."""
    with suppress(OSError):
        while process.poll() is None and len(list(Path(f"/proc/{process.pid}/task").iterdir())) < 2:
            time.sleep(0.001)


def usual_seconds(trial: Trial, folder: Path) -> float:
    """How long the command takes when it is left alone."""
    trial.before(folder, 1)
    start = time.monotonic()
    done = subprocess.run(line_of(*trial.line), cwd=folder, env=environment(folder), capture_output=True, check=False)
    if done.returncode:
        raise SystemExit(f"{trial.name} does not work by itself: {done.stderr.decode()}")
    return time.monotonic() - start


def run_trial(trial: Trial, folder: Path, moments: int, rng: random.Random, *, stop: bool, bar: float = BAR) -> Tally:
    """Kill or stop a command at so many moments; what was found."""
    usual = usual_seconds(trial, folder)
    tally = Tally(trial.name)
    for number in range(moments):
        trial.before(folder, number)
        process = subprocess.Popen(
            line_of(*trial.line),
            cwd=folder,
            env=environment(folder),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            start_new_session=True,
        )
        if number % 2 and trial.writes != "none":
            wait_for_write(process, folder / trial.writes, time.monotonic() + 20 * usual)
            time.sleep(rng.uniform(0.0, WRITING))
        else:
            time.sleep(rng.uniform(0.0, WHOLE * usual))
        if stop:
            wait_until_it_listens(process)
        tally.moments += 1
        tally.ended_first += process.poll() is not None
        end(process, folder, tally, stop=stop, bar=bar)
        look(trial, folder, tally, f"moment {number}", after_stop=stop)
        if not stop and number % 8 in (6, 7):
            run_again(trial, folder, tally, f"after moment {number}")
    if not stop:
        run_again(trial, folder, tally, "at the end")
    return tally


def end(process: subprocess.Popen[bytes], folder: Path, tally: Tally, *, stop: bool, bar: float) -> None:
    """End a process and all it started; note what it says and how long that takes."""
    ran = process.poll() is None
    start = time.monotonic()
    if not stop:
        process.kill()  # that alone: what it started has to notice
    elif ran:
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does
    try:
        _, said = process.communicate(timeout=30)
    except subprocess.TimeoutExpired:
        tally.wrong.append("did not end in 30 s")
        process.kill()
        _, said = process.communicate()
    took = time.monotonic() - start
    text = said.decode("utf-8", "replace")
    if "Traceback" in text:
        tally.wrong.append(f"traceback: {text.strip().splitlines()[-1]}")
    if stop and ran:
        tally.slowest = max(tally.slowest, took)
        lines = [line for line in without_progress(text).splitlines() if line]  # after ^C a new line is begun
        if took > bar:
            tally.wrong.append(f"took {took:.2f} s to end")
        if process.returncode not in ENDED:
            tally.wrong.append(f"exit code {process.returncode}: {text[-200:]}")
        if len(lines) > 1:
            tally.wrong.append(f"{len(lines)} lines: {text[-300:]}")
    limit = time.monotonic() + (max(ORPHANS, bar) if not stop else bar)
    while (left := running(folder)) and time.monotonic() < limit:
        time.sleep(0.02)
    for number in left:
        tally.wrong.append(f"left the process {number}")
        with suppress(OSError):
            os.kill(number, signal.SIGKILL)


def look(trial: Trial, folder: Path, tally: Tally, when: str, *, after_stop: bool) -> None:
    """Look at what is on disk."""
    tally.wrong += [f"{when}: {found}" for found in trial.sound(folder)]
    if after_stop:
        tally.wrong += [f"{when}: left {name}" for name in stray(folder)]


def run_again(trial: Trial, folder: Path, tally: Tally, when: str) -> None:
    """The next run works or says one clear sentence, and leaves nothing stray."""
    done = subprocess.run(line_of(*trial.line), cwd=folder, env=environment(folder), capture_output=True, check=False)
    said = without_progress(done.stderr.decode()).splitlines()
    if done.returncode and not (trial.refused and len(said) == 1 and trial.refused in said[0]):
        tally.wrong.append(f"{when}, the next run: {done.stderr.decode()[-300:]}")
    if done.returncode and trial.refused:
        shutil.rmtree(folder / trial.writes)  # as it says
    tally.wrong += [f"{when}, after the next run: left {name}" for name in stray(folder)]
    tally.wrong += [f"{when}, after the next run: {found}" for found in trial.sound(folder)]


# ---------------------------------------------------------------- a kernel

_KERNEL = """
import sys
from pathlib import Path
from probebook.workbook import player
from probebook.workbook.player import open_workbook
player._display = lambda _: None
book = open_workbook("07-small", folder=Path("workbooks"))
print("open", flush=True)
number = int(sys.argv[1])
while True:
    number += 1
    form = book.form("q01")
    form.set(dict.fromkeys(form.question.key(), f"{number} W"))
    form.check()
    print("kept", number, book._trouble, flush=True)
"""


def kernel_from(folder: Path, number: int) -> subprocess.Popen[str]:
    """A kernel's process in which one answer after the other is given, from a number on; opened already."""
    process = subprocess.Popen(
        [sys.executable, "-c", _KERNEL, str(number)],
        cwd=folder,
        env=environment(folder),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    process.stdout.readline()
    return process


def acknowledged(text: str) -> list[int]:
    """The answers of which a kernel said that they are saved, each in a whole line."""
    whole = [line.split() for line in text.splitlines(keepends=True) if line.endswith("\n")]
    return [int(words[1]) for words in whole if words[0] == "kept"]


def kernel_trial(folder: Path, moments: int, rng: random.Random) -> Tally:
    """What a kernel said was saved is in the journal, once, whenever it is killed."""
    tally = Tally("kernel")
    told: list[int] = []
    usual = 0.0
    for _ in range(moments + 1):
        process = kernel_from(folder, 1000 + 1000 * tally.moments)
        assert process.stdout is not None
        start = time.monotonic()
        first = ""
        if not usual:  # how long ten answers take
            first = "".join(process.stdout.readline() for _ in range(10))
            usual = time.monotonic() - start
        else:
            time.sleep(rng.uniform(0.0, usual))
        process.kill()
        out, err = process.communicate()
        tally.wrong += [err[-200:]] if err else []
        told += acknowledged(first + out)
        tally.moments += 1
    history = read_journal(folder / "workbooks" / "07-small.answers.jsonl", origin="07-small")
    given = [next(iter(entry.response.values())) for entry in history.entries]
    counts = {number: given.count(f"{number} W") for number in told}
    tally.wrong += [
        f"{number} was acknowledged and is there {count} times" for number, count in counts.items() if count != 1
    ]
    tally.wrong += [f"twice: {each}" for each in given if given.count(each) > 1]
    tally.wrong += [str(problem) for problem in history.problems]
    tally.wrong += [] if told else ["nothing was acknowledged"]
    tally.name = f"kernel ({len(told)} acknowledged, {len(given)} saved)"
    again = kernel_from(folder, 1)  # the next run takes away what a killed one had begun to write
    again.kill()
    again.communicate()
    must(folder, "verify", "--scenarios", "scenarios")
    tally.wrong += [f"left {name}" for name in stray(folder)]
    return tally


def main() -> int:
    """Try each command that is named, or all; exit 1 when something was found."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("names", nargs="*")
    parser.add_argument("--moments", type=int, default=8)
    parser.add_argument("--stop", action="store_true", help="Ctrl-C instead of kill -9")
    parser.add_argument("--bar", type=float, default=BAR)
    parser.add_argument("--seed", type=int, default=20261127)
    parser.add_argument("--folder", type=Path, help="where to work; what was prepared there before serves again")
    given = parser.parse_args()
    known = trials()
    bad = 0
    with tempfile.TemporaryDirectory() as place:
        folder = (given.folder or Path(place)).resolve() / "trial"
        if not folder.exists():
            folder.mkdir(parents=True)
            prepared(folder)
        for name in given.names or [*known, *([] if given.stop else ["kernel"])]:
            rng = random.Random(f"{given.seed}/{name}")
            if name == "kernel":
                tally = kernel_trial(folder, given.moments, rng)
            else:
                tally = run_trial(known[name], folder, given.moments, rng, stop=given.stop, bar=given.bar)
            print(tally.line(), flush=True)
            for each in dict.fromkeys(tally.wrong):
                print(f"    {each}", flush=True)
            bad += len(tally.wrong)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
