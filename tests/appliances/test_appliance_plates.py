"""Plates, elements and heats of the library against published limits, trade practice and theory."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from appliance_text import SCENARIOS, SMALL, changed, write

from probebook.appliances import (
    Appliance,
    State,
    at_work,
    branch_ends,
    branch_ohms,
    load_appliance,
    load_appliances,
    working,
)
from probebook.appliances.assumed import Checking
from probebook.appliances.model import BranchKind, FaultKind, PartKind
from probebook.circuit import resistances
from probebook.regions import load_region

LIBRARY = load_appliances(SCENARIOS)
REGION = load_region(SCENARIOS)
EACH = pytest.mark.parametrize("appliance", LIBRARY.values(), ids=LIBRARY)


@pytest.mark.parametrize(
    ("rated", "low", "high"),
    [
        (2000.0, 1800.0, 2100.0),
        (1000.0, 900.0, 1050.0),
        (400.0, 360.0, 420.0),
        (300.0, 270.0, 320.0),
        (150.0, 135.0, 165.0),
        (25.0, 0.0, 30.0),
    ],
)
def test_power_limits_are_those_of_the_standard(rated: float, low: float, high: float) -> None:
    """IEC 60335-1 clause 10.1, Table 1 (read as GOST R IEC 335-1-94), heating and combined appliances."""
    allowed = REGION.rule("power-input", watts=rated)
    assert (allowed.low, allowed.high) == pytest.approx((low, high))


@pytest.mark.parametrize(("rated", "milliamperes"), [(800.0, 0.75), (2000.0, 1.5), (3000.0, 2.25), (7000.0, 5.0)])
def test_leakage_limit_is_that_of_the_standard(rated: float, milliamperes: float) -> None:
    """IEC 60335-1 clause 13.2, stationary class I heating appliances (read in texts that report it)."""
    assert 1e3 * REGION.rule("leakage.stationary-heating", watts=rated).high == pytest.approx(milliamperes)


@EACH
def test_biggest_position_draws_what_the_plate_says(appliance: Appliance) -> None:
    """IEC 60335-1 clause 10.1: the input of the biggest position lies within the limits of the plate's power."""
    flow = working(appliance, [State(p.name) for p in appliance.positions], volts=appliance.plate.volts)
    allowed = REGION.rule("power-input", watts=appliance.plate.watts)
    assert allowed.low <= flow.total_watts.max() <= allowed.high


@EACH
def test_healthy_appliance_leaks_less_than_the_standard_allows(appliance: Appliance) -> None:
    """IEC 60335-1 clause 13.2 at operating temperature, for every position."""
    flow = working(appliance, [State(p.name) for p in appliance.positions])
    assert flow.residual_amps.max() <= REGION.rule("leakage.stationary-heating", watts=appliance.plate.watts).high


@EACH
def test_every_position_works_what_it_claims(appliance: Appliance) -> None:
    """The loads that get power in a position are those its file names; the energised solution is the witness."""
    for position in appliance.positions:
        heats = any(appliance.branches[appliance.branch(name)].place for name in position.heats)
        flow = working(appliance, [State(position.name)], hot=heats)
        part = appliance.assumptions.get(Checking).works_part
        assert at_work(appliance, flow, 0, part) == set(position.heats), position.name


def test_a_leakage_through_hot_insulation_works_nothing() -> None:
    """The seven-heat plate at heat 3, line on tag 3 and neutral on tag 4: section c alone is between them (Kirchhoff).

    Tags 1 and 2 float; what leaks from b to the hot plate is less than 0.25 mA, the most that IEC 60335-1 allows even a
    class II appliance.
    """
    plate = LIBRARY["solid-plate"]
    flow = working(plate, [State("3")])
    leak = abs(float(flow.amps[0, plate.branch("E1.b")]))
    assert 0.0 < leak < 0.25e-3
    assert at_work(plate, flow, 0, plate.assumptions.get(Checking).works_part) == {"E1.c"}
    assert float(working(plate, [State("3")], leaking=False).amps[0, plate.branch("E1.b")]) == 0.0


@EACH
def test_elements_are_wound_between_cold_and_hot(appliance: Appliance) -> None:
    """Hot ohms are V²/W; the alloys in use have factors from 1.00 to 1.11 (handbook and national tables)."""
    for branch in appliance.branches:
        if branch.kind is BranchKind.ELEMENT:
            assert branch.hot_ohms == pytest.approx(appliance.plate.volts**2 / branch.watts, rel=1e-12)
            assert 1.0 <= branch.hot_ohms / branch.cold_ohms <= 1.11


