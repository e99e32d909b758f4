"""Cavities and vessels against ``scipy.integrate.solve_ivp``, and laws that every record obeys."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from heating_reference import integrate
from hypothesis import given, settings
from hypothesis import strategies as st

from probebook.assumptions import load_assumptions
from probebook.errors import ScenarioError
from probebook.heating.controls import CutOut, Load, Thermostat
from probebook.heating.network import ROOM, Network
from probebook.heating.record import HeatRecord
from probebook.heating.simulate import run
from probebook.heating.spaces import conventional_oven, core, duct, fan_oven, multifunction_oven, vessel

FIGURES = load_assumptions(Path(__file__).resolve().parents[2] / "scenarios")

TRIP = CutOut("cut-out", "chamber", opens=300.0, closes=220.0, time_constant=40.0)
CASES = {
    "top and base, cycling": (
        conventional_oven(FIGURES),
        {"top": 1000.0, "base": 1300.0},
        Thermostat(200.0),
        (),
        {},
    ),
    "base open": (conventional_oven(FIGURES), {"top": 850.0}, Thermostat(200.0), (), {}),
    "ring with its fan": (fan_oven(FIGURES), {"ring": 2000.0}, Thermostat(180.0, 10.0), (TRIP,), {"fan": True}),
    "ring, fan seized": (fan_oven(FIGURES), {"ring": 2000.0}, Thermostat(180.0, 10.0), (TRIP,), {"fan": False}),
    "thermostat in the wall, welded, with a limiter": (
        multifunction_oven(FIGURES),
        {"top": 1000.0, "base": 1300.0, "ring": 2000.0},
        Thermostat(200.0, place="wall", stuck="closed"),
        (CutOut("limiter", "roof", opens=180.0, time_constant=30.0), TRIP),
        {"fan": True},
    ),
    "thermostat over one element of two": (
        conventional_oven(FIGURES),
        {"top": 800.0, "base": 1300.0},
        Thermostat(190.0, 6.0, offset=-12.0, time_constant=40.0, heaters=("base",)),
        (),
        {},
    ),
    "wet food": (
        multifunction_oven(FIGURES),
        {"top": 1000.0, "base": 1300.0},
        Thermostat(180.0),
        (),
        {"load": Load()},
    ),
    "kettle": (
        vessel(FIGURES, 1.5),
        {"element": 3000.0},
        None,
        (CutOut("steam switch", "water", opens=99.0, time_constant=8.0),),
        {},
    ),
    "dryer with a blocked filter": (
        duct(FIGURES, flow=0.015),
        {"element": 2200.0},
        None,
        (CutOut("cycling", "air", 75.0, 65.0), CutOut("safety", "element", 600.0)),
        {"fan": True},
    ),
    "storage core": (
        core(FIGURES, bricks=20_000.0),
        {"element": 2500.0},
        None,
        (CutOut("charge", "core", 300.0, 285.0, time_constant=60.0),),
        {},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_an_hour_agrees_with_a_general_solver(name: str) -> None:
    """Every node stays within 0.1 K of the solver at rtol 1e-10, and every switching within 20 ms."""
    space, watts, thermostat, cut_outs, how = CASES[name]
    record = run(space, watts, thermostat, cut_outs, seconds=3600.0, **how)
    network = space.network(**how)
    other = integrate(network, watts, thermostat, cut_outs, seconds=3600.0)
    plain = record.temperatures[:, : len(network.nodes)]
    assert np.abs(plain - other.nodes).max() < 0.1
    assert [(s.name, s.closed) for s in record.switchings] == [s[1:] for s in other.switchings]
    mine, theirs = [s.time for s in record.switchings], [s[0] for s in other.switchings]
    np.testing.assert_allclose(mine, theirs, atol=0.02 * max(1, len(mine)))
    assert record.energy[-1] == pytest.approx(other.joules, rel=1e-4)


def lost(record: HeatRecord, network: Network) -> float:
    """Joules that left for the room, by Simpson's rule over the samples of a long steady record."""
    from scipy.integrate import simpson

    out = np.zeros(len(record.times))
    for one, other, conductance in network.links:
        if ROOM in (one, other):
            node = other if one == ROOM else one
            out += conductance * (record.node(node) - record.ambient)
    return float(simpson(out, x=record.times))


