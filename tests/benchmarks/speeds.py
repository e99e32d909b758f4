"""What building, checking, verifying and counting cost beside executing one empty notebook, in one run.

    python tests/benchmarks/speeds.py [build] [changed] [check] [coverage] [verify]

Printed are seconds on the clock and of the processors, and the ratio of each to an empty notebook (median of three),
with the bar. On a machine that does other things too only the second can be compared. ``changed`` is a build of which
one plan has changed since the build before, from what that one kept; ``coverage`` is held against loading what it is
made of. On two cores; bytecode is written first.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / "src"), str(Path(__file__).resolve().parent)]

from verifying import empty_notebook  # noqa: E402

EMPTY_RUNS = 3
#: The plan that is changed.
CHANGED = "your-meter.toml"
LOADING = "import probebook.cli.coverage, probebook.api.workbooks, probebook.api.reports, probebook.learning.coverage"


class Taken(NamedTuple):
    """Seconds on the clock, and of the processors in this process and those that it started."""

    wall: float
    cpu: float

    @classmethod
    def now(cls) -> Taken:
        """From some beginning on."""
        times = os.times()
        return cls(time.perf_counter(), time.process_time() + times.children_user + times.children_system)

    def since(self, start: Taken) -> Taken:
        """What passed since then."""
        return Taken(self.wall - start.wall, self.cpu - start.cpu)


def empty(folder: Path) -> Taken:
    """Executing an empty notebook."""
    start = Taken.now()
    empty_notebook(folder)
    return Taken.now().since(start)


class Runs:
    """Commands on a copy of the scenarios, with a folder for what they keep."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(TOP / "scenarios", folder / "scenarios")
        environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        self.environment = {"PYTHONPYCACHEPREFIX": str(folder / "bytecode"), **environment}
        self.environment |= {"PYTHONPATH": str(TOP / "src"), "PROBEBOOK_CACHE": str(folder / "kept")}

    def seconds(self, *line: str) -> Taken:
        """How long a Python command takes."""
        start = Taken.now()
        done = subprocess.run(
            [sys.executable, *line], cwd=self.folder, env=self.environment, capture_output=True, check=False
        )
        taken = Taken.now().since(start)
        if done.returncode:
            print(done.stderr.decode()[-400:])
        return taken

    def command(self, *arguments: str) -> Taken:
        """How long a command of ours takes."""
        return self.seconds("-m", "probebook", *arguments, "--scenarios", "scenarios")

    def change(self) -> None:
        """Change one plan by a word."""
        plan = self.folder / "scenarios" / "workbooks" / CHANGED
        plan.write_text(plan.read_text("utf-8").replace('seed = "', 'seed = "changed-', 1), "utf-8")


def main() -> None:
    """Print a line a command."""
    wanted = sys.argv[1:] or ["build", "changed", "check", "coverage", "verify"]
    with tempfile.TemporaryDirectory() as scratch:
        runs = Runs(Path(scratch))
        runs.command("check", "scenarios/alloys.toml")  # bytecode
        nothing = sorted(empty(runs.folder) for _ in range(EMPTY_RUNS))[EMPTY_RUNS // 2]
        print(f"empty notebook: {nothing.wall:.2f} s, {nothing.cpu:.2f} s of processors (median)", flush=True)

        def told(name: str, taken: Taken, bar: float, beside: Taken = nothing) -> None:
            ratios = f"{taken.wall / beside.wall:6.2f} x, {taken.cpu / beside.cpu:6.2f} x"
            print(f"{name:28} {taken.wall:7.2f} s, {taken.cpu:7.2f} s; {ratios}; bar {bar:g} x", flush=True)

        told("build, all from nothing", runs.command("build"), 25)
        if "changed" in wanted:
            told("build, nothing changed", runs.command("build"), 4)
            runs.change()
            told("build, one plan changed", runs.command("build"), 4)
        if "check" in wanted:
            told("check, nothing changed", runs.command("check"), 25)
        if "coverage" in wanted:
            loading = sorted(runs.seconds("-c", LOADING) for _ in range(EMPTY_RUNS))[EMPTY_RUNS // 2]
            told("coverage, first", runs.command("coverage"), 25)
            told("coverage, nothing changed", runs.command("coverage"), 2, loading)
        if "verify" in wanted:
            told("verify", runs.command("verify"), 50)


if __name__ == "__main__":
    main()
