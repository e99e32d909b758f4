"""Keys of trace questions against a walk through the wiring, and against a circuit simulator."""

from __future__ import annotations

import re
from dataclasses import replace

import networkx as nx
import pytest
from bank_checks import asked, figures, position_of, sample

import spice
from probebook.appliances import Appliance, BranchKind, Position, State, branch_ends, branch_ohms
from probebook.appliances.naming import branch_name
from probebook.cases.library import library
from probebook.errors import ScenarioError
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.model import Kind, Question
from probebook.questions.trace.facts.contacts import find_contacts, switch_contacts
from probebook.questions.trace.facts.flow import on_at
from probebook.questions.trace.facts.heats import find_heats

TRADE = library()


def _walk(appliance: Appliance, position: str, *, without: frozenset[str] = frozenset()) -> frozenset[str]:
    """Loads with one end joined to line and the other to neutral by wires and closed contacts alone, warmed up."""
    ohms = branch_ohms(appliance, [State(position)], hot=True, test_volts=appliance.plate.volts)[0]
    graph = nx.Graph()
    graph.add_nodes_from(range(len(appliance.terminals)))
    graph.add_edges_from(
        (int(a), int(b))
        for (a, b), branch, r in zip(branch_ends(appliance), appliance.branches, ohms, strict=True)
        if branch.kind in (BranchKind.WIRE, BranchKind.CONTACT, BranchKind.FUSE)
        and r < 1.0
        and branch.name not in without
    )
    line = nx.node_connected_component(graph, appliance.terminal(appliance.line))
    neutral = nx.node_connected_component(graph, appliance.terminal(appliance.neutral))
    assert line.isdisjoint(neutral)
    return frozenset(
        b.name
        for b in sc.loads(appliance)
        if (b.ends[0] in line and b.ends[1] in neutral) or (b.ends[1] in line and b.ends[0] in neutral)
    )


def _warms(appliance: Appliance, position: Position) -> bool:
    """Whether a position works a heater."""
    return any(appliance.branches[appliance.branch(name)].place for name in position.heats)


def _loads(appliance: Appliance, ids: object) -> frozenset[str]:
    names = {b.name for b in sc.loads(appliance)}
    assert isinstance(ids, list)
    return frozenset(ids) & names


#: A seven-heat plate joins sections in series, which a walk to line and neutral does not find; nor does a walk know
#: what a coil closes.
PLAIN = [name for name in TRADE.appliance_ids if name not in ("solid-plate", "water-boiler")]


def test_what_carries_current_by_walking_the_wires() -> None:
    """The loads of the key are those that a walk over closed contacts joins to line and, at the other end, neutral."""
    checked = 0
    for appliance, question in sample(TRADE, Kind.TRACE, "heats"):
        if appliance in PLAIN:
            item = TRADE.appliance(appliance)
            found = _walk(item, position_of(TRADE, appliance, question))
            assert _loads(item, question.fields[0].answer) == found
            checked += 1
    assert checked >= 20


def test_a_broken_wire_by_walking_the_wires() -> None:
    """What stops is what the walk finds with the wire and no longer without it."""
    checked = 0
    for appliance, question in sample(TRADE, Kind.TRACE, "break"):
        if appliance in PLAIN:
            item = TRADE.appliance(appliance)
            wire = re.findall(r"Wire \*\*(W\d+)\*\*", question.prompt)[0]
            position = position_of(TRADE, appliance, question)
            lost = _walk(item, position) - _walk(item, position, without=frozenset({wire}))
            assert frozenset(question.fields[0].answer) == (lost or {"none"})
            checked += 1
    assert checked >= 20


def test_contacts_by_walking_the_wires() -> None:
    """With the contacts of the key closed exactly the parts named work, and with any one of them open fewer do."""
    checked = 0
    for appliance, question in sample(TRADE, Kind.TRACE, "contacts"):
        if appliance not in PLAIN:
            continue
        item = TRADE.appliance(appliance)
        named = re.findall(r"These work: \*\*(.+?)\*\*", question.prompt)[0]
        position = next(p.name for p in item.positions if f"‘{p.title}’" in question.explanation)
        works = _walk(item, position)
        assert all(sw.name(TRADE.words, item, item.branches[item.branch(n)]).text in named for n in works)
        for contact in question.fields[0].answer:
            assert _walk(item, position, without=frozenset({contact})) < works
        checked += 1
    assert checked >= 10


