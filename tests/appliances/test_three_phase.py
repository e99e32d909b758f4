"""Appliances on three phases: the format, what flows, what protects, what is read, and what ``check`` says."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from appliance_text import SCENARIOS, changed, write

from probebook.appliances import Appliance, State, branch_ends, load_appliance, load_appliances, working
from probebook.appliances.checking import check_appliance
from probebook.appliances.probing import probe_ohms
from probebook.appliances.protection import Device, Trips, protection
from probebook.appliances.supply.incoming import held_terminals
from probebook.diagnosis.candidates import Hypothesis
from probebook.diagnosis.physics.work import tripping, work_of
from probebook.diagnosis.proving import proving_trials
from probebook.diagnosis.trial_list import list_trials
from probebook.drawings.paths import carrying
from probebook.errors import ScenarioError
from probebook.meters import Function
from probebook.physical import InUse, fitting
from probebook.regions import load_region
from three_phase import spice_phasors
from three_phase_text import text

EQUAL = ("1 kW", "1 kW", "1 kW")
DELTA = ("2 kW", "2 kW", "2 kW")


def made(folder: Path, **how: object) -> Appliance:
    """The appliance of a file with these elements."""
    return load_appliance(write(folder, text(**how)), scenarios=SCENARIOS)  # type: ignore[arg-type]


def findings(folder: Path, source: str) -> list[tuple[str, str, str]]:
    """Severity, place and message with remedy of what ``check`` says of a file, informations left out."""
    found = check_appliance(write(folder, source), scenarios=SCENARIOS)
    return [(f.severity.value, f.where, str(f)) for f in found if f.severity.value != "information"]


def test_no_library_file_is_changed_by_it() -> None:
    """Every appliance that says nothing of phases has one line, neutral, and the volts of its file."""
    for appliance in load_appliances(SCENARIOS).values():
        if appliance.other_lines:
            continue
        assert appliance.live == (appliance.line, appliance.neutral)
        assert appliance.live_pairs == ((appliance.line, appliance.neutral),)
        assert (appliance.supply.between_lines, appliance.plate.between_lines) == (0.0, 0.0)


@pytest.mark.parametrize("region", ["gb", "ie", "au", "nz"])
def test_nominal_volts_are_those_of_the_region(tmp_path: Path, region: str) -> None:
    """230/400 V in all four (IEC 60038, Table 1); the file's 400 V between lines are 230 V to neutral."""
    where = load_region(SCENARIOS, region)
    assert (where.supply.nominal, where.supply.between_lines) == (230.0, 400.0)
    appliance = load_appliance(write(tmp_path, text()), scenarios=SCENARIOS, region=where)
    assert (appliance.supply.volts, appliance.supply.between_lines) == (230.0, 400.0)
    assert (appliance.plate.volts, appliance.plate.between_lines) == (230.0, 400.0)


def test_colours_of_lines_are_those_published() -> None:
    """Brown, black, grey since 2004 and red, yellow, blue before (BS 7671, appendix on harmonised colours)."""
    colours = load_region(SCENARIOS).colours
    assert colours.lines == ("brown", "black", "grey")
    assert colours.three_phase is not None
    assert colours.three_phase.lines == ("brown", "black", "grey")
    assert colours.three_phase_before is not None
    assert colours.three_phase_before.lines == ("red", "yellow", "blue")
    assert (colours.three_phase.neutral, colours.three_phase_before.neutral) == ("blue", "black")


def test_an_unlike_star_loads_its_neutral(tmp_path: Path) -> None:
    """1, 2 and 3 kW to neutral: 4.35, 8.70 and 13.04 A, and their phasor sum, 7.53 A, in neutral; by hand."""
    flow = working(made(tmp_path), [State("on")])
    assert flow.each_line[0] == pytest.approx([4.348, 8.696, 13.043], rel=2e-3)
    assert flow.neutral_amps[0] == pytest.approx(math.sqrt(3.0) * 4.348, rel=3e-3)
    assert flow.total_watts[0] == pytest.approx(6e3, rel=2e-3)
    assert flow.line_amps[0] == flow.each_line[0].max()
    assert flow.earth_amps[0] < 1e-5


