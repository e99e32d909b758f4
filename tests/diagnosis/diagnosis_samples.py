"""What the tests of the diagnosis floor share: appliances, instruments, and a second way to work things out.

The second way is dense linear algebra on the branch table (a grounded Laplacian and numpy.linalg.solve), written apart
from the circuit floor, which eliminates.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, State, branch_ends, branch_ohms, load_appliance
from probebook.diagnosis.evidence import Measured, measured
from probebook.diagnosis.model import trials as all_trials
from probebook.diagnosis.trial import Trial, TrialKind
from probebook.meters import Function, Meter, load_meter, read

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
APPLIANCES = sorted(path.stem for path in (SCENARIOS / "appliances").glob("*.toml"))


@lru_cache
def appliance(name: str = "conventional-oven") -> Appliance:
    """An appliance of the library, read once."""
    return load_appliance(SCENARIOS / "appliances" / f"{name}.toml")


@lru_cache
def meters() -> tuple[Meter, ...]:
    """A good multimeter and an insulation tester."""
    return tuple(load_meter(SCENARIOS / "meters" / f"{m}.toml") for m in ("bench-multimeter", "insulation-tester"))


def meter_of(function: Function) -> Meter:
    """The instrument that has a function."""
    return next(m for m in meters() if function in m.functions)


def readings_of(which: Appliance) -> list[Trial]:
    """The trials of an appliance that are readings."""
    return [t for t in all_trials(which) if t.kind is TrialKind.METER]


def dense_ohms(
    which: Appliance, trial: Trial, faults: Iterable[str], spread: NDArray[np.float64] | None = None
) -> float:
    """Ohms a trial finds, by a grounded Laplacian on the terminals that the probes reach."""
    volts = 500.0 if trial.function is Function.INSULATION else 1.0
    state: State = trial.state(frozenset(faults))
    ohms = branch_ohms(which, [state], test_volts=volts, spread=spread)[0]
    a, b = (which.terminal(t) for t in trial.probes)
    return dense_between(len(which.terminals), branch_ends(which), ohms, a, b)


def dense_between(n: int, ends: NDArray[np.intp], ohms: NDArray[np.float64], a: int, b: int) -> float:
    """Ohms between two terminals of resistors, ``inf`` where nothing joins them."""
    closed = np.isfinite(ohms)
    reached = {a}
    while True:
        more = {int(x) for i, j in ends[closed] for x in (i, j) if {int(i), int(j)} & reached} | reached
        if more == reached:
            break
        reached = more
    if b not in reached:
        return math.inf
    nodes = sorted(reached - {b})
    place = {t: k for k, t in enumerate(nodes)}
    laplacian = np.zeros((len(nodes), len(nodes)))
    for (i, j), r in zip(ends[closed].tolist(), ohms[closed].tolist(), strict=True):
        for here, there in ((i, j), (j, i)):
            if here in place:
                laplacian[place[here], place[here]] += 1.0 / r
                if there in place:
                    laplacian[place[here], place[there]] -= 1.0 / r
    injected = np.zeros(len(nodes))
    injected[place[a]] = 1.0
    return float(np.linalg.solve(laplacian, injected)[place[a]])


def taken(which: Appliance, trial: Trial, faults: Iterable[str], **error: float) -> Measured:
    """The reading a trial gives on an appliance of nominal parts, found by dense algebra; exact but for ``error``."""
    meter = meter_of(trial.function)
    return measured(trial, read(meter, trial.function, dense_ohms(which, trial, faults), **error))
