"""The circuit told branch by branch: each told way is one, and how contacts stand is told as it is."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import networkx as nx
import pytest

from probebook.appliances import load_appliances
from probebook.appliances.model import Appliance, BranchKind
from probebook.cases.library import library
from probebook.drawings import closed_contacts, describe_branches

APPLIANCES = load_appliances(Path(__file__).parents[2] / "scenarios")
WORDS = library().words
CASES = [(a, p.name) for a in APPLIANCES.values() for p in a.positions]
every_position = pytest.mark.parametrize(("appliance", "position"), CASES, ids=[f"{a.id}-{p}" for a, p in CASES])
LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.COIL)


def _graph(appliance: Appliance) -> nx.MultiGraph:
    """Terminals joined by wires as built, contacts, fuses and loads."""
    wires = {w.mark for w in appliance.wires}
    graph = nx.MultiGraph()
    for b in appliance.branches:
        if b.name in wires or b.kind in (*LOADS, BranchKind.CONTACT, BranchKind.FUSE):
            graph.add_edge(*(appliance.terminals[e] for e in b.ends), name=b.name)
    return graph


@every_position
def test_every_load_is_told_with_a_way_from_line_to_neutral(appliance: Appliance, position: str) -> None:
    """Each load has a sentence whose terminals make a simple path of the circuit with contacts closed (networkx)."""
    text = describe_branches(WORDS, appliance, position)
    graph = _graph(appliance)
    ways = re.findall(r": from line by ([^:]*?) to neutral\.", text)
    assert len(ways) == sum(b.kind in LOADS for b in appliance.branches)
    for way in ways:
        stops = [step for step in way.split(", ") if step in graph]
        assert (stops[0], stops[-1]) == (appliance.line, appliance.neutral)
        assert len(set(stops)) == len(stops)
        for one, other in pairwise(stops):
            assert graph.has_edge(one, other), (one, other)


@every_position
def test_contacts_are_told_open_or_closed_as_they_stand(appliance: Appliance, position: str) -> None:
    """Every contact on a told way is said to be closed just when the position closes it; none where none is given."""
    closed = closed_contacts(appliance, position)
    text = describe_branches(WORDS, appliance, position)
    found = re.findall(r"(?:contact|thermostat|cut-out) ([A-Z]\w*(?:\.\w+)?) (open|closed)", text)
    assert found
    for name, standing in found:
        assert (name in closed) == (standing == "closed"), name
    assert not re.search(r"(?:contact|thermostat|cut-out) \S+ (?:open|closed)", describe_branches(WORDS, appliance))


def test_what_is_in_series_and_what_is_another_way_is_told() -> None:
    """The base element of the conventional oven hangs behind cut-out and thermostat and can be fed by contact c."""
    text = describe_branches(WORDS, APPLIANCES["conventional-oven"], "oven")
    base = re.search(r"E2 base element[^:]*: from line by ([^:]*?) to neutral\.", text)
    assert base is not None
    for step in ("cut-out F1 closed", "thermostat B1 closed", "contact S1.c closed", "W10"):
        assert step in base[1].split(", ")


def test_a_wire_that_is_off_leads_nowhere() -> None:
    """With its neutral lifted the base element is said not to be joined from line to neutral."""
    text = describe_branches(WORDS, APPLIANCES["conventional-oven"], "oven", lifted=["W10"])
    assert "Lifted at one end: W10." in text
    assert "E2 base element, 1.5 kW is not joined from line to neutral." in text


def test_an_unknown_position_is_refused() -> None:
    """A position the appliance does not have is a KeyError."""
    with pytest.raises(KeyError):
        describe_branches(WORDS, APPLIANCES["kettle"], "warp")