def test_wires_that_carry_current_by_the_simulator() -> None:
    """Ticked wires carry at least a tenth of a milliampere in ngspice with sound insulation, and the others less.

    The leakage of a hot element to its sheath comes home by the protective conductor; no healthy one is ticked for it.
    """
    for appliance in ("conventional-oven", "solid-plate", "tumble-dryer", "multifunction-oven"):
        question = asked(TRADE, Kind.TRACE, "wires", appliance, 3, "wires")
        if question is None:
            continue
        item = TRADE.appliance(appliance)
        volts = item.plate.volts
        ohms = branch_ohms(item, [State(position_of(TRADE, appliance, question))], hot=True, test_volts=volts)[0]
        ohms[[b.kind is BranchKind.INSULATION for b in item.branches]] = 1e12
        line, neutral, n = item.terminal(item.line), item.terminal(item.neutral), len(item.terminals)
        ends = [(int(a), int(b)) for a, b in branch_ends(item)] + [(t, neutral) for t in range(n) if t != neutral]
        marks = [option.id for option in question.fields[0].options]
        rows = [item.branch(mark) for mark in marks]
        held = {line: volts, neutral: 0.0}
        if item.earth:
            held[item.terminal(item.earth)] = 0.0
        amps = spice.operating_point(ends, [*map(float, ohms), *[1e12] * (n - 1)], held, [f"@r{k}[i]" for k in rows])
        carrying = {mark for mark, value in zip(marks, amps, strict=True) if abs(value) > 1e-4}
        assert carrying == set(question.fields[0].answer)


def test_the_whole_supply_stands_across_a_break() -> None:
    """The supply voltage across the open part, nought across a sound part behind it (Engelhardt and Beichner 2004)."""
    seen = set()
    for _, question in sample(TRADE, Kind.TRACE, "volts", seeds=3):
        opened = re.findall(r"The \*\*(.+?)\*\* has gone open", question.prompt)[0]
        asked_about = re.findall(r"what voltage is there across the (.+?) \(terminals", question.prompt)[0]
        band = question.fields[0].band
        assert band is not None
        expected = 230.0 if asked_about == opened else 0.0
        seen.add(expected)
        assert band.holds(expected)
        assert not band.holds(115.0)
    assert seen == {230.0, 0.0}


@pytest.mark.parametrize("form", ["heats", "wires", "break", "contacts"])
def test_explanation_and_working_name_what_the_key_ticks(form: str) -> None:
    """The marks of the working are those of the key, in the order of the wiring; the explanation says the same."""
    for appliance, question in sample(TRADE, Kind.TRACE, form, seeds=1):
        item = TRADE.appliance(appliance)
        key = [n for n in question.fields[0].answer if n != "none"]
        marks = question.working.partition(": ")[2].split(", ")
        assert sorted(marks) == sorted(key or ["nothing"])
        for name in key:
            branch = item.branches[item.branch(name)]
            told = name if form in ("wires", "contacts") else str(branch_name(TRADE.words, item, branch))
            assert told in question.explanation


def test_the_volts_said_are_those_of_the_plate() -> None:
    """Every voltage in prompt, explanation, working and advice is the plate's, the region's other one, or none."""
    for appliance, question in sample(TRADE, Kind.TRACE, "volts", seeds=2):
        supply = TRADE.appliance(appliance).plate.volts
        for text in (question.prompt, question.explanation, question.working, *(s.advice for s in question.slips)):
            assert set(figures(text, r"(\d+) V\b")) <= {supply, 0.0}
        assert f"{supply:g} V" in question.explanation
        for slip in question.slips:
            assert slip.band is not None
            middle = {"fault-left-out": supply, "volts-shared": supply / 2, "no-volts-across-open": 0.0}.get(slip.slip)
            assert slip.band.holds(TRADE.region.supply.quoted if middle is None else middle)


