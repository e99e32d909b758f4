"""Every state of an appliance at once in one ngspice process.

Each state is a copy of the network in one netlist. For resistance a control voltage drives one ampere into the same
terminal of every copy, out at a reference of that terminal's island (the terminals joined by less than a kilohm), so
that no potential is large beside the one sought; a second control drives the island's reference against the
component's. Superposing the answers gives the voltage for a current from any terminal to any other.

ngspice subtracts conductances, so beside a joint of 100 siemens it cannot hold a path of nanosiemens to better than a
part in ten thousand. Pairs above ten megohms are therefore had from a second netlist in which joints below half an
ohm are one node; that leaves out a few ohms in ten million.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
ISLAND_OHMS = 1e3
JOINT_OHMS = 0.5
INSULATION_OHMS = 1e7


def _islands(n: int, ends: Sequence[tuple[int, int]], joined: Iterable[bool]) -> list[int]:
    """First terminal of the island each terminal belongs to."""
    first = list(range(n))

    def root(t: int) -> int:
        while first[t] != t:
            t = first[t]
        return t

    for (a, b), together in zip(ends, joined, strict=True):
        if together:
            low, high = sorted((root(a), root(b)))
            first[high] = low
    return [root(t) for t in range(n)]


@dataclass(frozen=True)
class Copies:
    """A netlist that holds one copy of the network for each state; ``c3t5`` is terminal 5 of state 3.

    Terminals joined by less than ``merge`` ohms are one node, named after the first of them.
    """

    n: int
    ends: Sequence[tuple[int, int]]
    ohms: FloatArray
    merge: float = 0.0

    def nodes(self) -> NDArray[np.intp]:
        """The terminal after which each terminal's node is named, shape ``(states, n)``."""
        return np.array([_islands(self.n, self.ends, row < self.merge) for row in self.ohms])

    def component(self, state: int) -> list[int]:
        """First terminal of each terminal's component: what any finite resistance joins."""
        return _islands(self.n, self.ends, np.isfinite(self.ohms[state]))

    def island(self, state: int) -> list[int]:
        """First terminal of each terminal's island: what less than a kilohm joins."""
        return _islands(self.n, self.ends, self.ohms[state] < ISLAND_OHMS)

    def netlist(self) -> list[str]:
        """The resistors of every copy; open branches are left out."""
        node = self.nodes()
        return [
            f"r{c}x{k} c{c}t{node[c, a]} c{c}t{node[c, b]} {float(self.ohms[c, k])!r}"
            for c in range(len(self.ohms))
            for k, (a, b) in enumerate(self.ends)
            if np.isfinite(self.ohms[c, k]) and node[c, a] != node[c, b]
        ]


def _run(netlist: Sequence[str], commands: Sequence[str], folder: Path) -> None:
    lines = ["* copies", *netlist, ".control", "set filetype=binary", *commands, "quit 0", ".endc", ".end", ""]
    path = folder / "copies.cir"
    path.write_text("\n".join(lines), encoding="ascii")
    done = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, timeout=280, check=False)
    if done.returncode or "singular" in done.stdout.lower() + done.stderr.lower():
        raise RuntimeError(f"ngspice failed with status {done.returncode}: {(done.stdout + done.stderr)[-800:]}")


def _raw(path: Path) -> dict[str, float]:
    """Values of a binary raw file with one point."""
    head, _, body = path.read_bytes().partition(b"Binary:\n")
    names = [line.split()[1].decode() for line in head.partition(b"Variables:\n")[2].splitlines() if line.strip()]
    return dict(zip(names, np.frombuffer(body, dtype="<f8", count=len(names)).tolist(), strict=True))


def _voltages(values: dict[str, float], states: int, n: int) -> FloatArray:
    """Potential of each terminal of each copy; nought where the node was left out of the netlist."""
    found = np.zeros((states, n))
    for name, value in values.items():
        node = name.removeprefix("v(").removesuffix(")")
        if node.startswith("c") and "t" in node and node[1].isdigit():
            c, _, t = node[1:].partition("t")
            found[int(c), int(t)] = value
    return found


def spice_resistances(n: int, ends: Sequence[tuple[int, int]], ohms: FloatArray) -> FloatArray:
    """Resistance between every two terminals in each state, shape ``(states, n, n)``; ``inf`` where nothing joins."""
    plain = _resistances(Copies(n, ends, ohms))
    insulation = np.isfinite(plain) & (plain > INSULATION_OHMS)
    if insulation.any():
        plain[insulation] = _resistances(Copies(n, ends, ohms, JOINT_OHMS))[insulation]
    return plain


def _resistances(copies: Copies) -> FloatArray:
    n, states, node = copies.n, len(copies.ohms), copies.nodes()
    component = np.array([copies.component(c) for c in range(states)])
    island = np.array([copies.island(c) for c in range(states)])
    netlist, used = copies.netlist(), set()
    for c in range(states):
        for t in range(n):
            base = f"c{c}t{node[c, t]}"
            if component[c, t] == t:
                netlist.append(f"v{c}g{t} {base} 0 dc 0")
            for control, away in ((f"own{t}", island[c, t]), (f"far{t}", component[c, t])):
                if node[c, away] != node[c, t] and (control.startswith("own") or island[c, t] == t):
                    netlist.append(f"g{c}{control} c{c}t{node[c, away]} {base} {control} 0 1")
                    used.add(control)
    netlist += [f"v{control} {control} 0 dc 0\nr{control} {control} 0 1" for control in sorted(used)]
    own, far = np.zeros((n, states, n)), np.zeros((n, states, n))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        commands = []
        for control in sorted(used):
            commands += [
                f"alter v{control} dc=1",
                "op",
                f"write {folder / control}.raw all",
                "destroy all",
                f"alter v{control} dc=0",
            ]
        _run(netlist, commands, folder)
        for control in used:
            target = own if control.startswith("own") else far
            found = _voltages(_raw(folder / f"{control}.raw"), states, n)
            target[int(control[3:])] = np.take_along_axis(found, node, axis=1)
    rows = np.arange(states)
    total = np.stack([own[t] + far[island[:, t], rows] for t in range(n)])
    result = np.full((states, n, n), np.inf)
    for a in range(n):
        for b in range(n):
            same = island[:, a] == island[:, b]
            drive = np.where(same[:, None], own[a] - own[b], total[a] - total[b])
            joined = component[:, a] == component[:, b]
            result[joined, a, b] = (drive[:, a] - drive[:, b])[joined]
    return result


def spice_working(
    n: int, ends: Sequence[tuple[int, int]], ohms: FloatArray, held: Sequence[dict[int, float]]
) -> FloatArray:
    """Current in each branch from its first end to its second, shape ``(states, m)``, with terminals held at volts."""
    copies, states = Copies(n, ends, ohms), len(ohms)
    netlist = copies.netlist()
    for c in range(states):
        netlist += [f"v{c}h{t} c{c}t{t} 0 dc {float(volts)!r}" for t, volts in held[c].items()]
        component = copies.component(c)
        live = {component[t] for t in held[c]}
        netlist += [f"v{c}g{t} c{c}t{t} 0 dc 0" for t in range(n) if component[t] == t and t not in live]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _run(netlist, ["op", f"write {folder / 'op.raw'} all"], folder)
        volts = _voltages(_raw(folder / "op.raw"), states, n)
    a, b = np.array(ends).T
    drop = volts[:, a] - volts[:, b]
    return np.where(np.isfinite(ohms), drop / np.where(np.isfinite(ohms), ohms, 1.0), 0.0)
