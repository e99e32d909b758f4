"""What the default oven must do, sound and faulty; reference-values §10 gives orders of magnitude."""

from __future__ import annotations

from pathlib import Path

import pytest

from probebook.assumptions import load_assumptions
from probebook.errors import ScenarioError
from probebook.heating.controls import CutOut, Thermostat
from probebook.heating.figures import figures_of
from probebook.heating.record import duty, plateau, time_to
from probebook.heating.simulate import run, watts_from_ohms
from probebook.heating.spaces import conventional_oven, fan_oven

FIGURES = load_assumptions(Path(__file__).resolve().parents[2] / "scenarios")

AT_200 = Thermostat(200.0, 8.0)


@pytest.mark.parametrize("top", [900.0, 1000.0, 1200.0])
def test_a_sound_oven_reaches_200_in_ten_to_sixteen_minutes(top: float) -> None:
    """2.2 to 2.5 kW brings the air to 200 °C in 10 to 16 min (published pre-heats: 7 to 20 min, weak sources)."""
    facts = figures_of(run(conventional_oven(FIGURES), {"top": top, "base": 1300.0}, AT_200, seconds=3600.0))
    assert facts.reached_set_point
    assert facts.time_to_set_point is not None
    assert 600.0 <= facts.time_to_set_point <= 960.0
    assert facts.off_by == pytest.approx(0.0, abs=3.0)
    assert facts.cycles >= 5
    assert not facts.trips


def test_holding_200_takes_about_a_kilowatt() -> None:
    """The mean input while it cycles lies within a factor 1.4 of the one published meter reading, 1 kW."""
    facts = figures_of(run(conventional_oven(FIGURES), {"top": 1000.0, "base": 1300.0}, AT_200, seconds=7200.0))
    assert 1000.0 / 1.4 < facts.duty * 2300.0 < 1000.0 * 1.4


@pytest.mark.parametrize("top", [750.0, 800.0, 850.0, 900.0])
def test_with_its_base_element_open_it_stays_pale(top: float) -> None:
    """The top element alone settles at 100 to 120 °C and never cycles (common practice, no published source)."""
    facts = figures_of(run(conventional_oven(FIGURES), {"top": top}, AT_200, seconds=7200.0))
    assert 100.0 <= facts.plateau <= 120.0
    assert facts.settled
    assert facts.cycles == 0
    assert facts.duty == pytest.approx(1.0)
    assert facts.reached_set_point is False
    assert facts.time_to_set_point is None
    assert facts.share_above == 1.0


def test_low_supply_voltage_is_slow_but_arrives() -> None:
    """At 200 V in place of 230 V power falls with the square: slower by more than 1/0.756, same plateau."""
    oven, part = conventional_oven(FIGURES), (200.0 / 230.0) ** 2
    sound = run(oven, {"top": 1000.0, "base": 1300.0}, AT_200, seconds=3600.0)
    low = run(oven, {"top": 1000.0 * part, "base": 1300.0 * part}, AT_200, seconds=3600.0)
    first, second = time_to(sound, 200.0), time_to(low, 200.0)
    assert first is not None
    assert second is not None
    assert second > first / part
    assert figures_of(low).plateau == pytest.approx(figures_of(sound).plateau, abs=2.0)


def test_calibration_shift_moves_the_plateau_by_as_much() -> None:
    """A thermostat 25 K out runs the oven 25 K out, within its own differential."""
    oven, watts = conventional_oven(FIGURES), {"top": 1000.0, "base": 1300.0}
    level = figures_of(run(oven, watts, AT_200, seconds=5400.0)).plateau
    hot = figures_of(run(oven, watts, Thermostat(200.0, offset=25.0), seconds=5400.0))
    assert hot.plateau - level == pytest.approx(25.0, abs=3.0)
    assert hot.off_by == pytest.approx(25.0, abs=4.0)


def test_a_ring_element_without_its_fan_trips_its_cut_out() -> None:
    """With the fan running the cut-out never moves; seized, it opens within ten minutes, long before 200 °C."""
    oven, cut_out = fan_oven(FIGURES), CutOut("cut-out", "chamber", 300.0, time_constant=40.0)
    sound = figures_of(run(oven, {"ring": 2000.0}, AT_200, [cut_out], seconds=3600.0, fan=True))
    assert not sound.trips
    assert sound.reached_set_point
    seized = figures_of(run(oven, {"ring": 2000.0}, AT_200, [cut_out], seconds=3600.0, fan=False))
    assert seized.trips
    assert seized.trips_at is not None
    assert seized.trips_at < 600.0
    assert seized.stays_off
    assert seized.reached_set_point is False


def test_a_fan_makes_the_same_power_quicker() -> None:
    """Stirred air takes the heat of the same two elements to 200 °C no later than still air does to the bulb."""
    oven = conventional_oven(FIGURES)
    still = run(oven, {"top": 1000.0, "base": 1300.0}, AT_200, seconds=3600.0, fan=False)
    stirred = run(oven, {"top": 1000.0, "base": 1300.0}, AT_200, seconds=3600.0, fan=True)
    assert figures_of(stirred).swing < figures_of(still).swing
    assert stirred.elements[:, 0].max() < still.elements[:, 0].max()


def test_power_comes_from_volts_and_hot_ohms() -> None:
    """At 230 V 26.45 ohm draws 2 kW and 52.90 ohm 1 kW (reference values for IEC 60335-1); open draws nothing."""
    watts = watts_from_ohms(230.0, {"ring": 26.45, "top": 52.90, "base": float("inf")})
    assert watts == pytest.approx({"ring": 2000.0, "top": 1000.0, "base": 0.0})
    with pytest.raises(ScenarioError, match="'base'"):
        watts_from_ohms(230.0, {"base": 0.0})


def test_what_never_switches_levels_off_where_its_record_ends() -> None:
    """Table, graph and sentence say one temperature of an oven whose base element is open: that at the end."""
    record = run(conventional_oven(FIGURES), {"top": 820.0}, AT_200, seconds=3600.0)
    assert figures_of(record).plateau == pytest.approx(float(record.air[-1]), abs=1e-9)
    assert figures_of(record).plateau == pytest.approx(float(record.air.max()), abs=0.5)


def _loss(watts: dict[str, float], *, fan: bool = False) -> float:
    """Watts that a kelvin of the air above the room costs, read off a record as a practitioner would."""
    space = fan_oven(FIGURES) if "ring" in watts else conventional_oven(FIGURES)
    record = run(space, watts, AT_200, seconds=7200.0, fan=fan, ambient=20.0)
    return duty(record) * sum(watts.values()) / (plateau(record) - 20.0)


def test_the_records_of_an_oven_agree_on_what_a_kelvin_costs() -> None:
    """The loss a kelvin, read off the records of one oven, differs by a fifth from 7.6 W/K at most.

    Common practice, no published source: top heat alone stays under the roof and costs most (it holds 100 to 120 °C),
    bottom heat rises through the whole cavity and costs least. The one published reading, 1 kW at 200 °C, lies below.
    """
    usual = _loss({"top": 820.0, "base": 1500.0})
    ring = _loss({"ring": 2200.0}, fan=True)
    top, base = _loss({"top": 820.0}), _loss({"base": 1500.0})
    assert ring == pytest.approx(usual, rel=0.05)
    assert base < usual < top
    assert top < 1.5 * base
    for each in (usual, ring, top, base):
        assert each == pytest.approx(7.8, rel=0.22)
