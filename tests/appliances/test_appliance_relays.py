"""Relays: how they come to stand, against ngspice, which has switches of its own; dead readings; what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from appliance_text import FAULTS, SCENARIOS, changed, fault, write

from probebook.appliances import Appliance, BranchKind, State, branch_ends, branch_ohms, load_appliances, working
from probebook.appliances.checking import check_appliance
from probebook.appliances.loading import load_appliance
from probebook.appliances.relays import pulled_in
from probebook.cases.library import library
from probebook.circuit import resistances
from probebook.diagnosis.open.ways import Sort, list_ways
from probebook.errors import ScenarioError
from probebook.physical import InUse, Read, Setting, fitting
from probebook.questions.trace.facts.standing import standing
from spice import ngspice

LIBRARY = load_appliances(SCENARIOS)
BOILER = LIBRARY["water-boiler"]
EACH = [pytest.param(a, id=name) for name, a in LIBRARY.items() if any(b.kind is BranchKind.COIL for b in a.branches)]

#: A relay whose coil hangs behind the thermostat of the small test heater and whose contact feeds its element.
RELAY = """
[[part]]
mark = "K1"
kind = "relay"
title = "relay"
coil = ["A1", "A2"]
power = "5 W"
winding = "1.6 kohm"
pulls_in = "180 V"
contacts = [{ name = "a", between = ["1", "2"], rests = "open" }]

[[wire]]
mark = "W2"
"""
WIRES = """
[[wire]]
mark = "W6"
from = "X1.L"
to = "K1.1"
colour = "brown"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W7"
from = "K1.2"
to = "E1.1"
colour = "brown"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W8"
from = "K1.A2"
to = "X1.N"
colour = "blue"
area = "0.75 mm2"
length = "0.5 m"