@EACH
def test_motors_lamps_and_neons_do_not_tell_their_power_cold(appliance: Appliance) -> None:
    """V²/R from a cold reading is out by half or more for a motor and a lamp (common practice): a trap to teach."""
    for branch in appliance.branches:
        if branch.kind in (BranchKind.MOTOR, BranchKind.LAMP):
            assert appliance.plate.volts**2 / branch.cold_ohms > 1.5 * branch.watts
        if branch.kind is BranchKind.NEON:
            cold = branch_ohms(appliance, [State(appliance.positions[0].name)])[0]
            assert np.isinf(cold[appliance.branch(branch.name)])


@EACH
def test_library_is_complete_and_our_own(appliance: Appliance) -> None:
    """Six faults or more, one of insulation or earth, one of a connection, one of a control; no worked check value."""
    kinds = {fault.kind.value for fault in appliance.faults}
    assert len(appliance.faults) >= 6
    assert kinds & {"leak", "damp", "earth-off"}
    assert kinds & {"high-resistance", "broken-wire", "misplaced-wire"}
    assert kinds & {"stuck-open", "stuck-closed", "out-of-calibration"}
    assert all(fault.basis and fault.looks and fault.mend for fault in appliance.faults)
    for branch in appliance.branches:
        for worked in (63.0, 39.0, 47.0):
            assert abs(branch.cold_ohms - worked) > 0.05


def test_library_has_the_appliances_of_the_trade() -> None:
    """The appliances the trade meets, each from a text file alone."""
    assert set(LIBRARY) == {
        "conventional-oven", "double-oven", "eye-level-grill", "fan-oven", "hot-cupboard", "immersion-heater", "kettle",
        "multifunction-oven", "radiant-hob-zone", "solid-plate", "storage-heater", "tumble-dryer", "washing-machine",
        "water-boiler",
    }  # fmt: skip
    assert len(LIBRARY["multifunction-oven"].positions) >= 8
    assert sum(p.kind is PartKind.CUT_OUT for p in LIBRARY["tumble-dryer"].parts) == 2
    assert sum(p.kind is PartKind.THERMOSTAT for p in LIBRARY["double-oven"].parts) == 2


def test_seven_heats_are_the_series_and_parallel_powers() -> None:
    """Six heats and off of the solid plate, by hand: sections in parallel add watts, in series add V²/P ohms."""
    plate = LIBRARY["solid-plate"]
    a, b, c = (plate.branches[plate.branch(f"E1.{name}")].watts for name in "abc")
    volts = plate.plate.volts

    def in_series(*watts: float) -> float:
        return volts**2 / sum(volts**2 / p for p in watts)

    by_hand = {
        "off": 0.0,
        "1": in_series(a, b, c),
        "2": in_series(b, c),
        "3": c,
        "4": a,
        "5": a + b,
        "6": a + b + c,
    }
    flow = working(plate, [State(name) for name in by_hand])
    # The wiring and contacts take up to a part in five hundred; by-hand theory leaves them out.
    np.testing.assert_allclose(flow.total_watts, list(by_hand.values()), rtol=2.5e-3, atol=1e-6)
    assert sorted(by_hand.values()) == list(by_hand.values())


@pytest.mark.parametrize(("reading", "sold_as"), [(63.0, 900.0), (39.0, 1400.0), (47.0, 1200.0)])
def test_element_readings_of_the_trade_belong_to_their_ratings(tmp_path: Path, reading: float, sold_as: float) -> None:
    """At 240 V 63 Ω is sold as 900 W, 39 Ω as 1400 W, 47 Ω as 1200 W (common practice, no published source)."""
    text = changed(
        ('voltage = "230 V"', 'voltage = "240 V"'),
        ('power = "1 kW", place', f'power = "{sold_as:g} W", place'),
        ('working = "700 degC"', 'working = "800 degC"'),
        text=SMALL + "\n[[fault]]\n" + NO_FAULT,
    )
    appliance = load_appliance(write(tmp_path, text), scenarios=SCENARIOS)
    element = appliance.branches[appliance.branch("E1.heater")]
    assert abs(element.cold_ohms / reading - 1.0) <= element.tolerance
    allowed = REGION.rule("power-input", watts=sold_as)
    hot_factor = element.hot_ohms / element.cold_ohms
    assert allowed.low <= 240.0**2 / (reading * hot_factor) <= allowed.high
    if reading == 47.0:  # 1215 W, the figure the trade works out for it
        assert 240.0**2 / (reading * hot_factor) == pytest.approx(1215.0, abs=2.0)


