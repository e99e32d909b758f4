"""What building, checking, verifying and counting cost beside executing one empty notebook, in one run.

    python tests/benchmarks/speeds.py [build] [changed] [check] [coverage] [verify]

Printed are seconds and their ratio to an empty notebook (median of three) with the bar of each. ``changed`` is a build
of which one plan has changed since the build before, from what that one kept; ``coverage`` is held against loading what
it is made of. On two cores; run by themselves, bytecode is written first.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / "src"), str(Path(__file__).resolve().parent)]

from verifying import empty_notebook  # noqa: E402

EMPTY_RUNS = 3
#: The plan that is changed.
CHANGED = "your-meter.toml"
LOADING = "import probebook.cli.coverage, probebook.api.workbooks, probebook.api.reports, probebook.learning.coverage"


class Runs:
    """Commands on a copy of the scenarios, with a folder for what they keep."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(TOP / "scenarios", folder / "scenarios")
        environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        self.environment = {"PYTHONPYCACHEPREFIX": str(folder / "bytecode"), **environment}
        self.environment |= {"PYTHONPATH": str(TOP / "src"), "PROBEBOOK_CACHE": str(folder / "kept")}

    def seconds(self, *line: str) -> float:
        """How long a Python command takes."""
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, *line], cwd=self.folder, env=self.environment, capture_output=True, check=False
        )
        taken = time.perf_counter() - start
        if done.returncode:
            print(done.stderr.decode()[-400:])
        return taken

    def command(self, *arguments: str) -> float:
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
        empty = median(empty_notebook(runs.folder) for _ in range(EMPTY_RUNS))
        print(f"empty notebook: {empty:.2f} s (median of {EMPTY_RUNS})", flush=True)

        def told(name: str, taken: float, bar: float, beside: float = empty) -> None:
            print(f"{name:28} {taken:7.2f} s, {taken / beside:6.2f} x, bar {bar:g} x", flush=True)

        told("build, all from nothing", runs.command("build"), 25)
        if "changed" in wanted:
            told("build, nothing changed", runs.command("build"), 4)
            runs.change()
            told("build, one plan changed", runs.command("build"), 4)
        if "check" in wanted:
            told("check, nothing changed", runs.command("check"), 25)
        if "coverage" in wanted:
            loading = median(runs.seconds("-c", LOADING) for _ in range(EMPTY_RUNS))
            told("coverage, first", runs.command("coverage"), 25)
            told("coverage, nothing changed", runs.command("coverage"), 2, loading)
        if "verify" in wanted:
            told("verify", runs.command("verify"), 50)


if __name__ == "__main__":
    main()
