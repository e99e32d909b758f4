"""Print how long ``import probebook`` and its ground floor take, as a share of ``import ipywidgets``.

Each figure is the median of nine fresh interpreters, the candidates taking turns, less an empty start.
Run: ``python tests/benchmarks/startup.py``
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

RUNS = 9
SOURCE = Path(__file__).resolve().parents[2] / "src"
CANDIDATES = {
    "an empty start": "pass",
    "ipywidgets": "import ipywidgets",
    "probebook": "import probebook",
    "probebook.units": "import probebook.units",
    "probebook.textfiles": "import probebook.textfiles",
    "first quantity read": "from probebook.units import parse; parse('47 ohm', 'ohm')",
}


def seconds(code: str) -> float:
    """Return the wall time of one fresh interpreter that runs ``code``."""
    environment = {**os.environ, "PYTHONPATH": f"{SOURCE}{os.pathsep}{os.environ.get('PYTHONPATH', '')}"}
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, env=environment)
    return time.perf_counter() - start


def main() -> None:
    """Measure the candidates in turn and print each as a share of ipywidgets."""
    for code in CANDIDATES.values():  # once unmeasured, so that compiled files and disk caches exist
        seconds(code)
    times: dict[str, list[float]] = {name: [] for name in CANDIDATES}
    for _ in range(RUNS):
        for name, code in CANDIDATES.items():
            times[name].append(seconds(code))
    medians = {name: statistics.median(values) for name, values in times.items()}
    empty = medians.pop("an empty start")
    reference = medians["ipywidgets"] - empty
    print(f"import time as a share of ipywidgets ({reference * 1000:.0f} ms here), median of {RUNS}:")
    for name, value in medians.items():
        print(f"  {name:<22} {(value - empty) / reference:6.3f}")


if __name__ == "__main__":
    main()