def test_a_lost_neutral_overdrives_the_small_element(tmp_path: Path) -> None:
    """The star of 1, 2 and 3 kW whose neutral wire is off: 289 V on the smallest, 176 V on the largest (Millman)."""
    appliance = made(tmp_path)
    neutral = next(w.mark for w in appliance.wires if "X1.N" in (w.start, w.end))
    flow = working(appliance, [State("on", lifted=frozenset({neutral}))])
    ends = [appliance.branches[appliance.branch(f"E{k}.h")].ends for k in (1, 2, 3)]
    volts = [float(flow.between(a, b)[0]) for a, b in ends]
    lines = [230.0 * complex(math.cos(2 * math.pi * k / 3), -math.sin(2 * math.pi * k / 3)) for k in range(3)]
    point = sum((k + 1) * v for k, v in enumerate(lines)) / 6.0
    assert volts == pytest.approx([abs(v - point) for v in lines], rel=2e-3)
    assert flow.neutral_amps[0] == 0.0


@pytest.mark.parametrize(("fault", "share"), [("", 1.0), ("line-2-broken", 0.5), ("element-open", 2 / 3)])
def test_a_delta_that_loses_a_line_or_an_element(tmp_path: Path, fault: str, share: float) -> None:
    """Three of 2 kW in delta: half without a line, two thirds without an element (as published for 480 V)."""
    appliance = made(tmp_path, star=(), delta=DELTA, neutral=False)
    watts = working(appliance, [State("on", faults=frozenset({fault} - {""}))]).total_watts[0]
    # 398.4 V on elements rated for 400 V
    assert watts == pytest.approx(6e3 * share * 3 * 230.0**2 / 400.0**2, rel=3e-3)


@pytest.mark.parametrize(
    "how", [{}, {"neutral": False}, {"star": (), "delta": DELTA, "neutral": False}, {"delta": DELTA, "power": "12 kW"}]
)
def test_ngspice_finds_the_same_flow(tmp_path: Path, how: dict[str, object]) -> None:
    """Every position with every fault: currents of branches and conductors agree with ngspice's ac analysis."""
    appliance = made(tmp_path, **how)
    states = [State(p.name, faults=frozenset({f.id})) for p in appliance.positions for f in appliance.faults]
    flow = working(appliance, states)
    ends, n = branch_ends(appliance), len(appliance.terminals)
    for row in range(len(states)):
        held = held_terminals(appliance, float(flow.supply[row]))
        ohms = flow.ohms[row]
        # what no supply reaches floats; ngspice wants it tied down
        tied = [(0 if t in held else t) for t in range(n)]
        loose = [t for t in tied if t and math.isnan(flow.volts[row, t])]
        pairs = [(int(a), int(b)) for a, b in ends] + [(t, next(iter(held))) for t in loose]
        volts, supplied = spice_phasors(pairs, [*ohms.tolist(), *[1e3] * len(loose)], held, n)
        assert flow.neutral_amps[row] == pytest.approx(
            abs(supplied[len(appliance.lines)]) if appliance.neutral else 0.0, rel=1e-6, abs=1e-8
        )
        for k, (a, b) in enumerate(ends.tolist()):
            if math.isfinite(ohms[k]) and not (loose and (a in loose or b in loose)):
                assert flow.amps[row, k] == pytest.approx(abs(volts[a] - volts[b]) / ohms[k], rel=1e-6, abs=1e-9)


def test_dead_resistance_knows_no_phases(tmp_path: Path) -> None:
    """Isolated, the delta reads two thirds of an element between any two lines; of a star an element to neutral."""
    delta = made(tmp_path, star=(), delta=DELTA, neutral=False)
    cold = delta.branches[delta.branch("E4.h")].cold_ohms
    assert probe_ohms(delta, [State("on")], delta.live_pairs)[0] == pytest.approx([cold * 2 / 3] * 3, rel=3e-3)
    star = made(tmp_path, star=EQUAL, power="3 kW")
    cold = star.branches[star.branch("E1.h")].cold_ohms
    found = probe_ohms(star, [State("on"), State("off")], star.live_pairs)
    assert found[0] == pytest.approx([cold] * 3 + [2 * cold] * 3, rel=3e-3)
    assert (found[1] > 1e6).all()


