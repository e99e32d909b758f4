"""What is read off a record, on records made by hand where the answer is plain."""

from __future__ import annotations

import numpy as np
import pytest

from probebook.errors import ScenarioError
from probebook.heating.assumed import Settling
from probebook.heating.controls import CutOut, Thermostat
from probebook.heating.figures import figures_of
from probebook.heating.record import (
    HeatRecord,
    Switching,
    cycle_period,
    duty,
    energy_kwh,
    plateau,
    settled,
    time_to,
)

#: A record that moves by 2 K in its last ten minutes, or fifth, has not settled.
SETTLING = Settling(within=2.0, part=600.0, parts=5.0, cycles=5, always=0.999)


def by_hand(**changes: object) -> HeatRecord:
    """A record of 1000 s that rises from 20 by 0.1 K/s to 80 °C and stays, at 500 W throughout."""
    times = np.arange(0.0, 1001.0)
    air = np.minimum(20.0 + 0.1 * times, 80.0)
    values: dict[str, object] = {
        "times": times,
        "nodes": ("air",),
        "temperatures": air[:, None],
        "main": "air",
        "heaters": ("air",),
        "on": np.ones(1001, dtype=bool),
        "thermostat_closed": np.ones(1001, dtype=bool),
        "cut_outs": (),
        "cut_outs_closed": np.ones((1001, 0), dtype=bool),
        "energy": 500.0 * times,
        "watts": {"top": 500.0},
        "energy_by_heater": {"top": 500_000.0},
        "switchings": (),
        "thermostat": Thermostat(75.05),
        "bulb_node": "air",
        "ambient": 20.0,
        "settling": SETTLING,
        "above": ("top",),
    }
    return HeatRecord(**{**values, **changes})  # type: ignore[arg-type]


def test_readings_of_a_ramp() -> None:
    """A straight ramp gives its times to the fraction of a sample, its plateau and its energy."""
    record = by_hand()
    assert time_to(record, 50.0) == pytest.approx(300.0)
    assert time_to(record, 75.05) == pytest.approx(550.5)
    assert time_to(record, 20.0) == 0.0
    assert time_to(record, 80.1) is None
    assert plateau(record) == pytest.approx(80.0)
    assert settled(record)
    assert energy_kwh(record) == pytest.approx(500.0 * 1000.0 / 3.6e6)
    assert duty(record) == pytest.approx(1.0)
    assert cycle_period(record) is None


def test_facts_of_a_ramp() -> None:
    """The facts hold the same readings, and nothing that did not happen."""
    facts = figures_of(by_hand())
    assert facts.reached_set_point is True
    assert facts.time_to_set_point == pytest.approx(550.5)
    assert facts.off_by == pytest.approx(4.95)
    assert facts.mean_watts == pytest.approx(500.0)
    assert facts.share_above == pytest.approx(1.0)
    assert (facts.trips, facts.trips_at, facts.tripped, facts.boils, facts.food) == (False, None, None, False, None)


def test_still_rising_is_not_settled() -> None:
    """A record that gains 20 K in its last fifth has no plateau to speak of."""
    times = np.arange(0.0, 1001.0)
    assert not settled(by_hand(temperatures=(20.0 + 0.1 * times)[:, None]))


def test_period_and_duty_come_from_exact_switchings() -> None:
    """On for 30 s of every 100 s, closing at 50, 150 … 950: period 100 s, duty 0.3, and no first heat-up in it."""
    moves, energy = [], 50_000.0
    for closing in range(50, 1000, 100):
        moves.append(Switching(float(closing), "thermostat", True, energy))
        energy += 30.0 * 500.0
        moves.append(Switching(closing + 30.0, "thermostat", False, energy))
    record = by_hand(switchings=tuple(moves))
    assert cycle_period(record) == pytest.approx(100.0)
    assert duty(record) == pytest.approx(0.3)


@pytest.mark.parametrize(("closes", "stays"), [(None, True), (60.0, False)])
def test_only_a_hand_reset_cut_out_stays_off(closes: float | None, stays: bool) -> None:
    """A trip is told with its time and name; it stays off when nothing but a hand closes it."""
    record = by_hand(
        cut_outs=(CutOut("limiter", "air", 79.0, closes),),
        cut_outs_closed=np.ones((1001, 1), dtype=bool),
        switchings=(Switching(590.0, "limiter", False, 295_000.0),),
    )
    facts = figures_of(record)
    assert (facts.trips, facts.trips_at, facts.tripped, facts.stays_off) == (True, 590.0, "limiter", stays)


def test_an_unknown_node_is_refused_by_name() -> None:
    """The error lists the nodes there are."""
    with pytest.raises(ScenarioError, match="no node 'wall'; use one of: air"):
        _ = by_hand().wall
