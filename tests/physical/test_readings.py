"""What a reading leaves open of a failure, against ngspice and by hand; how bridges are found, against networkx."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import networkx
import numpy as np
import pytest

import spice
from probebook.cases.library import library
from probebook.physical import Read, Setting, reads_itself
from probebook.physical.board import Board, board_of
from probebook.physical.network import Topology
from probebook.physical.readings import readers

TRADE = library()
OVEN = TRADE.appliance("conventional-oven")


def exact(appliance_id: str) -> Board:
    """The board of an appliance whose parts are just as its file says."""
    board = board_of(TRADE.appliance(appliance_id))
    return replace(board, least=np.ones(len(board.cold)), most=np.ones(len(board.cold)))


def between(board: Board, ohms: np.ndarray, a: int, b: int) -> float:
    """Ohms between two terminals by ngspice; endless where nothing joins them."""
    graph = networkx.Graph()
    graph.add_nodes_from(range(len(board.appliance.terminals)))
    graph.add_edges_from((*ends, {}) for ends, r in zip(board.ends.tolist(), ohms, strict=True) if math.isfinite(r))
    if not networkx.has_path(graph, a, b):
        return math.inf
    piece = networkx.node_connected_component(graph, a)
    kept = [k for k, ends in enumerate(board.ends.tolist()) if ends[0] in piece and math.isfinite(ohms[k])]
    ends = [tuple(board.ends[k].tolist()) for k in kept]
    return float(spice.resistances(ends, [float(ohms[k]) for k in kept], [(a, b)], [b])[0])


@pytest.mark.parametrize("appliance_id", ["conventional-oven", "radiant-hob-zone", "tumble-dryer", "double-oven"])
def test_a_reading_leaves_the_value_a_branch_has_and_no_other(appliance_id: str) -> None:
    """ngspice reads a circuit with one branch changed; the interval left of that branch is that value to 1 in 10⁴."""
    board, rng = exact(appliance_id), random.Random(appliance_id)
    appliance = board.appliance
    told = 0
    for _ in range(40):
        position = rng.choice(appliance.positions).name
        setting = Setting(position, calling=rng.random() < 0.8)
        ohms = np.where(board.insulation, np.inf, board.ohms(setting)[0])
        k = rng.choice(np.flatnonzero(np.isfinite(ohms)).tolist())
        a, b = rng.sample(range(len(appliance.terminals)), 2)
        value = float(ohms[k]) + rng.choice((1.0, 20.0, 300.0))
        shown = between(board, np.where(np.arange(len(ohms)) == k, value, ohms), a, b)
        sound = between(board, ohms, a, b)
        probes = (appliance.terminals[a], appliance.terminals[b])
        if math.isinf(shown):
            left = readers(board, [Read(setting, probes, 60e6, math.inf)])[0].branches()
            assert left.least[k] <= value <= left.most[k]
            continue
        read = Read(setting, probes, shown * (1.0 - 1e-9) - 1e-9, shown * (1.0 + 1e-9) + 1e-9)
        left = readers(board, [read])[0].branches()
        assert left.least[k] * (1.0 - 1e-4) <= value <= left.most[k] * (1.0 + 1e-4)
        if abs(shown - sound) > 1e-3 * sound:
            told += 1
            assert left.least[k] == pytest.approx(value, rel=1e-4)
            assert left.most[k] == pytest.approx(value, rel=1e-4)
    assert told >= 1


@pytest.mark.parametrize("appliance_id", ["conventional-oven", "double-oven"])
def test_a_reading_leaves_the_value_a_leak_has(appliance_id: str) -> None:
    """The same of a section leaking at either end, read from every terminal to the metalwork by an insulation test."""
    board, rng = exact(appliance_id), random.Random(appliance_id)
    appliance = board.appliance
    ends = np.array([(end, metal) for _, end, metal in board.leaks])
    for _ in range(12):
        setting = Setting(rng.choice(appliance.positions).name, volts=500.0)
        place = rng.randrange(len(ends))
        value = rng.choice((5e3, 80e3, 0.6e6))
        ohms = board.ohms(setting)[0]
        a, b = rng.choice([t for t in range(len(appliance.terminals)) if t != ends[place][1]]), int(ends[place][1])
        wide = replace(board, ends=np.vstack([board.ends, ends[place]]))
        shown = between(wide, np.append(ohms, value), a, b)
        sound = between(board, ohms, a, b)
        if math.isinf(shown):
            continue
        probes = (appliance.terminals[a], appliance.terminals[b])
        left = readers(board, [Read(setting, probes, shown * 0.98, shown * 1.02, insulation=True)])[0].paths(ends)
        assert left.least[place] <= value <= left.most[place]
        if value > 0.1 * shown and shown < 0.5 * sound:
            assert left.most[place] - left.least[place] <= 0.05 * shown + 1000.0


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_bridges_are_those_of_networkx(appliance_id: str) -> None:
    """In every position the walk finds the bridges that networkx finds, and which of them part two terminals."""
    board = board_of(TRADE.appliance(appliance_id))
    n = len(board.appliance.terminals)
    for position in board.appliance.positions:
        conducting = board.conducting(Setting(position.name))
        found = Topology(n, board.ends, conducting)
        graph = networkx.MultiGraph()
        graph.add_nodes_from(range(n))
        graph.add_edges_from((a, b, k) for k, (a, b) in enumerate(board.ends.tolist()) if conducting[k])
        simple = networkx.Graph(graph)
        bridges = {frozenset(e) for e in networkx.bridges(simple)}
        for k, (a, b) in enumerate(board.ends.tolist()):
            alone = conducting[k] and graph.number_of_edges(a, b) == 1
            assert found.bridge[k] == (alone and frozenset((a, b)) in bridges)
        for k in np.flatnonzero(found.bridge).tolist():
            cut = simple.copy()
            cut.remove_edge(*board.ends[k].tolist())
            a, b = board.appliance.terminal(board.appliance.line), board.appliance.terminal(board.appliance.neutral)
            joined = networkx.has_path(simple, a, b)
            assert not joined or found.parts(a, b)[k] == (not networkx.has_path(cut, a, b))


def read(position: str, a: str, b: str, *lifted: str, insulation: bool = False) -> Read:
    """A reading whatever it shows."""
    volts = 500.0 if insulation else 1.0
    return Read(Setting(position, lifted=frozenset(lifted), volts=volts), (a, b), 0.0, math.inf, insulation)


@pytest.mark.parametrize(
    ("taken", "branch", "itself"),
    [
        (read("off", "E2.1", "E2.2", "W10"), "E2.heater", True),
        (read("off", "E2.1", "E2.2"), "E2.heater", True),  # off, nothing stands beside it
        (read("oven", "E2.1", "E2.2"), "E2.heater", False),  # the top element does
        (read("oven", "X1.L", "X1.N", "W5"), "E2.heater", False),
        (read("off", "X1.N", "E2.2"), "W10", True),
        (read("off", "X1.N", "E2.2", "W10"), "W10", False),
        (read("oven", "S1.P2", "S1.3"), "S1.c", True),
        (read("off", "S1.P2", "S1.3"), "S1.c", False),  # open there, broken or not
        (read("off", "E2.2", "M.1", "W7", "W10", insulation=True), "E2.heater~M.1", True),
        (read("off", "E2.2", "M.1", "W7", insulation=True), "E2.heater~M.1", False),  # neutral joins the top element
        (read("oven", "X1.L", "X1.E", insulation=True), "E2.heater~M.1", False),
    ],
)
def test_what_reads_a_part_itself(taken: Read, branch: str, itself: bool) -> None:
    """Across its own ends with no other path; across a wire that is on; from a section alone to the metalwork."""
    assert reads_itself(OVEN, taken, branch) is itself