[[position]]
name = "off"
"""
RELAYED = changed(
    ('\n[[wire]]\nmark = "W2"\n', RELAY),
    ('from = "B1.2"\nto = "E1.1"', 'from = "B1.2"\nto = "K1.A1"'),
    ('\n[[position]]\nname = "off"\n', WIRES),
)


def _netlist(appliance: Appliance, state: State, volts: float) -> list[str]:
    """The appliance as ngspice has it: relay contacts are switches that the current through a source of 0 V works."""
    row = branch_ohms(appliance, [state], hot=True, test_volts=volts)[0]
    pressed = branch_ohms(appliance, [replace(state, opened=_relays(appliance))], hot=True, test_volts=volts)[0]
    lines, ends = [], branch_ends(appliance).tolist()
    for k, (branch, (a, b)) in enumerate(zip(appliance.branches, ends, strict=True)):
        if branch.kind is BranchKind.COIL and math.isfinite(row[k]):
            lines += [f"r{k} t{a} m{k} {float(row[k])!r}", f"vcoil{branch.part} m{k} t{b} dc 0"]
            lines.append(
                f".model rel{branch.part} csw(it={branch.pulls_in / branch.hot_ohms!r} ih=0 ron=1e-2 roff=1e13)"
            )
        elif math.isinf(row[k]) and math.isfinite(pressed[k]):
            lines.append(f"w{k} t{a} n{k} vcoil{branch.part} rel{branch.part} off")
            lines.append(f"r{k} n{k} t{b} {max(float(pressed[k]) - 1e-2, 1e-6)!r}")
        elif math.isfinite(row[k]):
            lines.append(f"r{k} t{a} t{b} {float(row[k])!r}")
    held = {appliance.line: volts, appliance.neutral: 0.0, appliance.earth: 0.0}
    lines += [f"vheld{t.replace('.', '')} t{appliance.terminal(t)} 0 dc {v!r}" for t, v in held.items()]
    lines += [f"rair{t} t{t} 0 1e13" for t in range(len(appliance.terminals))]
    dead = {b.part for k, b in enumerate(appliance.branches) if b.kind is BranchKind.COIL and math.isinf(row[k])}
    return [line for line in lines if not any(f"vcoil{mark} rel" in line for mark in dead)]


def _relays(appliance: Appliance) -> frozenset[str]:
    return frozenset(b.part for b in appliance.branches if b.kind is BranchKind.COIL)


@pytest.mark.parametrize("appliance", EACH)
def test_relays_stand_as_the_switches_of_ngspice_do(appliance: Appliance) -> None:
    """Every position × single fault: current in from line agrees with ngspice, whose switches find how they stand."""
    states = [State(p.name, calling=calling) for p in appliance.positions for calling in (True, False)]
    states += [State(p.name, faults=frozenset({f.id})) for p in appliance.positions for f in appliance.faults]
    flow = working(appliance, states)
    name = f"i(vheld{appliance.line.replace('.', '').lower()})"
    for row, state in enumerate(states):
        found = ngspice(_netlist(appliance, state, float(flow.supply[row])), ["op", f"print {name}"])
        assert -found[name] == pytest.approx(float(flow.line_amps[row]), rel=1e-4, abs=1e-8), state


def test_the_boiler_by_hand() -> None:
    """P = 2 V²/R of the rods and the few watts of coil and neons while it calls; those of a neon when it rests."""
    states = [State("on"), State("on", calling=False), State("filling"), State("off")]
    flow = working(BOILER, states)
    on, rest, filling, off = (float(w) for w in flow.total_watts)
    assert on == pytest.approx(5600.0 + 5.0, rel=0.01)
    assert rest == pytest.approx(230.0**2 / 220e3, rel=0.01)
    assert filling == pytest.approx(rest, rel=1e-6)
    assert off == pytest.approx(0.0, abs=0.05)
    assert [pulled_in(BOILER, s) for s in states] == [{"K1"}, frozenset(), frozenset(), frozenset()]


@pytest.mark.parametrize(("volts", "pulls"), [(230.0, True), (185.0, True), (175.0, False), (90.0, False)])
def test_a_coil_pulls_in_from_its_voltage_on(volts: float, pulls: bool) -> None:
    """The file says 180 V: above it the rods heat, below it nothing but the coil draws."""
    flow = working(BOILER, [State("on")], volts=volts)
    rods = float(flow.watts[0, BOILER.branch("E1.rod")])
    assert (rods > 100.0) is pulls
    assert (rods < 0.1) is not pulls


@pytest.mark.parametrize(
    ("fault", "left", "right"),
    [
        ("coil-open", 0.0, 0.0), ("pole-a-burnt", 0.0, 2800.0), ("pole-b-burnt", 2800.0, 0.0),
        ("pole-a-welded", 2800.0, 2800.0), ("coil-wire-broken", 0.0, 0.0), ("cutout-tripped", 0.0, 0.0),
        ("float-open", 0.0, 0.0),
    ],
)  # fmt: skip
def test_what_heats_with_a_fault_of_the_contactor(fault: str, left: float, right: float) -> None:
    """Coil dead: neither rod; a pole burnt: the other rod alone. By the drawing, by hand."""
    flow = working(BOILER, [State("on", faults=frozenset({fault}))])
    for name, watts in (("E1.rod", left), ("E2.rod", right)):
        assert float(flow.watts[0, BOILER.branch(name)]) == pytest.approx(watts, rel=0.01, abs=0.1)


def test_a_welded_pole_heats_whatever_the_controls_say() -> None:
    """Pole a welded: its rod heats while the thermostat rests, while the tank fills, and switched off."""
    welded = frozenset({"pole-a-welded"})
    states = [State("on", calling=False, faults=welded), State("filling", faults=welded), State("off", faults=welded)]
    flow = working(BOILER, states)
    assert flow.watts[:, BOILER.branch("E1.rod")] == pytest.approx(2800.0, rel=0.01)
    assert flow.watts[:, BOILER.branch("E2.rod")] == pytest.approx(0.0, abs=0.1)


def test_a_dead_relay_rests_and_its_coil_is_a_resistance() -> None:
    """Dead: across the coil its winding; across a pole nothing, and a joint once it is pushed in by hand."""
    off, pushed = State("off"), State("off", opened=frozenset({"K1"}))
    lifted = State("off", lifted=frozenset({"W11", "W15"}))
    n, ends = len(BOILER.terminals), branch_ends(BOILER)
    found = resistances(n, ends, branch_ohms(BOILER, [off, pushed, lifted]))
    a, b = BOILER.terminal("K1.1"), BOILER.terminal("K1.2")
    assert found[0, a, b] > 1e6
    assert found[1, a, b] == pytest.approx(BOILER.branches[BOILER.branch("K1.a")].hot_ohms, rel=1e-3)
    coil = found[2, BOILER.terminal("K1.A1"), BOILER.terminal("K1.A2")]
    assert coil == pytest.approx(1600.0, rel=1e-3)
    burnt = branch_ohms(BOILER, [replace(pushed, faults=frozenset({"pole-a-burnt"}))])
    assert np.isinf(burnt[0, BOILER.branch("K1.a")])


def test_the_ways_a_relay_fails_are_generated() -> None:
    """Coil open or with turns bridged; each contact open, poor or welded, though it rests open: listed or generated."""
    small = replace(BOILER, faults=())
    found = {(w.sort, w.branch) for w in list_ways(small)}
    assert {(Sort.OPEN, "K1.coil"), (Sort.TURNS, "K1.coil")} <= found
    for name in ("K1.a", "K1.b"):
        assert {(Sort.OPEN, name), (Sort.JOINT, name), (Sort.WELDED, name)} <= found


def test_every_single_failure_that_leaves_the_rods_cold_and_both_neons_lit() -> None:
    """By the drawing: coil, its neutral, wire to both poles; or some kilohms before the coil: a neon glows.

    With the chain to the coil read at next to nothing, dead, those before it are out.
    """
    seen = {"element": "off", "H1": "normal", "H2": "normal", "temperature": "stays cold", "protection": "holds"}
    at_coil, before = {"K1.coil", "W12", "W1"}, {"W7", "S1.a", "W8", "S2.a", "W9", "F1", "W10", "B1", "W11"}
    found = fitting(BOILER, [], [InUse("on", seen)])
    assert {f.branch for f in found} == at_coil | before
    chain = Read(Setting("on"), ("X1.L", "K1.A1"), 0.0, 0.6)
    found = fitting(BOILER, [chain], [InUse("on", seen)])
    assert {f.branch for f in found} == at_coil


def test_every_single_failure_that_leaves_one_rod_cold() -> None:
    """Half the heat: a rod, its own wires, or its pole; never the coil, on which both hang."""
    seen = {"element": "weak", "H1": "normal", "H2": "normal", "temperature": "right", "protection": "holds"}
    found = {f.branch for f in fitting(BOILER, [], [InUse("on", seen)])}
    assert {"E1.rod", "E2.rod", "K1.a", "K1.b", "W2", "W3", "W4", "W5", "W6"} <= found
    assert not found & {"K1.coil", "W11", "W12", "B1", "F1", "S1.a", "S2.a"}


def test_a_pole_that_heats_when_it_should_not_is_welded() -> None:
    """Heat while the tank fills: of all single failures the poles alone, or the float switch, welded, can do it."""
    seen = {"element": "on when it should be off", "H1": "normal"}
    found = fitting(BOILER, [], [InUse("filling", seen, complete=False)])
    assert {(f.mode.value, f.branch) for f in found} == {("welded", n) for n in ("K1.a", "K1.b", "S2.a")}


def test_a_small_relayed_heater_is_sound(tmp_path: Path) -> None:
    """The test heater behind a relay: nothing to find fault with."""
    path = write(tmp_path, RELAYED)
    assert [f for f in check_appliance(path, scenarios=SCENARIOS) if f.severity.value == "error"] == []


@pytest.mark.parametrize(
    ("changes", "where", "said"),
    [
        # The coil behind its own contact, which breaks: it pulls in, takes its own supply away, drops out …
        ((('rests = "open" }', 'rests = "closed" }'), ('from = "B1.2"\nto = "K1.A1"', 'from = "K1.2"\nto = "K1.A1"')),
         "position[1] (off)", "come to no rest"),
        # The coil behind its own contact, which makes: it holds in once it is in.
        (((('from = "B1.2"\nto = "K1.A1"', 'from = "K1.2"\nto = "K1.A1"')),), "position[1] (off)", "hold in once"),
        ((('pulls_in = "180 V"\n', ""),), "part[6] (K1)", "pulls_in"),
        ((('winding = "1.6 kohm"\n', ""),), "part[6] (K1)", "winding"),
        ((('coil = ["A1", "A2"]\n', ""),), "part[6] (K1)", "coil"),
        ((('pulls_in = "180 V"', 'pulls_in = "0 V"'),), "part[6] (K1)", "pulls_in"),
    ],
)  # fmt: skip
def test_what_is_refused_says_where_and_how(
    tmp_path: Path, changes: tuple[tuple[str, str], ...], where: str, said: str
) -> None:
    """A relay that chatters, one that holds itself in, and one that is not described whole: one sentence each."""
    path = write(tmp_path, changed(*changes, text=RELAYED))
    with pytest.raises(ScenarioError) as caught:
        load_appliance(path, scenarios=SCENARIOS)
    assert where in str(caught.value)
    assert said in str(caught.value)
    assert caught.value.remedy


def test_a_fault_that_makes_a_relay_hold_itself_in_is_refused(tmp_path: Path) -> None:
    """The sound file is settled; a wire that its fault puts on the wrong terminal is not: the fault is named."""
    wrong = fault("coil-on-its-own-contact", "misplaced-wire", "W3", 'end = "from"\nto = "K1.2"')
    path = write(tmp_path, RELAYED + wrong)
    with pytest.raises(ScenarioError) as caught:
        load_appliance(path, scenarios=SCENARIOS)
    assert "(coil-on-its-own-contact)" in str(caught.value)


def test_a_relay_that_never_pulls_in_is_found(tmp_path: Path) -> None:
    """A coil made for more volts than there are: said with its place."""
    path = write(tmp_path, changed(('pulls_in = "180 V"', 'pulls_in = "300 V"'), text=RELAYED))
    found = [f for f in check_appliance(path, scenarios=SCENARIOS) if f.where.endswith("part[6] (K1).coil")]
    assert [f.message for f in found] == ["in no position does the coil get the 300 V that it pulls in at"]
    assert FAULTS in path.read_text("utf-8")


def test_what_a_coil_closes_is_left_to_be_found() -> None:
    """A prompt tells what warmth has closed, as a limiter's contact; what a coil closes is the circuit's to tell."""
    words = library().words
    assert "K1" not in standing(words, BOILER, "calling")
    assert "F1" in standing(words, LIBRARY["radiant-hob-zone"], "calling")
