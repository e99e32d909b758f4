"""Time the likelihood of displays against scipy's Gaussian on the same array, in the same run.

Run with ``python tests/benchmarks/likelihood.py``; prints seconds and their ratio.
"""

from __future__ import annotations

import timeit

import numpy as np
from scipy import stats

from probebook.meters import Function, Meter, Range, log_likelihood
from probebook.meters.assumed import Astray

METER = Meter(
    "benchmark",
    "benchmark meter",
    "invented",
    "",
    ((Function.OHMS, (Range(599.9, 0.1, 0.005, 2), Range(5999.0, 1.0, 0.005, 2), Range(59.99e3, 10.0, 0.005, 2))),),
    lead_ohms=0.2,
    astray=Astray(1e-4, 0.1, 0.1),
)


def main() -> None:
    """Print the times for 60 hypotheses, 200 draws and 40 tests."""
    rng = np.random.default_rng(1)
    truths = 10.0 ** rng.uniform(-1, 5, (60, 200, 40))
    displays = np.round(10.0 ** rng.uniform(0, 2.7, 40), 1)
    displays[::7] = np.inf
    scale = 0.01 * truths + 0.1
    finite = np.where(np.isinf(displays), 1e3, displays)
    ours = min(timeit.repeat(lambda: log_likelihood(METER, Function.OHMS, displays, truths), number=3, repeat=5)) / 3
    theirs = min(timeit.repeat(lambda: stats.norm.logpdf(finite, truths, scale), number=3, repeat=5)) / 3
    print(
        f"{truths.size} likelihoods: ours {ours:.4f} s, scipy's bare Gaussian {theirs:.4f} s, ratio {ours / theirs:.2f}"
    )


if __name__ == "__main__":
    main()