def test_a_low_supply_is_stated_as_the_supply_is(tmp_path: Path) -> None:
    """360 V between lines of 400 V: nine tenths of the volts, 0.81 of the watts."""
    appliance = made(tmp_path)
    assert appliance.fault("low").volts == pytest.approx(207.0)
    watts = working(appliance, [State("on"), State("on", faults=frozenset({"low"}))]).total_watts
    assert watts[1] / watts[0] == pytest.approx(0.81)


def test_the_breaker_opens_by_the_line_that_carries_most(tmp_path: Path) -> None:
    """A pole for each line: 13 A in L3 hold in a breaker of 32 A and open one of 6 A."""
    appliance = made(tmp_path)
    small = replace(appliance, supply=replace(appliance.supply, breaker_amps=6.0))
    for one, trips in ((appliance, False), (small, True)):
        trip = next(t for t in protection(one, [State("on")])[0] if t.device is Device.BREAKER)
        assert (trip.trips is not Trips.NEVER) is trips
        assert trip.warm_amps == pytest.approx(13.04, rel=3e-3)


def test_a_leak_opens_the_residual_device(tmp_path: Path) -> None:
    """4 kΩ from L1 to earth at work: 57 mA, over 30 mA, by the diagnosis as by the energised states."""
    appliance = made(tmp_path)
    flow = working(appliance, [State("on", faults=frozenset({"element-leak"}))])
    assert flow.residual_amps[0] == pytest.approx(230.0 / 4e3, rel=2e-3)
    work = work_of(appliance, [Hypothesis(frozenset(), 0.5), Hypothesis(frozenset({"element-leak"}), 0.5)])
    assert work.residual_amps[1, 0, 1] == pytest.approx(flow.residual_amps[0], rel=1e-9)
    assert work.line_amps[1, 0, 0] == pytest.approx(float(working(appliance, [State("on")]).line_amps[0]), rel=1e-9)
    assert tripping(appliance, work, 0, 0)[1] is Trips.NEVER
    assert tripping(appliance, work, 0, 1)[1] is not Trips.NEVER


def test_every_pair_of_live_conductors_is_tried(tmp_path: Path) -> None:
    """Each line to neutral and to each other line is read, and the insulation of every conductor proved."""
    appliance = made(tmp_path)
    tried = {frozenset(t.probes) for t in list_trials(appliance) if t.probes}
    assert {frozenset(pair) for pair in appliance.live_pairs} <= tried
    wanted = {t.probes[0] for t in proving_trials(appliance) if t.function is Function.INSULATION}
    assert wanted == {"X1.N", "X1.L1", "X1.L2", "X1.L3"}
    assert all(all(t.probes) for t in list_trials(made(tmp_path, neutral=False)) if any(t.probes))


@pytest.mark.parametrize(("line", "mark", "dead"), [(1, "W1", "E1"), (2, "W2", "E2"), (3, "W3", "E3")])
def test_the_independent_search_finds_what_a_line_feeds(tmp_path: Path, line: int, mark: str, dead: str) -> None:
    """One element of the star cold: its line's wire, pole, element and leads, and nothing of the other lines."""
    source = text()
    for k in (1, 2, 3):
        old = f'mark = "E{k}"'
        before, after = source.split(old, 1)
        source = before + old + after.replace('place = "base"', f'place = "base{k}"', 1)
    appliance = load_appliance(write(tmp_path, source), scenarios=SCENARIOS)
    seen = {f"base{k}": "off" if k == line else "normal" for k in (1, 2, 3)} | {"protection": "holds"}
    found = {f.branch for f in fitting(appliance, [], [InUse("on", seen, complete=False)])}
    pole = "abc"[line - 1]
    assert {mark, f"S1.{pole}", f"{dead}.h"} <= found
    others = {f"W{k}" for k in (1, 2, 3) if k != line} | {f"S1.{p}" for p in "abc" if p != pole}
    assert not found & others


