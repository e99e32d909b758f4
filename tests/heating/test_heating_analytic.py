"""One heat capacity, solved on paper: first principles, reference-free.

With ``C dT/dt = P - (T - Ta) / R``: steady state ``Ta + P R``; time to a temperature
``-R C ln(1 - (T - Ta) / (P R))``; and, cycling between two temperatures, on and off times from the
same exponential, which for a narrow differential give the duty ``(T - Ta) / (P R)``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probebook.heating.assumed import Settling
from probebook.heating.controls import CutOut, Load, Thermostat
from probebook.heating.network import ROOM, Network
from probebook.heating.record import cycle_period, duty, energy_kwh, plateau, settled, time_to
from probebook.heating.simulate import run

#: A record that moves by 2 K in its last ten minutes, or fifth, has not settled.
SETTLING = Settling(within=2.0, part=600.0, parts=5.0, cycles=5, always=0.999)


@dataclass(frozen=True)
class OneCapacity:
    """A single body with one loss: the oven of a school textbook."""

    capacity: float = 4000.0
    resistance: float = 0.18
    main: str = "air"
    settling: Settling = SETTLING

    def network(self, *, fan: bool = False, load: Load | None = None) -> Network:
        """One node, one link; neither fan nor food."""
        del fan, load
        return Network({"air": self.capacity}, (("air", ROOM, 1.0 / self.resistance),), {"element": "air"})

    def above(self) -> tuple[str, ...]:
        """Nothing lies above."""
        return ()


@given(
    capacity=st.floats(500.0, 20_000.0),
    resistance=st.floats(0.05, 1.0),
    watts=st.floats(200.0, 4000.0),
    part=st.floats(0.05, 0.95),
    ambient=st.floats(-10.0, 40.0),
)
@settings(max_examples=40, deadline=None)
def test_time_to_a_temperature_follows_the_logarithm(
    capacity: float, resistance: float, watts: float, part: float, ambient: float
) -> None:
    """The time to any part of the rise is -R C ln(1 - part), whatever the numbers are."""
    target = ambient + part * watts * resistance
    expected = -resistance * capacity * math.log(1.0 - part)
    length = max(10.0, 1.2 * expected)
    record = run(
        OneCapacity(capacity, resistance), {"element": watts}, seconds=length, step=length / 2000, ambient=ambient
    )
    found = time_to(record, target)
    assert found is not None
    assert found == pytest.approx(expected, rel=2e-5, abs=1e-3)


def test_steady_state_is_power_times_resistance() -> None:
    """After 20 time constants the rise is P R to the last digits, and it counts as settled."""
    record = run(OneCapacity(), {"element": 1000.0}, seconds=20 * 720.0, step=10.0)
    assert record.air[-1] == pytest.approx(20.0 + 180.0, abs=1e-5)
    assert settled(record)
    assert plateau(record) == pytest.approx(200.0, abs=1e-3)
    assert energy_kwh(record) == pytest.approx(1.0 * 20 * 720 / 3600, rel=1e-12)


@pytest.mark.parametrize("differential", [0.5, 4.0, 20.0])
def test_cycling_obeys_the_exponentials_on_paper(differential: float) -> None:
    """A bulb without lag gives the on and off times, period and duty of the closed form."""
    space, watts, set_point = OneCapacity(), 1600.0, 180.0
    record = run(space, {"element": watts}, Thermostat(set_point, differential, time_constant=0.0), seconds=7200.0)
    tau, full = space.resistance * space.capacity, 20.0 + watts * space.resistance
    high, low = set_point + differential / 2, set_point - differential / 2
    heating = tau * math.log((full - low) / (full - high))
    cooling = tau * math.log((high - 20.0) / (low - 20.0))
    assert cycle_period(record) == pytest.approx(heating + cooling, rel=1e-6)
    assert duty(record) == pytest.approx(heating / (heating + cooling), rel=1e-6)
    expected = -tau * math.log(1.0 - (high - 20.0) / (full - 20.0))
    for number, switching in enumerate(record.switchings):
        assert switching.time == pytest.approx(expected, abs=1e-5)
        assert switching.closed is (number % 2 == 1)
        expected += heating if switching.closed else cooling
    assert record.air.max() <= high + 1e-9
    assert record.air[round(record.switchings[0].time) + 1 :].min() >= low - 1e-9


def test_duty_of_a_narrow_differential_is_the_ratio_of_rises() -> None:
    """With a differential of 0.2 K the duty is (Tset - Ta) / (P R) to a thousandth."""
    record = run(OneCapacity(), {"element": 1600.0}, Thermostat(180.0, 0.2, time_constant=0.0), seconds=3600.0)
    assert duty(record) == pytest.approx(160.0 / (1600.0 * 0.18), abs=1e-3)


def test_a_lagging_bulb_obeys_its_closed_form() -> None:
    """While the body warms, the bulb runs behind it by the two-exponential formula."""
    space, lag, watts = OneCapacity(), 60.0, 1000.0
    record = run(space, {"element": watts}, Thermostat(500.0, time_constant=lag), seconds=3600.0)
    tau, rise, t = space.resistance * space.capacity, watts * space.resistance, record.times
    bulb = 20.0 + rise * (1.0 - (tau * np.exp(-t / tau) - lag * np.exp(-t / lag)) / (tau - lag))
    assert np.abs(record.bulb - bulb).max() < 1e-4


def test_a_body_without_loss_warms_at_power_over_capacity() -> None:
    """With nowhere for the heat to go, the temperature is a straight line of slope P / C."""

    @dataclass(frozen=True)
    class Sealed(OneCapacity):
        def network(self, *, fan: bool = False, load: Load | None = None) -> Network:
            del fan, load
            return Network({"air": 4000.0}, (), {"element": "air"})

    record = run(Sealed(), {"element": 1000.0}, seconds=600.0)
    np.testing.assert_allclose(record.air, 20.0 + 0.25 * record.times, rtol=1e-12)


def test_a_hand_reset_cut_out_trips_once_and_the_body_cools() -> None:
    """After it trips at the time on paper, the temperature falls as an exponential and stays off."""
    space = OneCapacity()
    record = run(
        space,
        {"element": 1600.0},
        cut_outs=[CutOut("limiter", "air", opens=150.0, time_constant=0.0)],
        seconds=3600.0,
    )
    tau = space.resistance * space.capacity
    (trip,) = record.switchings
    assert trip.name == "limiter"
    assert not trip.closed
    assert trip.time == pytest.approx(-tau * math.log(1.0 - 130.0 / 288.0), abs=1e-6)
    after = record.times > trip.time
    cooling = 20.0 + 130.0 * np.exp(-(record.times[after] - trip.time) / tau)
    np.testing.assert_allclose(record.air[after], cooling, atol=1e-7)
    assert not record.on[after].any()
    assert record.energy[-1] == pytest.approx(1600.0 * trip.time, rel=1e-12)
