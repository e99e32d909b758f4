"""Every appliance in every position with every single fault, against ngspice."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from appliance_text import SCENARIOS
from spice_sweep import spice_resistances, spice_working

from probebook.appliances import Appliance, State, branch_ends, branch_ohms, load_appliances, working
from probebook.appliances.pairs import compatible_pairs
from probebook.circuit import resistances

LIBRARY = load_appliances(SCENARIOS)
LARGE = {"double-oven", "multifunction-oven"}
EACH = [
    pytest.param(appliance, id=name, marks=[pytest.mark.slow] if name in LARGE else [])
    for name, appliance in LIBRARY.items()
]
PAIRS_EACH = 40
NANOAMPERE = 1e-9


def _single(appliance: Appliance) -> list[State]:
    """Every position with nothing wrong, with the thermostats satisfied, and with each fault."""
    healthy = [State(p.name, calling=calling) for p in appliance.positions for calling in (True, False)]
    faulty = [State(p.name, faults=frozenset({f.id})) for p in appliance.positions for f in appliance.faults]
    return healthy + faulty


def _double(appliance: Appliance) -> list[State]:
    """Pairs of faults drawn with a fixed seed, each in a position drawn for it, with a wire lifted."""
    rng = random.Random(20)
    pairs = compatible_pairs(appliance)
    return [
        State(
            rng.choice(appliance.positions).name,
            faults=frozenset(pair),
            lifted=frozenset({rng.choice(appliance.wires).mark}),
        )
        for pair in rng.sample(pairs, min(PAIRS_EACH, len(pairs)))
    ]


def _compare_resistance(appliance: Appliance, states: list[State]) -> None:
    n, ends = len(appliance.terminals), branch_ends(appliance)
    for volts in (1.0, 500.0):
        some = states if volts == 1.0 else states[: 2 * len(appliance.positions)]
        ohms = branch_ohms(appliance, some, test_volts=volts)
        ours, theirs = resistances(n, ends, ohms), spice_resistances(n, ends.tolist(), ohms)
        assert np.array_equal(np.isinf(ours), np.isinf(theirs))
        joined = np.isfinite(ours)
        np.testing.assert_allclose(ours[joined], theirs[joined], rtol=1e-6, atol=0.0)


def _compare_working(appliance: Appliance, states: list[State]) -> None:
    flow = working(appliance, states)
    ohms = flow.ohms  # with the relays as they stand; test_appliance_relays.py has ngspice find how that is
    line, neutral, earth = (appliance.terminal(t) for t in (appliance.line, appliance.neutral, appliance.earth))
    held = [{line: volts, neutral: 0.0, earth: 0.0} for volts in flow.supply.tolist()]
    ends = branch_ends(appliance)
    amps = spice_working(len(appliance.terminals), ends.tolist(), ohms, held)
    # ngspice gives potentials; the currents that follow from them are good to about a nanoampere.
    np.testing.assert_allclose(flow.amps, amps, rtol=1e-6, atol=NANOAMPERE)
    drops = amps * np.where(np.isfinite(ohms), ohms, 0.0)
    margin = 1e-6 * amps * drops + 2.0 * np.abs(drops) * NANOAMPERE + 1e-10
    assert np.all(np.abs(flow.watts - amps * drops) <= margin)
    for found, terminal in ((flow.line_amps, line), (-flow.neutral_amps, neutral), (-flow.earth_amps, earth)):
        out = amps[:, ends[:, 0] == terminal].sum(axis=1) - amps[:, ends[:, 1] == terminal].sum(axis=1)
        np.testing.assert_allclose(found, out, rtol=1e-6, atol=1e-8)


@pytest.mark.parametrize("appliance", EACH)
def test_resistance_of_every_pair_of_terminals_is_that_of_ngspice(
    appliance: Appliance, one_in: Callable[[int, Sequence[State]], Sequence[State]]
) -> None:
    """Every position × single fault × pair of terminals agrees with ngspice within 1e-6, or both find it open.

    Of the largest appliances every fifth state, which goes by all positions and faults; all states with ``--whole``.
    """
    _compare_resistance(appliance, [*one_in(5 if appliance.id in LARGE else 1, _single(appliance))])


@pytest.mark.parametrize("appliance", EACH)
def test_current_and_power_of_every_part_are_those_of_ngspice(appliance: Appliance) -> None:
    """Every position × single fault, switched on: current and power in each branch agree with ngspice within 1e-6."""
    _compare_working(appliance, _single(appliance))


@pytest.mark.parametrize("appliance", EACH)
def test_two_faults_and_a_lifted_wire_read_as_in_ngspice(appliance: Appliance) -> None:
    """A sample of forty pairs of faults for each appliance, a wire lifted in each, agrees with ngspice within 1e-6."""
    _compare_resistance(appliance, _double(appliance))
    _compare_working(appliance, _double(appliance))
