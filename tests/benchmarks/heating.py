"""Speed of a heat-up record against ``scipy.integrate.solve_ivp`` of the same accuracy.

Run ``python tests/benchmarks/heating.py``. One hour at 1 s samples. The solver gets every method
and the loosest tolerance with which it stays within 0.1 K of a solution at rtol 1e-10, and the
fastest of those is the one compared with. Both are timed in this run; the best of several rounds
counts on both sides.

The bar, a ratio of at least 20, is set for an hour of heating up and cycling. The other two cases
are printed beside it: with few switchings the solver, too, has little to do.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "heating"), str(HERE.parents[1] / "src")]

from heating_reference import integrate  # noqa: E402

from probebook.assumptions import load_assumptions  # noqa: E402
from probebook.heating.controls import CutOut, Thermostat  # noqa: E402
from probebook.heating.simulate import run  # noqa: E402
from probebook.heating.spaces import conventional_oven, fan_oven  # noqa: E402

FIGURES = load_assumptions(Path(__file__).resolve().parents[2] / "scenarios")

SECONDS, ACCURACY, BAR = 3600.0, 0.1, 20.0
TRIP = CutOut("cut-out", "chamber", opens=300.0, closes=220.0, time_constant=40.0)
CASES: dict[str, tuple[Any, dict[str, float], Thermostat, tuple[CutOut, ...], bool]] = {
    "heat-up and cycling, top and base": (
        conventional_oven(FIGURES),
        {"top": 1000.0, "base": 1300.0},
        Thermostat(200.0),
        (),
        False,
    ),
    "heat-up only, base open": (conventional_oven(FIGURES), {"top": 850.0}, Thermostat(200.0), (), False),
    "ring element, fan seized, cut-out cycling": (
        fan_oven(FIGURES),
        {"ring": 2000.0},
        Thermostat(180.0),
        (TRIP,),
        False,
    ),
}


def best(work: Callable[[], object], rounds: int) -> float:
    """Return the shortest time of several calls, s."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print one block a case, and whether the bar is met."""
    ratios = []
    for title, (space, watts, thermostat, cut_outs, fan) in CASES.items():
        network = space.network(fan=fan)
        exact = integrate(network, watts, thermostat, cut_outs, seconds=SECONDS)
        record = run(space, watts, thermostat, cut_outs, seconds=SECONDS, fan=fan)
        count = len(network.nodes)
        difference = float(np.abs(record.temperatures[:, :count] - exact.nodes).max())
        mine = best(lambda: run(space, watts, thermostat, cut_outs, seconds=SECONDS, fan=fan), 30)  # noqa: B023
        print(f"{title}: {len(record.switchings)} switchings, {mine * 1e3:.2f} ms")
        print(f"  largest difference from solve_ivp at rtol 1e-10: {difference:.2g} K")
        rivals = []
        for method in ("RK45", "RK23", "DOP853", "LSODA", "BDF", "Radau"):
            for digits in (2, 3, 4, 5, 6, 7, 8):

                def rival(method: str = method, digits: int = digits) -> np.ndarray:
                    return integrate(
                        network,  # noqa: B023
                        watts,  # noqa: B023
                        thermostat,  # noqa: B023
                        cut_outs,  # noqa: B023
                        seconds=SECONDS,
                        method=method,
                        rtol=10.0**-digits,
                        atol=10.0 ** (1 - digits),
                    ).nodes

                error = float(np.abs(rival() - exact.nodes).max())
                if error <= ACCURACY:
                    spent = best(rival, 5)
                    rivals.append((spent, method, digits))
                    break
        spent, method, digits = min(rivals)
        print(f"  solve_ivp, fastest within {ACCURACY} K: {method}, rtol 1e-{digits}, {spent * 1e3:.1f} ms")
        print(f"  ratio {spent / mine:.0f}")
        ratios.append(spent / mine)
    print(f"bar of {BAR:.0f} for heat-up and cycling: {'met' if ratios[0] >= BAR else 'MISSED'}")


if __name__ == "__main__":
    main()
