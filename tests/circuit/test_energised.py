"""Potentials, currents and powers, against exact fractions, Kirchhoff, Tellegen and ngspice."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from exact_networks import connected_networks, exact_volts, networks, series_parallel
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import spice
from probebook.circuit import conductance_matrix, energise, resistance_between, resistances, sensitivity

Network = tuple[int, list[tuple[int, int]], list[float]]

open_too = st.one_of(*[st.floats(-3, 9).map(lambda e: 10.0**e)] * 3, st.just(math.inf))
tame = st.floats(0, 4).map(lambda e: 10.0**e)


@given(networks(open_too), st.data())
def test_potentials_agree_with_exact_fractions(network: Network, data: st.DataObject) -> None:
    """Every potential under mains on one terminal and earth on others is right to 1e-12, floating ones not a number."""
    n, ends, ohms = network
    held = {0: 230.0, n - 1: 0.0}
    if n > 3 and data.draw(st.booleans()):
        held[1] = 115.0
    found = energise(n, ends, ohms, held)
    for value, truth in zip(found.volts.tolist(), exact_volts(n, ends, ohms, held), strict=True):
        if truth is None:
            assert math.isnan(value)
        else:
            assert abs(Fraction(value) - truth) <= Fraction(1e-12) * truth


@given(series_parallel())
def test_currents_in_series_and_parallel_lose_nothing(network: Network) -> None:
    """Where no currents oppose, each is right to 1e-12 itself, amperes and nanoamperes in one network."""
    n, ends, ohms = network
    found = energise(n, ends, ohms, {0: 230.0, 1: 0.0})
    volts = exact_volts(n, ends, ohms, {0: 230.0, 1: 0.0})
    for (a, b), r, amps, watts in zip(ends, ohms, found.amps.tolist(), found.watts.tolist(), strict=True):
        across = volts[a] - volts[b]  # type: ignore[operator]
        truth = across / Fraction(r)
        assert abs(Fraction(amps) - truth) <= Fraction(1e-12) * abs(truth)
        assert abs(Fraction(watts) - across * truth) <= Fraction(1e-12) * across * truth


def test_leakage_through_a_link_is_as_exact_as_the_load() -> None:
    """The nanoamperes that 10 Gohm of insulation draws through a 0.05 ohm link come out to the last digits."""
    # 0 live; 1 behind a link; 2 neutral; 3 earth. Subtracting potentials would leave six digits.
    found = energise(4, [(0, 1), (1, 3), (0, 2)], [0.05, 1e10, 23.0], {0: 230.0, 2: 0.0, 3: 0.0})
    assert found.amps[0] == pytest.approx(230 / (1e10 + 0.05), rel=1e-15)
    assert found.amps[2] == pytest.approx(10.0, rel=1e-15)
    assert found.supplied.tolist() == pytest.approx([10.0 + 2.3e-8, -10.0, -2.3e-8], rel=1e-11)


@given(connected_networks(), st.floats(-400, 400), st.floats(-400, 400))
def test_kirchhoff_s_current_law(network: Network, one: float, other: float) -> None:
    """At each terminal that is not held as much current arrives as leaves; at a held one the supply makes it up."""
    n, ends, ohms = network
    found = energise(n, ends, ohms, {0: one, n - 1: other})
    for t in range(n):
        out = sum(x for (a, b), x in zip(ends, found.amps, strict=True) if a == t and b != t)
        out -= sum(x for (a, b), x in zip(ends, found.amps, strict=True) if b == t and a != t)
        size = sum(abs(x) for e, x in zip(ends, found.amps, strict=True) if t in e)
        supplied = {0: found.supplied[0], n - 1: found.supplied[1]}.get(t, 0.0)
        assert out == pytest.approx(supplied, abs=1e-12 * size + 1e-300)


@given(networks(open_too), st.floats(0, 400), st.floats(-400, 0))
def test_power_balances(network: Network, one: float, other: float) -> None:
    """The supplies give what the branches turn to heat, and no branch takes less than nothing."""
    n, ends, ohms = network
    found = energise(n, ends, ohms, {0: one, n - 1: other})
    assert (found.watts >= 0).all()
    given_off = one * found.supplied[0] + other * found.supplied[1]
    assert found.watts.sum() == pytest.approx(given_off, rel=1e-12, abs=1e-290)


@given(networks(open_too))
def test_the_supply_sees_the_resistance(network: Network) -> None:
    """With two terminals held, the current is the voltage over the resistance between them."""
    n, ends, ohms = network
    found = energise(n, ends, ohms, {0: 230.0, n - 1: 0.0})
    assert found.supplied[0] == pytest.approx(230.0 / resistances(n, ends, ohms)[0, n - 1], rel=1e-12)


def test_an_element_on_the_mains() -> None:
    """2 kW at 230 V: 26.45 ohm draws 8.696 A (Ohm and Joule)."""
    found = energise(2, [(0, 1)], [230.0**2 / 2000.0], {0: 230.0, 1: 0.0})
    assert found.watts[0] == pytest.approx(2000.0, rel=1e-15)
    assert found.amps[0] == pytest.approx(2000.0 / 230.0, rel=1e-15)
    assert found.supplied.tolist() == pytest.approx([2000.0 / 230.0, -2000.0 / 230.0], rel=1e-15)


def test_direction_is_from_first_end_to_second() -> None:
    """Turning a branch round turns the sign of its current and nothing else."""
    there = energise(3, [(0, 1), (1, 2)], [3.0, 7.0], {0: 10.0, 2: 0.0})
    back = energise(3, [(1, 0), (2, 1)], [3.0, 7.0], {0: 10.0, 2: 0.0})
    assert there.amps.tolist() == pytest.approx([1.0, 1.0])
    np.testing.assert_array_equal(back.amps, -there.amps)
    np.testing.assert_array_equal(back.volts, there.volts)
    np.testing.assert_array_equal(back.watts, there.watts)


def test_a_floating_part_has_no_potential_and_no_current() -> None:
    """What no held terminal reaches is not a number in volts and nought in amperes and watts."""
    ends = [(0, 1), (1, 2), (2, 3), (3, 4), (4, 2)]
    found = energise(6, ends, [10.0, math.inf, 5.0, 0.0, 7.0], {0: 230.0, 1: 0.0})
    assert found.volts[:2].tolist() == [230.0, 0.0]
    assert np.isnan(found.volts[2:]).all()
    assert found.amps.tolist() == [23.0, 0, 0, 0, 0]
    assert found.watts.tolist() == [5290.0, 0, 0, 0, 0]


def test_an_opened_link_floats_in_its_state_alone() -> None:
    """In a batch, a terminal cut off in one state keeps its potential in the others."""
    ohms = np.array([[[10.0, 10.0]], [[10.0, math.inf]], [[math.inf, 10.0]], [[math.inf, math.inf]]])
    found = energise(3, [(0, 1), (1, 2)], ohms, {0: 230.0, 2: 0.0})
    assert found.volts.shape == (4, 1, 3)
    assert found.volts[:3, 0, 1].tolist() == [115.0, 230.0, 0.0]
    assert np.isnan(found.volts[3, 0, 1])
    assert found.amps[..., 0].ravel().tolist() == [11.5, 0, 0, 0]


def test_dead_shorts_share_current_as_equal_tiny_resistances_would() -> None:
    """One short beside two in series carries two thirds; all turn nothing to heat; potentials are one."""
    ends = [(0, 1), (1, 2), (1, 3), (3, 2), (2, 4)]
    found = energise(5, ends, [10.0, 0.0, 0.0, 0.0, 13.0], {0: 230.0, 4: 0.0})
    assert found.amps.tolist() == pytest.approx([10.0, 20 / 3, 10 / 3, 10 / 3, 10.0], rel=1e-14)
    assert found.watts.tolist() == pytest.approx([1000.0, 0.0, 0.0, 0.0, 1300.0], rel=1e-14)
    assert found.volts.tolist() == pytest.approx([230.0, 130.0, 130.0, 130.0, 0.0], rel=1e-14)


@given(connected_networks(tame, most=5), st.data())
@settings(max_examples=60)
def test_dead_shorts_are_the_limit_of_tiny_resistances(network: Network, data: st.DataObject) -> None:
    """Currents with dead shorts are, to 1e-9, those with 1e-14 ohm in each place."""
    n, ends, ohms = network
    tree = data.draw(st.lists(st.integers(0, len(ends) - 1), min_size=1, max_size=3))
    short = [0.0 if k in tree else r for k, r in enumerate(ohms)]
    nearly = [1e-14 if k in tree else r for k, r in enumerate(ohms)]
    assume(resistances(n, ends, short)[0, n - 1] > 0)
    ours = energise(n, ends, short, {0: 230.0, n - 1: 0.0})
    limit = energise(n, ends, nearly, {0: 230.0, n - 1: 0.0})
    np.testing.assert_allclose(ours.amps, limit.amps, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(ours.volts, limit.volts, rtol=1e-9, atol=1e-9)


def test_a_dead_short_across_the_supply_is_an_infinite_current() -> None:
    """Shorted supplies give infinite current and power in the short, and leave the load beside it as it is."""
    found = energise(3, [(0, 1), (1, 2), (0, 2)], [0.0, 0.0, 10.0], {0: 230.0, 2: 0.0})
    assert found.amps.tolist() == [math.inf, math.inf, 23.0]
    assert found.watts.tolist() == [math.inf, math.inf, 5290.0]
    assert found.supplied.tolist() == [math.inf, -math.inf]
    assert found.volts.tolist() == [230.0, 115.0, 0.0]
    middle = energise(3, [(0, 1), (1, 2)], [0.0, 0.0], {0: 230.0, 1: 100.0, 2: 0.0})
    assert middle.supplied[0] == math.inf
    assert math.isnan(middle.supplied[1])


def test_terminals_held_alike_and_shorted_exchange_nothing() -> None:
    """A dead short between two terminals at one potential carries no current."""
    found = energise(3, [(0, 1), (1, 2)], [0.0, 46.0], {0: 230.0, 1: 230.0, 2: 0.0})
    assert found.amps.tolist() == [0.0, 5.0]
    assert found.supplied.tolist() == [0.0, 5.0, -5.0]


def test_ngspice_agrees() -> None:
    """ngspice finds the same potentials, currents, powers and supply currents to 1e-9 in an oven-like circuit."""
    # Live 0, neutral 1, earth 2; two elements behind contacts, a lamp across, insulation, a shorted contact.
    ends = [(0, 3), (3, 4), (4, 1), (3, 5), (5, 6), (6, 1), (0, 1), (4, 2), (5, 2), (6, 7), (7, 2)]
    ohms = [0.12, 0.08, 26.45, 0.0, 48.1, 0.3, 2116.0, 2.2e4, 9.1e3, 330.0, 5.6e4]
    held = {0: 230.0, 1: 1.5, 2: 0.0}
    found = energise(8, ends, ohms, held)
    finite = [k for k, r in enumerate(ohms) if r > 0]
    wanted = [f"v(t{t})" for t in range(8)]
    wanted += [f"@r{k}[i]" for k in finite] + [f"@r{k}[p]" for k in finite] + ["i(v3)"]
    wanted += [f"i(vheld{t})" for t in held]
    theirs = spice.operating_point(ends, ohms, held, wanted)
    # ngspice counts a source's current into its positive end.
    ours = [*found.volts, *found.amps[finite], *found.watts[finite], found.amps[3], *-found.supplied]
    np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_ngspice_agrees_on_random_networks(seed: int) -> None:
    """ngspice finds the same potentials, currents and powers in random networks with three held terminals."""
    rng = np.random.default_rng(seed)
    ends = [(int(rng.integers(t)), t) for t in range(1, 12)]
    ends += [(int(a), int(b)) for a, b in rng.integers(12, size=(10, 2)) if a != b]
    ohms = (10.0 ** rng.uniform(0, 4, len(ends))).tolist()
    held = {0: 230.0, 5: -40.0, 11: 0.0}
    found = energise(12, ends, ohms, held)
    wanted = [f"v(t{t})" for t in range(12)]
    wanted += [f"@r{k}[{what}]" for what in "ip" for k in range(len(ends))]
    theirs = spice.operating_point(ends, ohms, held, wanted)
    np.testing.assert_allclose([*found.volts, *found.amps, *found.watts], theirs, rtol=1e-9, atol=1e-10)


@given(connected_networks(), st.data())
def test_shares_add_to_one(network: Network, data: st.DataObject) -> None:
    """Resistance is homogeneous of degree one in the branches, so the shares add to 1 (Euler)."""
    n, ends, ohms = network
    a, b = data.draw(st.permutations(range(n)))[:2]
    shares = sensitivity(n, ends, ohms, a, b)
    assert ((shares >= 0) & (shares <= 1 + 1e-14)).all()
    assert shares.sum() == pytest.approx(1.0, rel=1e-13)


@given(connected_networks(tame, most=5), st.data())
@settings(max_examples=60)
def test_shares_are_derivatives(network: Network, data: st.DataObject) -> None:
    """The share of a branch is the central difference of ln R_ab by ln r, to the difference's own error."""
    n, ends, ohms = network
    a, b = data.draw(st.permutations(range(n)))[:2]
    k = data.draw(st.integers(0, len(ends) - 1))
    h = 1e-4
    moved = np.array([ohms, ohms])
    moved[0, k] *= math.exp(h)
    moved[1, k] *= math.exp(-h)
    up, down = resistance_between(conductance_matrix(n, ends, moved), a, b)
    slope = math.log(up / down) / (2 * h)
    assert sensitivity(n, ends, ohms, a, b)[k] == pytest.approx(slope, abs=1e-7)


