"""What verifying a workbook costs beside executing an empty notebook, in one run.

    python tests/benchmarks/verifying.py [PART OF A NAME]

For each committed workbook: seconds to run it with nbclient and answer every question with its key, each of its slips,
a blank and rubbish through its own widgets; beside it the bar, 1.5 × an empty notebook plus 30 ms a question. One at a
time, each with a kernel of its own.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from statistics import median

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP / "src"))

import nbformat  # noqa: E402
from jupyter_client.manager import KernelManager  # noqa: E402
from nbclient import NotebookClient  # noqa: E402

from probebook.workbook.verifying import run_notebook  # noqa: E402

EMPTY_RUNS = 5


def empty_notebook(folder: Path) -> float:
    """Return the seconds that an empty notebook takes, its kernel started and stopped as the verifier does."""
    start = time.perf_counter()
    manager = KernelManager(kernel_name="python3", transport="ipc", ip=str(folder / f"{time.monotonic_ns()}.socket"))
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("pass")])
    NotebookClient(book, km=manager, shutdown_kernel="immediate").execute(cleanup_kc=True)
    return time.perf_counter() - start


def main() -> None:
    """Print a line a workbook."""
    part = sys.argv[1] if len(sys.argv) > 1 else ""
    books = [path for path in sorted((TOP / "workbooks").glob("*.ipynb")) if part in path.stem]
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        empty = median(empty_notebook(folder) for _ in range(EMPTY_RUNS))
        print(f"empty notebook: {empty:.2f} s (median of {EMPTY_RUNS})")
        for path in books:
            found = run_notebook(path, TOP / "answer_keys" / f"{path.stem}.json", folder / path.stem)
            bar = 1.5 * empty + 0.030 * found.questions
            print(
                f"{path.stem:50} {found.questions:3d} questions, {found.attempts:4d} answers: {found.seconds:5.2f} s, "
                f"bar {bar:5.2f} s, ratio {found.seconds / bar:4.2f}"
            )


if __name__ == "__main__":
    main()
