"""Build everything while every product, inverse and decomposition of matrices errs at random, and compare the bytes.

    python tests/tools/noisy_build.py --seeds 5 [--jobs 2] [--workbook STEM]

Another processor or another build of the linear algebra rounds the last digits otherwise. Here each element of what
:mod:`probebook.numerics.matrices` gives back is off by a random part of up to one in 10^13, some five hundred times
what double precision rounds to, drawn anew for every call. The committed workbooks and keys must come out the same for
every seed. The exit status is 1 when a file differs, and the file is named.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from probebook.numerics import matrices

ROOT = Path(__file__).resolve().parents[2]
#: The part of a value that it errs by at most.
NOISE = 1e-13


class Noisy:
    """Stands in for numpy in the module of matrices: the same calls, and every element a little off."""

    def __init__(self, seed: int, part: float = NOISE) -> None:
        self._rng, self._part = np.random.default_rng(seed), part
        self.calls = 0
        self.linalg = SimpleNamespace(
            LinAlgError=np.linalg.LinAlgError,
            inv=lambda matrix: self._off(np.linalg.inv(matrix)),
            solve=lambda matrix, right: self._off(np.linalg.solve(matrix, right)),
            eigh=lambda matrix: tuple(self._off(found) for found in np.linalg.eigh(matrix)),
            cholesky=lambda matrix: self._off(np.linalg.cholesky(matrix)),
        )
        self.asarray = np.asarray

    def matmul(self, left: Any, right: Any, out: Any = None) -> Any:
        """The matrix product, a little off, into ``out`` when that is given."""
        found = self._off(np.matmul(left, right))
        if out is None:
            return found
        out[...] = found
        return out

    def _off(self, exact: Any) -> Any:
        self.calls += 1
        return exact * (1.0 + self._part * self._rng.uniform(-1.0, 1.0, np.shape(exact)))


@contextmanager
def noise(seed: int, part: float = NOISE) -> Iterator[Noisy]:
    """Let the module of matrices err at random while this lasts."""
    noisy, exact = Noisy(seed, part), matrices.np
    matrices.np = noisy  # type: ignore[assignment]
    try:
        yield noisy
    finally:
        matrices.np = exact


def differing(seed: int, names: Sequence[str] = (), part: float = NOISE) -> tuple[int, list[str]]:
    """How often a matrix erred while the workbooks (all, or those of ``names``) were built, and which files differ."""
    from probebook.api import build_files, load_library, load_plans

    library = load_library(ROOT / "scenarios")
    plans = [plan for plan in load_plans(library) if not names or plan.stem in names]
    with noise(seed, part) as noisy:
        files = build_files(plans, library)
    return noisy.calls, [path for path, text in files.items() if (ROOT / path).read_bytes() != text.encode("utf-8")]


def main(arguments: Sequence[str] | None = None) -> int:
    """Build with each seed and print what differs; 0 when nothing does."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument(
        "--workbook", action="append", default=[], metavar="STEM", help="only these, as 03-ohms-and-watts"
    )
    chosen = parser.parse_args(arguments)
    seeds = range(1, chosen.seeds + 1)
    with ProcessPoolExecutor(chosen.jobs, mp_context=get_context("spawn")) as pool:
        results = list(pool.map(differing, seeds, [chosen.workbook] * chosen.seeds))
    for seed, (calls, differ) in zip(seeds, results, strict=True):
        print(f"seed {seed}: {calls} matrices erred by up to {NOISE:g}; {', '.join(differ) or 'the same bytes'}")
    return 1 if any(differ or not calls for calls, differ in results) else 0


if __name__ == "__main__":
    sys.exit(main())