def test_shares_in_series_parallel_and_nowhere() -> None:
    """Series shares go by ohms, parallel shares by siemens; open, shorted, self and unreachable have none."""
    assert sensitivity(3, [(0, 1), (1, 2)], [30.0, 10.0], 0, 2).tolist() == pytest.approx([0.75, 0.25])
    assert sensitivity(2, [(0, 1), (1, 0)], [30.0, 10.0], 0, 1).tolist() == pytest.approx([0.25, 0.75])
    mixed = sensitivity(4, [(0, 1), (1, 2), (0, 2), (3, 3)], [[5.0, 0.0, math.inf, 1.0]], 0, 2)
    assert mixed.tolist() == [[1.0, 0.0, 0.0, 0.0]]
    assert sensitivity(3, [(0, 1)], [5.0], 0, 2).tolist() == [0.0]
    assert sensitivity(3, [(0, 1)], [5.0], 1, 1).tolist() == [0.0]
    assert sensitivity(3, [(0, 1), (1, 2), (0, 2)], [0.0, 0.0, 9.0], 0, 2)[:2].tolist() == [0.5, 0.5]


@pytest.mark.parametrize("shape", [(2, 3), (4000,), (0,), (1,)])
def test_a_batch_is_its_states_one_by_one(shape: tuple[int, ...]) -> None:
    """A batch of energised states gives what each gives alone, over chunk borders too."""
    rng = np.random.default_rng(5)
    ends = rng.integers(6, size=(11, 2))
    ohms = 10.0 ** rng.uniform(-2, 8, (*shape, 11))
    ohms[rng.random(ohms.shape) < 0.25] = math.inf
    held = {0: 230.0, 3: 0.0}
    found = energise(6, ends, ohms, held)
    shares = sensitivity(6, ends, ohms, 0, 3)
    assert found.volts.shape == (*shape, 6)
    assert found.amps.shape == found.watts.shape == shares.shape == (*shape, 11)
    assert found.supplied.shape == (*shape, 2)
    states = list(np.ndindex(shape))
    for state in states[::37] + states[-1:]:
        alone = energise(6, ends, ohms[state], held)
        for name in ("volts", "amps", "watts", "supplied"):
            np.testing.assert_array_equal(getattr(found, name)[state], getattr(alone, name))
        np.testing.assert_array_equal(shares[state], sensitivity(6, ends, ohms[state], 0, 3))


def test_nothing_held_leaves_everything_floating() -> None:
    """Without a held terminal there are no potentials, no currents and no supplies."""
    found = energise(2, [(0, 1)], [[1.0], [2.0]], {})
    assert np.isnan(found.volts).all()
    assert (found.amps == 0).all()
    assert found.supplied.shape == (2, 0)


@pytest.mark.parametrize(("held", "says"), [({2: 1.0}, "no terminal 2"), ({0: math.nan}, "held at nan V")])
def test_what_cannot_be_held_is_refused(held: dict[int, float], says: str) -> None:
    """Unknown terminals and voltages that are not finite are ValueErrors that say what is wrong."""
    with pytest.raises(ValueError, match=says):
        energise(2, [(0, 1)], [1.0], held)