def test_full_grill_of_the_conventional_oven() -> None:
    """At full grill both circuits of the top element heat, the base element does not (common practice)."""
    question = asked(TRADE, Kind.TRACE, "heats", "conventional-oven", 1, "grill", position="grill")
    assert question is not None
    assert set(question.fields[0].answer) == {"E1.outer", "E1.inner", "H1", "H2"}


@pytest.mark.parametrize("form", ["heats", "wires", "break", "contacts"])
def test_ticks_earn_by_counting(form: str) -> None:
    """A slip of ticks earns right ticks less wrong ticks as a share of the right ones."""
    for _, question in sample(TRADE, Kind.TRACE, form, seeds=1):
        _count(question)


def _count(question: Question) -> None:
    field = question.fields[0]
    right = set(field.answer)
    for slip in question.slips:
        ticked = set(slip.response)
        share = max(0, len(ticked & right) - len(ticked - right)) / len(right)
        assert slip.marks == pytest.approx(field.marks * share, abs=0.006)


def test_heat_three_of_the_seven_heat_plate_is_section_c_alone() -> None:
    """Line on tag 3, neutral on tag 4: c lies between them; b leaks to the hot plate, which is no current to trace."""
    plate = TRADE.appliance("solid-plate")
    found = find_heats(plate, ["3"], with_controls=False)
    assert found is not None
    assert found.key == {"E1.c"}


def test_a_position_that_works_other_than_its_file_says_makes_no_question() -> None:
    """A file that says b works at heat 3 is found out when a question is made of it, and sent to the checker."""
    plate = TRADE.appliance("solid-plate")
    told = tuple(replace(p, heats=("E1.b", "E1.c")) if p.name == "3" else p for p in plate.positions)
    with pytest.raises(ScenarioError, match=r"E1\.b, E1\.c, but works E1\.c"):
        find_heats(replace(plate, positions=told), ["3"], with_controls=False)


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_what_a_trace_question_takes_for_working_is_what_the_file_says(appliance_id: str) -> None:
    """In every position of every appliance what the solved circuit feeds, hot, is what its file says works.

    A trace question is about an appliance that is warmed up; where nothing heats, its lamp of residual heat is lit as
    well.
    """
    appliance = TRADE.appliance(appliance_id)
    for position in appliance.positions:
        on = on_at(appliance, State(position.name))
        lamps = {"H1"} if (appliance_id, position.name) == ("radiant-hob-zone", "off") else set()
        assert on == set(position.heats) | lamps, position.name


@pytest.mark.parametrize(
    ("appliance_id", "position"),
    [(a, p.name) for a in TRADE.appliance_ids for p in TRADE.appliance(a).positions if _warms(TRADE.appliance(a), p)],
)
def test_a_position_said_to_work_nothing_is_found_out(appliance_id: str, position: str) -> None:
    """A file that leaves out all that a heating position works is found out as well as one that says too much."""
    appliance = TRADE.appliance(appliance_id)
    told = tuple(replace(p, heats=()) if p.name == position else p for p in appliance.positions)
    with pytest.raises(ScenarioError, match="said to work nothing, but works"):
        find_heats(replace(appliance, positions=told), [position], with_controls=False)


def test_contacts_that_make_no_difference_are_not_asked_for() -> None:
    """On the plate at heat 5 contact l4 puts line on both ends of section c: it changes nothing and is not in the key.

    By hand: a lies between tags 1 and 2, b between 2 and 3, c between 3 and 4; line on 1 and 3, neutral on 2.
    """
    appliance = TRADE.appliance("solid-plate")
    found = find_contacts(appliance, ["5"], switch_contacts(appliance))
    assert found is not None
    assert found.key == {"S1.l1", "S1.n2", "S1.l3"}
    assert found.outcomes[found.key | {"S1.l4"}] == found.on
