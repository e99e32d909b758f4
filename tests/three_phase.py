"""Three-phase networks for tests: lines, loads in star and in delta, what ngspice finds of them by ac analysis."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from spice import branches, ngspice

L1, L2, L3, N, STAR = range(5)
Ends = list[tuple[int, int]]


def lines(volts: float, *, neutral: bool = True) -> dict[int, complex]:
    """Terminals 0 to 2 at so many volts to neutral, each a third of a period behind the last; 3, if any, at nothing."""
    held: dict[int, complex] = {
        k: complex(volts * math.cos(math.radians(120 * k)), -volts * math.sin(math.radians(120 * k))) for k in range(3)
    }
    return {**held, N: 0.0} if neutral else held


def star(to: int = STAR) -> Ends:
    """Three branches from the lines to a point."""
    return [(L1, to), (L2, to), (L3, to)]


def delta() -> Ends:
    """Three branches from line to line."""
    return [(L1, L2), (L2, L3), (L3, L1)]


def spice_phasors(
    ends: Sequence[tuple[int, int]], ohms: Sequence[float], held: Mapping[int, complex], n: int
) -> tuple[list[complex], list[complex]]:
    """Potentials of the terminals, and currents out of those held, by ngspice's ac analysis; ``inf`` is left out.

    A terminal that nothing is joined to reads nothing: ask only for those that are.
    """
    sources = [
        f"vheld{t} t{t} 0 dc 0 ac {abs(v)!r} {math.degrees(math.atan2(v.imag, v.real))!r}"
        for t, v in ((t, complex(v)) for t, v in held.items())
    ]
    joined = {t for pair, r in zip(ends, ohms, strict=True) for t in pair if not math.isinf(r)} | set(held)
    asked = [f"v(t{t})" for t in range(n) if t in joined] + [f"i(vheld{t})" for t in held]
    commands = [f"print real({name}) imag({name})" for name in asked]
    found = ngspice([*branches(ends, ohms), *sources], ["ac lin 1 50 50", *commands])

    def value(name: str) -> complex:
        return complex(found[f"real({name})"], found[f"imag({name})"])

    volts = [value(f"v(t{t})") if t in joined else complex(math.nan) for t in range(n)]
    return volts, [-value(f"i(vheld{t})") for t in held]