def test_the_independent_search_solves_as_the_circuit_floor(tmp_path: Path) -> None:
    """Watts of each load that the search starts from are those of the energised states, insulation left out."""
    from probebook.physical.board import board_of
    from probebook.physical.use import users

    for how in ({}, {"neutral": False}, {"delta": DELTA, "power": "12 kW"}):
        appliance = made(tmp_path, **how)
        reader = users(board_of(appliance), [InUse("on", {}, complete=False)])[0]
        rows = np.flatnonzero(board_of(appliance).load)
        flow = working(appliance, [State("on")], leaking=False)
        assert reader._usual == pytest.approx(flow.watts[0, rows], rel=1e-6)


def test_the_independent_search_allows_a_trip_of_one_pole(tmp_path: Path) -> None:
    """7 kW in place of 3 kW: 30 A in L3 open a breaker of 16 A, though its three poles would carry 10 kW shared out."""
    from probebook.physical.board import board_of
    from probebook.physical.use import users

    source = changed(('breaker = "32 A"', 'breaker = "16 A"'), text=text(power="10 kW", star=("1 kW", "2 kW", "7 kW")))
    appliance = load_appliance(write(tmp_path, source), scenarios=SCENARIOS)
    flow = working(appliance, [State("on")])
    assert flow.each_line[0] == pytest.approx([4.35, 8.70, 30.4], rel=5e-3)
    board = board_of(appliance)
    for shown, fits in (("trips", True), ("holds", True)):  # between the two sums either may be
        assert users(board, [InUse("on", {"protection": shown}, complete=False)])[0].sound() is fits
    small = replace(appliance, supply=replace(appliance.supply, breaker_amps=6.0))
    for shown, fits in (("trips", True), ("holds", False)):
        assert users(board_of(small), [InUse("on", {"protection": shown}, complete=False)])[0].sound() is fits
    large = replace(appliance, supply=replace(appliance.supply, breaker_amps=63.0))
    for shown, fits in (("trips", False), ("holds", True)):
        assert users(board_of(large), [InUse("on", {"protection": shown}, complete=False)])[0].sound() is fits


def test_current_is_drawn_through_every_line(tmp_path: Path) -> None:
    """All of star and delta lie on a path, the neutral of a balanced star too; a pole that is off cuts off its own."""
    mixed = made(tmp_path, star=EQUAL, delta=DELTA, power="9 kW")
    assert {f"E{k}.h" for k in range(1, 7)} <= carrying(mixed, "on")
    neutral = next(w.mark for w in mixed.wires if "X1.N" in (w.start, w.end))
    assert neutral in carrying(mixed, "on")
    star = made(tmp_path, star=EQUAL, power="3 kW")
    assert carrying(star, "on", lifted=["W2"]) & {"E1.h", "E2.h", "E3.h"} == {"E1.h", "E3.h"}
    assert carrying(star, "off") == frozenset()


# ---------------------------------------------------------------- what check says


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"star": EQUAL, "power": "3 kW"},
        {"star": EQUAL, "power": "3 kW", "neutral": False},
        {"star": (), "delta": DELTA, "neutral": False},
        {"delta": DELTA, "power": "12 kW"},
    ],
)
def test_sound_files_are_found_sound(tmp_path: Path, how: dict[str, object]) -> None:
    """Star, balanced star without neutral, delta and both: nothing to remark but that faults are few."""
    found = findings(tmp_path, text(**how))  # type: ignore[arg-type]
    assert [said for severity, where, said in found if "faults described" not in said] == []


@pytest.mark.parametrize(
    ("edits", "where", "says"),
    [
        # a delta element rated for the volts to neutral
        ((', voltage = "400 V"', ""), "part[4] (E4).voltage", 'write voltage = "400 V"'),
        # a line in another line's colour, and in neutral's
        (('colour = "black"', 'colour = "grey"'), "wire[2] (W2).colour", 'write colour = "black"'),
        (('colour = "grey"', 'colour = "blue"'), "wire[3] (W3).colour", 'write colour = "grey"'),
    ],
)
def test_what_cannot_be_meant_is_remarked_on(tmp_path: Path, edits: tuple[str, str], where: str, says: str) -> None:
    """Each with its place and its remedy."""
    source = text(star=(), delta=DELTA, neutral=False)
    found = findings(tmp_path, changed(edits, text=source))
    assert any(place == f"small.toml: {where}" and says in said for _, place, said in found), found


