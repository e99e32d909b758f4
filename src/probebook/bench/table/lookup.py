"""A reading looked up in a table, as a page does it: what proves a table before anybody is given it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any

from probebook.bench.acts import Verb, split
from probebook.bench.simulator import Bench
from probebook.bench.state import BenchState

__all__ = ["differs_from", "display_in"]


def display_in(readings: Mapping[str, Any], terminals: Sequence[str], state: BenchState, a: str, b: str) -> str:
    """What the meter shows between two terminals as a job stands, by :func:`readings_of`'s table."""
    if state.function is None:
        return ""
    nulled = " nulled" if state.nulled and state.function.through_leads else ""
    name = f"{state.function.value}{nulled}"
    half = readings["low"] if name in readings["low"]["shown"] else readings["high"]
    circuit = half["settings"][f"{state.position}|{state.calling:d}|{state.dried:d}"]
    pairs = [frozenset(pair) for pair in combinations(terminals, 2)]
    at, nodes, wires = half["roots"][circuit][pairs.index(frozenset((a, b)))], readings["nodes"], readings["wires"]
    while at < 0:
        wire, on, off = nodes[3 * (-1 - at) : 3 * (-at)]
        at = off if wires[wire] in state.lifted else on
    return str(half["displays"][half["classes"][at][half["shown"].index(name)]][0])


def differs_from(bench: Bench, table: Mapping[str, Any], acts: Sequence[str]) -> str:
    """The first act of a job at which a table, as a page has it, shows something else than the bench; else empty."""
    state = bench.start()
    for act in acts:
        after, shown = bench.act(state, act)
        found = split(act)
        if shown.display and found is not None and found[0] is Verb.PROBE:
            a, b = found[1].split()
            if display_in(table["readings"], list(table["job"]["terminals"]), state, a, b) != shown.display:
                return act
        state = after
    return ""