@pytest.mark.parametrize("name", ["top and base, cycling", "base open", "ring with its fan", "storage core"])
def test_energy_in_is_energy_stored_and_lost(name: str) -> None:
    """What the supply gave lies in the capacities or has left through the losses, to 0.02 %."""
    space, watts, thermostat, cut_outs, how = CASES[name]
    record = run(space, watts, thermostat, cut_outs, seconds=3600.0, step=0.5, **how)
    network = space.network(**how)
    stored = sum(capacity * (record.node(node)[-1] - record.ambient) for node, capacity in network.capacities.items())
    assert stored + lost(record, network) == pytest.approx(record.energy[-1], rel=2e-4)
    assert sum(record.energy_by_heater.values()) == pytest.approx(record.energy[-1], rel=1e-12)


def test_boiling_water_gives_its_surplus_to_steam() -> None:
    """A kettle held on the boil stays at 100 °C and loses nothing but its loss: the rest is steam."""
    record = run(vessel(FIGURES, 1.0), {"element": 2000.0}, seconds=900.0)
    boiling = record.times > record.switchings[0].time + 60.0
    np.testing.assert_allclose(record.node("water")[boiling], 100.0, atol=1e-9)
    # 1 litre and the shell from 20 to 100 °C at 2 kW: (4186 + 400) J/K x 80 K / 2000 W = 183 s without
    # loss or element; loss and the element's own warming add some seconds and can take none away.
    assert 183.0 < record.switchings[0].time < 200.0


@given(
    first=st.floats(100.0, 1500.0),
    more=st.floats(0.0, 1500.0),
    fan=st.booleans(),
    ambient=st.floats(5.0, 35.0),
)
@settings(max_examples=25, deadline=None)
def test_more_power_is_never_colder(first: float, more: float, fan: bool, ambient: float) -> None:
    """Without controls, every node at every time rises with the power of any element."""
    oven = multifunction_oven(FIGURES)
    low = run(oven, {"top": first, "base": 500.0}, seconds=1800.0, step=5.0, fan=fan, ambient=ambient)
    high = run(oven, {"top": first + more, "base": 500.0}, seconds=1800.0, step=5.0, fan=fan, ambient=ambient)
    assert (high.temperatures - low.temperatures >= -1e-9).all()
    assert (np.diff(low.temperatures, axis=0) >= -1e-9).all()


@given(
    watts=st.floats(300.0, 3000.0),
    set_point=st.floats(60.0, 250.0),
    differential=st.floats(1.0, 20.0),
    lag=st.floats(1.0, 90.0),
    step=st.sampled_from([0.5, 1.0, 7.0, 60.0]),
)
@settings(max_examples=25, deadline=None)
def test_the_bulb_switches_at_its_two_temperatures(
    watts: float, set_point: float, differential: float, lag: float, step: float
) -> None:
    """At each switching the bulb is at the opening or the closing temperature, and they alternate."""
    thermostat = Thermostat(set_point, differential, time_constant=lag)
    record = run(conventional_oven(FIGURES), {"base": watts}, thermostat, seconds=3600.0, step=step)
    fine = run(conventional_oven(FIGURES), {"base": watts}, thermostat, seconds=3600.0, step=0.25)
    shared = [s.time for s in fine.switchings if s.time < record.times[-1]]
    assert [s.time for s in record.switchings] == pytest.approx(shared, abs=1e-4)
    for number, switching in enumerate(record.switchings):
        assert switching.closed is (number % 2 == 1)
        bulb = np.interp(switching.time, fine.times, fine.bulb)
        expected = thermostat.closes if switching.closed else thermostat.opens
        assert bulb == pytest.approx(expected, abs=0.05)


def test_steady_state_is_what_a_long_run_comes_to() -> None:
    """Solving the conductances at once gives the temperatures that the run ends at."""
    oven = conventional_oven(FIGURES)
    record = run(oven, {"top": 850.0}, seconds=12 * 3600.0, step=60.0)
    for node, celsius in oven.network().steady({"top": 850.0}).items():
        assert record.node(node)[-1] == pytest.approx(celsius, abs=1e-3)