@pytest.mark.parametrize(
    ("edits", "where", "says"),
    [
        # neutral in a line's colour: the star's last wire, W10
        (
            ('to = "X1.N"\ncolour = "blue"', 'to = "X1.N"\ncolour = "brown"'),
            "wire[10] (W10).colour",
            "brown, the colour of L1, is on the terminal of neutral",
        ),
        (
            ('to = "X1.N"\ncolour = "blue"', 'to = "X1.N"\ncolour = "black"'),
            "wire[10] (W10).colour",
            'write colour = "blue"',
        ),
        # volts to neutral where those between two lines belong
        (
            ('phases = 3\nvoltage = "400 V"', 'phases = 3\nvoltage = "230 V"'),
            "supply.voltage",
            'voltage is that between two lines; write voltage = "400 V"',
        ),
    ],
)
def test_what_cannot_be_meant_of_a_star_is_remarked_on(
    tmp_path: Path, edits: tuple[str, str], where: str, says: str
) -> None:
    """One warning, with its place and its remedy."""
    found = findings(tmp_path, changed(edits, text=text()))
    assert [(severity, says in said) for severity, place, said in found if place == f"small.toml: {where}"] == [
        ("warning", True)
    ], found


def test_a_star_element_rated_between_lines_is_remarked_on(tmp_path: Path) -> None:
    """Rated for 400 V and wired to neutral it gets 230 V; its remedy is taken at its word."""
    source = text(star=EQUAL, power="3 kW")
    rated = changed(
        ('power = "1 kW", place = "base"', 'power = "1 kW", voltage = "400 V", place = "base"'), text=source
    )
    found = [said for _, place, said in findings(tmp_path, rated) if place.endswith("(E1).voltage")]
    assert len(found) == 1
    assert "rated for 400 V, and the most it gets is 230 V" in found[0]
    assert "leave voltage out" in found[0]
    assert not [said for _, place, said in findings(tmp_path, source) if place.endswith(".voltage")]


def test_a_short_between_lines_is_an_error(tmp_path: Path) -> None:
    """A position that joins L1 to L2 says so."""
    source = changed(('from = "X1.L2"', 'from = "X1.L1"'), text=text())
    moved = changed(('from = "S1.2"', 'from = "X1.L2"'), text=source)
    found = findings(tmp_path, changed(('to = "S1.3"', 'to = "X1.L2"'), text=moved))
    assert any("shorts L1 to L2" in said for _, _, said in found), found


@pytest.mark.parametrize(
    ("edits", "where", "says"),
    [
        (('"L1", "L2", "L3", "N", "E"', '"L", "N", "E"'), "part[1] (X1).tags", "no terminal L1 and L2 and L3"),
        (('"L1", "L2", "L3", "N", "E"', '"L1", "N", "E"'), "part[1] (X1).tags", "no terminal L2 and L3"),
        (('"L1", "L2", "L3", "N", "E"', '"L1", "L2", "N", "E"'), "part[1] (X1).tags", "no terminal L3"),
        (("phases = 3\n", ""), "supply.phases", "write phases = 3"),
        (("phases = 3", "phases = 2"), "supply.phases", "phases"),
        (('kind = "fixed"\nphases', 'kind = "plug"\nfuse = "13 A"\nphases'), "supply.fuse", "leave fuse out"),
    ],
)
def test_half_a_three_phase_supply_is_refused(tmp_path: Path, edits: tuple[str, str], where: str, says: str) -> None:
    """One sentence with file, key and remedy."""
    path = write(tmp_path, changed(edits, text=text()))
    with pytest.raises(ScenarioError) as caught:
        load_appliance(path, scenarios=SCENARIOS)
    assert f"small.toml: {where}" in str(caught.value)
    assert says in str(caught.value)


def test_a_region_without_the_pair_refuses_three_phases(tmp_path: Path) -> None:
    """Where the region's file does not name the volts between lines, the file is refused and the key named."""
    gb = load_region(SCENARIOS)
    without = replace(gb, supply=replace(gb.supply, between_lines=0.0))
    with pytest.raises(ScenarioError, match="between_lines"):
        load_appliance(write(tmp_path, text()), scenarios=SCENARIOS, region=without)
