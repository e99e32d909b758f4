"""Print how long setting and marking a class of 30 with 20 questions takes, beside executing one empty notebook.

The notebook has no cells and is executed by nbclient with a kernel of its own. Every item is computed, none asks about
a case. Setting counts drawing, proving and writing papers and key; marking counts opening the key, reading and marking
30 hand-ins and writing marks and feedback. Run: ``python tests/benchmarks/assessment.py``
"""

from __future__ import annotations

import contextlib
import io
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import nbformat
from nbclient import NotebookClient

from probebook.api import assessing
from probebook.assessment.model import Learner
from probebook.assessment.setting.blueprints import find_blueprint, load_blueprint
from probebook.assessment.setting.papers import set_papers
from probebook.assessment.setting.writing import papers_as_text, write_set
from probebook.cases.library import library
from probebook.executor import Processes
from probebook.scenario_folder import scenarios_dir

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "assessment"))
from sitters import right, sit

LEARNERS, NOTEBOOKS, WORDS = 30, 5, "a passphrase for a benchmark"
ITEMS = {"watts": 3, "amps": 2, "other-voltage": 2, "hot-and-cold": 2, "leads": 3, "kind-of-fault": 2, "sheath": 2}


def timed(work: Callable[[], object]) -> tuple[float, object]:
    """Seconds that a piece of work takes, and what it gives."""
    start = time.perf_counter()
    given = work()
    return time.perf_counter() - start, given


def empty_notebook() -> object:
    """Execute a notebook without cells."""
    client = NotebookClient(nbformat.v4.new_notebook(), kernel_name="python3", shutdown_kernel="immediate")
    return client.execute()


def main() -> None:
    """Set, sit and mark a class; print ratios."""
    trade = library(scenarios_dir().resolve(), "gb", "en")
    shipped = load_blueprint(find_blueprint("element-testing", trade.folder), trade)
    rows = tuple(replace(row, items=ITEMS.get(row.id, 2)) for row in shipped.rows)
    blueprint = replace(shipped, rows=rows, band=(-3.0, 3.0))
    learners = [Learner(f"l{number}", f"Learner {number}") for number in range(LEARNERS)]
    empty = statistics.median(timed(empty_notebook)[0] for _ in range(NOTEBOOKS))
    print(f"an empty notebook: median of {NOTEBOOKS} {empty:.2f} s")
    with TemporaryDirectory() as name:
        folder = Path(name)
        pool = Processes(2)

        def set_class() -> Path:
            papers = set_papers(blueprint, learners, "f1" * 32, trade, "2030-01-01T00:00:00Z", pool)
            return write_set(papers, papers_as_text(papers, trade), folder, WORDS)

        seconds, key = timed(set_class)
        assert isinstance(key, Path)
        items = sum(row.items for row in rows)
        print(f"set {LEARNERS} x {items}, two processes: {seconds:.2f} s, {seconds / empty:.1f} notebooks")
        opened = assessing.open_key(key, WORDS)
        for paper in opened.papers:
            with contextlib.redirect_stdout(io.StringIO()):
                sit(folder / "papers", blueprint.paper_name(paper.learner), paper, right(paper))
        seconds, _ = timed(
            lambda: assessing.mark_folder(folder / "papers", assessing.open_key(key, WORDS), folder / "marks", trade)
        )
        print(f"mark {LEARNERS} x {items}, one process: {seconds:.2f} s, {seconds / empty:.1f} notebooks")


if __name__ == "__main__":
    main()
