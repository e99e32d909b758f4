"""Print how long it takes to make one proved case, beside executing one empty notebook.

Cases are of every appliance and level, each appliance's tables having been worked out once before (their cost is
printed too). The notebook has no cells and is executed by nbclient with a kernel of its own, as one would be that has
nothing to do. Run: ``python tests/benchmarks/cases.py``
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import nbformat
from nbclient import NotebookClient

from probebook.cases.generate import make_case
from probebook.cases.library import library

CASES, NOTEBOOKS = 12, 5


def timed(work: Callable[[], object]) -> float:
    """Seconds that a piece of work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def empty_notebook() -> object:
    """Execute a notebook without cells."""
    client = NotebookClient(nbformat.v4.new_notebook(), kernel_name="python3", shutdown_kernel="immediate")
    return client.execute()


def main() -> None:
    """Make cases of every appliance and level; print medians and ratios."""
    trade = library()
    first = [timed(lambda a=a: make_case(trade, a, "first", 1)) for a in trade.appliance_ids]
    print(f"first case of an appliance, tables included: median {statistics.median(first) * 1e3:.0f} ms")
    for appliance in trade.appliance_ids:
        for level in (1, 2, 3, 4):
            make_case(trade, appliance, "warm", level)
    everything: list[float] = []
    for level in (1, 2, 3, 4):
        times = [
            timed(lambda a=a, n=n, level=level: make_case(trade, a, f"bench {n}", level))
            for a in trade.appliance_ids
            for n in range(CASES)
        ]
        everything += times
        at = sorted(times)
        print(
            f"level {level}: median {statistics.median(at) * 1e3:5.1f} ms, "
            f"nine in ten within {at[len(at) * 9 // 10] * 1e3:5.0f} ms"
        )
    median = statistics.median(everything)
    empty_notebook()
    notebook = statistics.median(timed(empty_notebook) for _ in range(NOTEBOOKS))
    print(f"one proved case: median {median * 1e3:.1f} ms over {len(everything)} cases")
    print(f"one empty notebook executed: median {notebook * 1e3:.0f} ms; a case costs {median / notebook:.3f} of it")


if __name__ == "__main__":
    main()