NO_FAULT = """id = "element-open"
kind = "open"
title = "element open"
on = "E1.heater"
likelihood = 1
basis = "invented for this test"
looks = "nothing to see"
hidden = true
mend = "fit an element of the same rating"
"""


@EACH
def test_low_supply_is_below_the_statutory_limit(appliance: Appliance) -> None:
    """GB supply limits: 230 V +10 % -6 %, that is 216.2 to 253 V; a low-supply fault lies below, the plate within."""
    assert 0.94 * 230.0 <= appliance.supply.volts <= 1.1 * 230.0
    low = [fault for fault in appliance.faults if fault.volts]
    assert low
    assert all(fault.volts < 0.94 * 230.0 for fault in low)


@EACH
def test_conductors_have_the_resistance_of_the_standard(appliance: Appliance) -> None:
    """IEC 60228 class 5 at 20 °C: 26.0, 19.5, 13.3, 7.98 and 4.95 Ω/km at 0.75, 1, 1.5, 2.5 and 4 mm², within 3 %."""
    per_kilometre = {0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95}
    for wire in appliance.wires:
        branch = appliance.branches[appliance.branch(wire.mark)]
        published = per_kilometre[round(wire.area * 1e6, 2)] * wire.length / 1e3
        assert branch.cold_ohms == pytest.approx(published, rel=0.03)


def test_half_power_at_low_supply_follows_the_square_of_the_voltage() -> None:
    """A resistance takes (V/V0)² of its power: 204 V for 230 V leaves 78.7 % (worked by hand)."""
    oven = LIBRARY["conventional-oven"]
    flow = working(oven, [State("oven"), State("oven", faults=frozenset({"low-supply"}))])
    assert flow.total_watts[1] / flow.total_watts[0] == pytest.approx((204 / 230) ** 2, rel=1e-9)


@EACH
def test_healthy_appliance_passes_in_service_inspection(appliance: Appliance) -> None:
    """IET Code of Practice limits, as reported: class I insulation 1.0 MΩ or more at 500 V, earth 0.1 Ω + lead."""
    n, ends = len(appliance.terminals), branch_ends(appliance)
    states = [State(position.name) for position in appliance.positions]
    ohms = resistances(n, ends, branch_ohms(appliance, states, test_volts=500.0))
    line, neutral, earth = (appliance.terminal(t) for t in (appliance.line, appliance.neutral, appliance.earth))
    assert np.minimum(ohms[:, line, earth], ohms[:, neutral, earth]).min() / 2.0 >= 1.0e6  # joined, at worst half
    lead = sum(
        appliance.branches[appliance.branch(w.mark)].cold_ohms
        for w in appliance.wires
        if w.is_earth and w.note == "flex"
    )
    for part in appliance.parts:
        if part.kind is PartKind.METALWORK:
            for terminal in part.terminals:
                assert ohms[:, earth, appliance.terminal(terminal)].max() <= 0.1 + lead


@EACH
def test_leaking_appliance_fails_in_service_inspection(appliance: Appliance) -> None:
    """A leak of kilohms is below even the 0.3 MΩ that the Code, as reported, allows heating equipment over 3 kW."""
    n, ends = len(appliance.terminals), branch_ends(appliance)
    earth, neutral = appliance.terminal(appliance.earth), appliance.terminal(appliance.neutral)
    for fault in appliance.faults:
        if fault.kind is FaultKind.LEAK:
            part = fault.changes[0].branch.split("~")[0]
            position = next(p.name for p in appliance.positions if part in p.heats)
            state = State(position, faults=frozenset({fault.id}))
            ohms = resistances(n, ends, branch_ohms(appliance, [state], test_volts=500.0))[0]
            assert ohms[neutral, earth] < 0.3e6


def test_insulation_of_a_part_is_what_a_meter_reads_of_it_whole() -> None:
    """Two circuits of 250 MΩ together, by hand: 500 MΩ each, and 250 MΩ from both to the metalwork."""
    cupboard = LIBRARY["hot-cupboard"]
    paths = [cupboard.branches[cupboard.branch(f"E1.{name}~CH.1")] for name in ("front", "rear")]
    assert [b.cold_ohms for b in paths] == pytest.approx([500e6, 500e6])
    assert 1.0 / sum(1.0 / b.cold_ohms for b in paths) == pytest.approx(250e6)
    assert 1.0 / sum(1.0 / b.hot_ohms for b in paths) == pytest.approx(6e6)
