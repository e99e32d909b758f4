"""A small runner for ngspice, the reference circuit simulator of the tests.

Three habits of ngspice to mind: a resistor of 0 ohm silently becomes a small one, so a dead short is written as a
source of 0 V; a node without a path to ground silently reads nonsense, so every part is grounded at one terminal
or left out; ``.control`` ends in ``quit 0``, else the exit status says nothing.
"""

from __future__ import annotations

import math
import re
import subprocess
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

VALUE = re.compile(r"^(\S+) = ([-+0-9.eE]+)$", re.MULTILINE)


def ngspice(netlist: Iterable[str], commands: Iterable[str]) -> dict[str, float]:
    """Run one ngspice process and return every ``name = value`` it prints, names in lower case."""
    text = "\n".join(["* network", *netlist, ".control", "set numdgt=16", *commands, "quit 0", ".endc", ".end", ""])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "network.cir")
        path.write_text(text, encoding="ascii")
        done = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, timeout=120)
    complaint = [line for line in (done.stdout + done.stderr).splitlines() if re.search(r"error|singular", line, re.I)]
    if done.returncode or complaint:
        raise RuntimeError(f"ngspice failed with status {done.returncode}: {complaint or done.stderr}")
    return {name.lower(): float(value) for name, value in VALUE.findall(done.stdout)}


def branches(ends: Sequence[tuple[int, int]], ohms: Sequence[float]) -> list[str]:
    """Return netlist lines: branch k is ``rk``, or ``vk`` of 0 V if a dead short; open branches are left out.

    Dead shorts must not form a loop.
    """
    lines = []
    for k, ((a, b), r) in enumerate(zip(ends, ohms, strict=True)):
        if r == 0.0:
            lines.append(f"v{k} t{a} t{b} dc 0")
        elif not math.isinf(r):
            lines.append(f"r{k} t{a} t{b} {float(r)!r}")
    return lines


def resistances(
    ends: Sequence[tuple[int, int]],
    ohms: Sequence[float],
    pairs: Iterable[tuple[int, int]],
    grounded: Iterable[int],
) -> list[float]:
    """Return ohms between pairs of terminals, in one process.

    Each pair's resistance is the output impedance that the transfer function analysis finds between them.
    ``grounded`` names one terminal of each part of the network, so that none floats.
    """
    pairs = list(pairs)
    ground = [f"vground{t} t{t} 0 dc 0" for t in grounded]
    commands = []
    for a, b in pairs:
        commands += [f"tf v(t{a},t{b}) vidle", "print all", "destroy all"]
    values = ngspice([*branches(ends, ohms), *ground, "vidle idle 0 dc 0", "ridle idle 0 1"], commands)
    return [values[f"output_impedance_at_v(t{a},t{b})"] for a, b in pairs]


def operating_point(
    ends: Sequence[tuple[int, int]], ohms: Sequence[float], held: Mapping[int, float], wanted: Iterable[str]
) -> list[float]:
    """Return values of expressions such as ``v(t1)``, ``@r2[i]``, ``i(vheld0)`` with terminals held at volts."""
    wanted = list(wanted)
    sources = [f"vheld{t} t{t} 0 dc {float(v)!r}" for t, v in held.items()]
    values = ngspice([*branches(ends, ohms), *sources], ["op", *(f"print {name}" for name in wanted)])
    return [values[name] for name in wanted]
