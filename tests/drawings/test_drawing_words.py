"""The words beside the pictures: what carries current, and the description of a position."""

from __future__ import annotations

import re
from pathlib import Path

import networkx as nx
import numpy as np
import pytest

from probebook.appliances import load_appliances
from probebook.appliances.model import Appliance, BranchKind, PartKind
from probebook.appliances.states import controlled_ohms
from probebook.cases.library import library
from probebook.drawings import carrying, closed_contacts, describe

APPLIANCES = load_appliances(Path(__file__).parents[2] / "scenarios")
WORDS = library().words
CASES = [(a, p.name) for a in APPLIANCES.values() for p in a.positions]
every_position = pytest.mark.parametrize(("appliance", "position"), CASES, ids=[f"{a.id}-{p}" for a, p in CASES])
LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.COIL)


def _on_a_way(appliance: Appliance, closed: frozenset[str]) -> set[str]:
    """Branches on some simple way from line to neutral, by networkx: those biconnected with a source across both."""
    graph = nx.Graph()
    wires = {w.mark for w in appliance.wires}
    for b in appliance.branches:
        wire = b.kind is BranchKind.WIRE and b.name in wires
        if wire or b.name in closed or b.kind in (*LOADS, BranchKind.FUSE):
            graph.add_edge(appliance.terminals[b.ends[0]], b.name + "|")
            graph.add_edge(b.name + "|", appliance.terminals[b.ends[1]])
    graph.add_edge(appliance.line, "source|")
    graph.add_edge("source|", appliance.neutral)
    block = next(c for c in nx.biconnected_components(graph) if "source|" in c)
    return {n[:-1] for n in block if n.endswith("|")} - {"source"}


@every_position
def test_what_carries_current_lies_on_a_way_from_line_to_neutral(appliance: Appliance, position: str) -> None:
    """A branch carries current just when some simple way from line to neutral runs through it (networkx blocks)."""
    closed = closed_contacts(appliance, position, live=True)
    assert carrying(appliance, position) == _on_a_way(appliance, closed)


@every_position
def test_contacts_set_by_hand_follow_the_position(appliance: Appliance, position: str) -> None:
    """Of the contacts of selectors and switches just those the position names are closed."""
    closed = closed_contacts(appliance, position)
    by_hand = {n for p in appliance.parts if p.kind in (PartKind.SELECTOR, PartKind.SWITCH) for n in p.branches}
    assert closed & by_hand == appliance.position(position).closes & by_hand


@every_position
@pytest.mark.parametrize("calling", [True, False])
def test_contacts_stand_as_the_circuit_has_them(appliance: Appliance, position: str, calling: bool) -> None:
    """A contact is drawn closed just when the branch table of the cold appliance gives it finite ohms."""
    ohms = controlled_ohms(appliance, position, calling=calling)
    contacts = [(b.name, r) for b, r in zip(appliance.branches, ohms, strict=True) if b.kind is BranchKind.CONTACT]
    assert closed_contacts(appliance, position, calling=calling) == {n for n, r in contacts if np.isfinite(r)}


@every_position
def test_every_way_told_is_a_way(appliance: Appliance, position: str) -> None:
    """Each told way starts at the line, ends at neutral, and each step names a branch between the terminals it stands
    between."""
    text = describe(WORDS, appliance, position)
    ways = re.findall(r"works(?: in series with [^:]*)?: from line by ([^:]*?) to neutral\.", text)
    loads = [b for b in appliance.branches if b.kind in LOADS and b.name in carrying(appliance, position)]
    assert len(ways) == len(loads)
    for way, load in zip(ways, loads, strict=True):
        steps = way.split(", ")
        assert (steps[0], steps[-1]) == (appliance.line, appliance.neutral)
        names = [step.split()[-1] for step in steps[1::2]]
        assert load.name in names
        assert len(set(steps[::2])) == len(steps[::2])
        for before, name, after in zip(steps[::2], names, steps[2::2], strict=False):
            ends = {appliance.terminals[e] for e in appliance.branches[appliance.branch(name)].ends}
            assert ends == {before, after}


def test_a_load_that_does_not_work_is_said_to_be_out_of_circuit() -> None:
    """In the oven position the inner circuit of the conventional oven's grill is out of circuit: contact b is open."""
    text = describe(WORDS, APPLIANCES["conventional-oven"], "oven")
    assert re.search(r"Out of circuit: [^.]*inner section", text)
    assert "open S1.b" in text


def test_off_joins_nothing() -> None:
    """With every contact open nothing lies between line and neutral."""
    text = describe(WORDS, APPLIANCES["conventional-oven"], "off")
    assert "Nothing is joined from line to neutral" in text


def test_lifting_the_neutral_of_the_base_takes_it_out_of_circuit() -> None:
    """With W10 lifted the conventional oven's base element no longer carries current; the rest does as before."""
    oven = APPLIANCES["conventional-oven"]
    whole, part = carrying(oven, "oven"), carrying(oven, "oven", lifted=["W10"])
    assert whole - part == {"E2.heater", "W10", "W7", "S1.c"}
    assert "Lifted at one end: W10." in describe(WORDS, oven, "oven", lifted=["W10"])


def test_series_is_said_of_a_plate_that_runs_in_series() -> None:
    """In a position where a section's only way leads through another section, the words say they are in series."""
    plate = APPLIANCES["solid-plate"]
    told = [p.name for p in plate.positions if "in series with" in describe(WORDS, plate, p.name)]
    single = []
    for p in plate.positions:
        live = carrying(plate, p.name)
        graph = nx.Graph()
        for b in plate.branches:
            if b.name in live and b.kind is not BranchKind.ELEMENT:
                graph.add_edge(*(plate.terminals[e] for e in b.ends))
        graph.add_nodes_from([plate.line, plate.neutral])
        near_l = nx.node_connected_component(graph, plate.line)
        near_n = nx.node_connected_component(graph, plate.neutral)
        elements = [b for b in plate.branches if b.name in live and b.kind is BranchKind.ELEMENT]
        across = [
            {plate.terminals[e] in near_l for e in b.ends} == {True, False}
            and any(plate.terminals[e] in near_n for e in b.ends)
            for b in elements
        ]
        if elements and not all(across):
            single.append(p.name)
    assert told == single