def test_the_step_changes_only_how_often_one_looks() -> None:
    """Samples that two records share are the same to a microkelvin, whatever their steps."""
    space, watts, thermostat, cut_outs, how = CASES["wet food"]
    fine = run(space, watts, thermostat, cut_outs, seconds=3600.0, step=0.5, **how)
    coarse = run(space, watts, thermostat, cut_outs, seconds=3600.0, step=30.0, **how)
    np.testing.assert_allclose(coarse.temperatures, fine.temperatures[::60], atol=1e-4)
    np.testing.assert_allclose(coarse.energy, fine.energy[::60], rtol=1e-7)


def test_same_input_gives_the_same_bytes() -> None:
    """Nothing in a run is drawn by chance."""
    space, watts, thermostat, cut_outs, how = CASES["ring, fan seized"]
    one = run(space, watts, thermostat, cut_outs, seconds=1800.0, **how)
    two = run(space, watts, thermostat, cut_outs, seconds=1800.0, **how)
    assert one.temperatures.tobytes() == two.temperatures.tobytes()
    assert one.switchings == two.switchings


def test_contacts_that_are_stuck_stay_put() -> None:
    """A burnt contact draws nothing; a welded one never opens, however hot it becomes."""
    oven = conventional_oven(FIGURES)
    burnt = run(oven, {"base": 1300.0}, Thermostat(200.0, stuck="open"), seconds=1800.0)
    assert burnt.energy[-1] == 0.0
    np.testing.assert_allclose(burnt.air, 20.0, atol=1e-9)
    welded = run(oven, {"top": 1000.0, "base": 1300.0}, Thermostat(200.0, stuck="closed"), seconds=3600.0)
    assert welded.switchings == ()
    assert welded.air[-1] > 250.0
    already = run(oven, {"base": 1300.0}, cut_outs=[CutOut("c", "air", 300.0, stuck="open")], seconds=600.0)
    assert already.energy[-1] == 0.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda: run(conventional_oven(FIGURES), {"ring": 2000.0}, seconds=60.0), "no heater called 'ring'"),
        (lambda: run(conventional_oven(FIGURES), {"top": -1.0}, seconds=60.0), "power of heater 'top'"),
        (lambda: run(conventional_oven(FIGURES), {"top": 1.0}, seconds=0.0), "cannot be made"),
        (lambda: run(conventional_oven(FIGURES), {"top": 1.0}, seconds=float("nan")), "cannot be made"),
        (lambda: run(conventional_oven(FIGURES), {"top": 1.0}, Thermostat(200.0, place="lid"), seconds=60.0), "'lid'"),
        (
            lambda: run(conventional_oven(FIGURES), {"top": 1.0}, Thermostat(200.0, heaters=("hob",)), seconds=60.0),
            "hob",
        ),
        (lambda: Thermostat(200.0, differential=0.0), "differential"),
        (lambda: CutOut("c", "air", 100.0, closes=110.0), "closes at 110"),
        (lambda: run(replace(conventional_oven(FIGURES), wall=0.0), {}, seconds=60.0), "heat capacity of 'wall'"),
        (lambda: Network({"a": 1.0}, (("a", "b", 1.0),), {}), "no node called 'b'"),
        (lambda: Network({"a": 1.0}, (), {}).steady({}), "no path to the room"),
        (lambda: run(vessel(FIGURES, -1.0), {}, seconds=60.0), "litres"),
        (lambda: run(vessel(FIGURES, 1.0), {}, seconds=60.0, load=Load()), "takes food"),
        (
            lambda: run(
                conventional_oven(FIGURES),
                {"top": 1.0},
                cut_outs=[CutOut("c", "air", 100.0), CutOut("c", "wall", 90.0)],
                seconds=60.0,
            ),
            "'c' is taken",
        ),
    ],
)
def test_wrong_input_is_refused_in_one_sentence(change: object, words: str) -> None:
    """Each mistake is named, with what to do about it."""
    with pytest.raises(ScenarioError, match=words) as caught:
        change()  # type: ignore[operator]
    assert caught.value.remedy
    assert "\n" not in str(caught.value)
