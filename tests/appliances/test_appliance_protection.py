"""Which device trips, and when: published points of the devices, and the faults of the library."""

from __future__ import annotations

import numpy as np
import pytest
from appliance_text import SCENARIOS

from probebook.appliances import Appliance, State, load_appliances, working
from probebook.appliances.model import FaultKind
from probebook.appliances.protection import Device, Trip, Trips, protection, trips_at
from probebook.regions import load_region

LIBRARY = load_appliances(SCENARIOS)
DEVICES = load_region(SCENARIOS).devices
EACH = pytest.mark.parametrize("appliance", LIBRARY.values(), ids=LIBRARY)


@pytest.mark.parametrize(
    ("amps", "when"),
    [(18.0, Trips.NEVER), (20.0, Trips.PERHAPS), (23.3, Trips.MINUTES), (47.0, Trips.MINUTES), (80.0, Trips.AT_ONCE)],
)
def test_breaker_keeps_to_the_bands_of_its_standard(amps: float, when: Trips) -> None:
    """IEC 60898-1, type B, 16 A: 1.13 In (18.08 A) holds, 1.45 In (23.2 A) trips within the hour, 5 In at once."""
    assert trips_at(Device.BREAKER, amps, 16.0, DEVICES) is when


@pytest.mark.parametrize(
    ("amps", "when"),
    [(20.0, Trips.NEVER), (23.0, Trips.PERHAPS), (24.8, Trips.MINUTES), (30.0, Trips.MINUTES), (100.0, Trips.AT_ONCE)],
)
def test_plug_fuse_keeps_to_the_bands_of_its_standard(amps: float, when: Trips) -> None:
    """BS 1362, 13 A: 1.6 In (20.8 A) holds, 1.9 In (24.7 A) blows in half an hour; 100 A at once from memory."""
    assert trips_at(Device.FUSE, amps, 13.0, DEVICES) is when


@pytest.mark.parametrize(
    ("milliamperes", "when"), [(15.0, Trips.NEVER), (15.1, Trips.PERHAPS), (29.9, Trips.PERHAPS), (30.0, Trips.AT_ONCE)]
)
def test_residual_device_keeps_to_the_bands_of_its_standard(milliamperes: float, when: Trips) -> None:
    """IEC 61008-1, 30 mA: half must not trip it, all of it must within 0.3 s; between, it may."""
    assert trips_at(Device.RESIDUAL, milliamperes * 1e-3, 30e-3, DEVICES) is when


def test_a_device_that_is_not_there_never_trips() -> None:
    """An appliance without a plug fuse has a rating of 0 for it."""
    assert trips_at(Device.FUSE, 1e6, 0.0, DEVICES) is Trips.NEVER


def _by_device(appliance: Appliance, state: State) -> dict[Device, Trip]:
    return {trip.device: trip for trip in protection(appliance, [state])[0]}


@EACH
def test_healthy_appliance_trips_nothing(appliance: Appliance) -> None:
    """No device trips in any position, cold or warm, at 230 V or at the upper GB limit of 253 V."""
    states = [State(position.name) for position in appliance.positions]
    for volts in (230.0, 253.0):
        for trips in protection(appliance, states, volts=volts):
            assert {trip.trips for trip in trips} == {Trips.NEVER}


@EACH
def test_leaks_trip_only_the_residual_device_and_most_only_when_warm(appliance: Appliance) -> None:
    """A leak or damp of kilohms is far too little for fuse or breaker; current = V/R worked by hand."""
    for fault in appliance.faults:
        if fault.kind not in (FaultKind.LEAK, FaultKind.DAMP):
            continue
        change = fault.changes[0]
        part = change.branch.split("~")[0]
        position = next(p.name for p in appliance.positions if part in p.heats)
        trips = _by_device(appliance, State(position, faults=frozenset({fault.id})))
        residual = trips.pop(Device.RESIDUAL)
        assert {trip.trips for trip in trips.values()} == {Trips.NEVER}
        assert residual.trips in (Trips.PERHAPS, Trips.MINUTES, Trips.AT_ONCE)
        assert change.force is not None
        assert change.force_hot is not None
        assert change.force_hot < change.force
        if appliance.id != "solid-plate":  # there the leaking end may sit at part of the voltage
            assert residual.cold_amps == pytest.approx(230.0 / change.force, rel=0.02)
            assert residual.warm_amps == pytest.approx(230.0 / change.force_hot, rel=0.02)


@EACH
def test_damp_is_gone_after_a_drying_run(appliance: Appliance) -> None:
    """Dried out, a damp element leaks as a sound one does and trips nothing."""
    for fault in appliance.faults:
        if fault.kind is FaultKind.DAMP:
            assert fault.recovers
            for position in appliance.positions:
                dried = State(position.name, faults=frozenset({fault.id}), dried=True)
                assert {trip.trips for trip in protection(appliance, [dried])[0]} == {Trips.NEVER}
                flow = working(appliance, [dried, State(position.name)])
                assert flow.residual_amps[0] == flow.residual_amps[1]


@EACH
def test_without_its_earth_a_leaking_appliance_trips_nothing_and_its_metal_is_live(appliance: Appliance) -> None:
    """With the bond off nothing comes back by earth: nothing trips; metal stands near 230 V, or at the leak's share."""
    leak = next(f for f in appliance.faults if f.kind is FaultKind.LEAK)
    part = leak.changes[0].branch.split("~")[0]
    metal = leak.changes[0].branch.split("~")[1]
    position = next(p.name for p in reversed(appliance.positions) if part in p.heats)
    bond = next(f for f in appliance.faults if f.id == "earth-off")
    both = State(position, faults=frozenset({leak.id, bond.id}))
    flow = working(appliance, [both])
    assert _by_device(appliance, both)[Device.RESIDUAL].trips is Trips.NEVER
    near, *far = [1.0 / change.force_hot for change in leak.changes if change.force_hot]
    share = near / (near + sum(far))  # of the volts, at the point of the element that leaks
    assert abs(flow.volts[0, appliance.terminal(metal)]) == pytest.approx(230.0 * share, rel=0.13)


def test_a_welded_plate_switch_is_a_dead_short_in_three_heats() -> None:
    """With contact l4 welded, heats 1, 3 and 6 close n4 as well: line meets neutral and the breaker goes at once."""
    plate = LIBRARY["solid-plate"]
    for name, when in (("1", True), ("2", False), ("3", True), ("4", False), ("5", False), ("6", True)):
        trips = _by_device(plate, State(name, faults=frozenset({"contact-l4-welded"})))
        assert (trips[Device.BREAKER].trips is Trips.AT_ONCE) is when


def test_a_seized_motor_still_draws() -> None:
    """Seizing stops the fan, not its current (the element's cut-out has to act)."""
    oven = LIBRARY["fan-oven"]
    flow = working(oven, [State("fan-oven"), State("fan-oven", faults=frozenset({"fan-seized"}))])
    np.testing.assert_array_equal(flow.watts[0], flow.watts[1])
    assert oven.fault("fan-seized").stops == "M1"


def test_what_does_not_come_back_by_neutral_goes_to_earth() -> None:
    """Kirchhoff's current law: line current less neutral current is earth current."""
    oven = LIBRARY["conventional-oven"]
    flow = working(oven, [State(p.name, faults=frozenset({"base-leak"})) for p in oven.positions])
    np.testing.assert_allclose(flow.line_amps - flow.neutral_amps, flow.residual_amps, atol=1e-12)
