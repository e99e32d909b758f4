"""Memory of a kernel in which one practises on and on: five hundred fresh questions, answered by their keys.

What a question leaves behind would show as memory that grows with their number. Caches fill first: growth is counted
from the hundredth question on. The library that draws a record of heating up is loaded once, by the first question that
shows one: a record is drawn before, so that it is not counted as growth wherever that question comes. Forms are counted
beside it: those of earlier questions are closed. What suits next is asked for, so that questions come from all outcomes
and about all appliances.

    python tests/benchmarks/practice_memory.py --questions 500
"""

from __future__ import annotations

import argparse
import gc
import os
import shutil
import sys
import tempfile
from pathlib import Path

from probebook.assumptions import load_assumptions
from probebook.cases.library import library
from probebook.heating.controls import Thermostat
from probebook.heating.plots import record_svg
from probebook.heating.simulate import run
from probebook.heating.spaces import conventional_oven
from probebook.page.opening import RETURNED
from probebook.workbook import player
from probebook.workbook.forms.form import Form
from probebook.workbook.player import open_workbook

ROOT = Path(__file__).parents[2]
#: Megabytes by which memory may grow, and the question from which it is counted.
BAR = 20.0
FROM = 100


def resident() -> float:
    """Memory of this process that is in use and its own, MB."""
    gc.collect()
    fields = dict(
        line.split(":", maxsplit=1) for line in Path("/proc/self/smaps_rollup").read_text("utf-8").splitlines()[1:]
    )
    kilobytes = sum(int(fields[name].split()[0]) for name in ("Private_Clean", "Private_Dirty"))
    return kilobytes / 1024.0


def forms() -> int:
    """Forms that are still there."""
    return sum(isinstance(thing, Form) for thing in gc.get_objects())


def main() -> None:
    """Practise, and print memory every hundred questions."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--questions", type=int, default=200)
    parser.add_argument("--workbook", default="03-ohms-and-watts")
    parser.add_argument(
        "--folder", type=Path, default=ROOT, help="where a current build lies (default: the committed one)"
    )
    given = parser.parse_args()
    if not os.environ.keys() >= RETURNED.keys():  # as kernels are started; it counts from the start of a process only
        os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, **RETURNED})
    os.environ["PROBEBOOK_SCENARIOS"] = str(ROOT / "scenarios")
    player._display = lambda _: None
    trade = library()
    oven = conventional_oven(load_assumptions(ROOT / "scenarios"))
    record_svg(trade.words, run(oven, {"top": 1000.0, "base": 1300.0}, Thermostat(200.0), seconds=3600.0))
    before = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for name in ("workbooks", "answer_keys"):
            shutil.copytree(given.folder / name, Path(folder, name))
        book = open_workbook(given.workbook, folder=Path(folder, "workbooks"))
        book.practice()
        practice = book._practice
        assert practice is not None, "the workbooks are not of these scenarios: build them, or name a --folder"
        for number in range(1, given.questions + 1):
            practice.press("suits")
            assert practice.form is not None, practice.model.state
            practice.form.set(practice.form.question.key())
            practice.form.check()
            if number % FROM == 0:
                now = resident()
                before = before or now
                print(f"{number:4d} questions: {now:6.1f} MB, {forms()} forms", flush=True)
    grown = resident() - before
    print(f"grown by {grown:.1f} MB from question {FROM} to {given.questions}; the bar is {BAR:g} MB from 100 to 500")


if __name__ == "__main__":
    main()
