"""Supplies that are out of step: three phases against published examples, ngspice's ac analysis and plain theory."""

from __future__ import annotations

import cmath
import math
from itertools import combinations

import numpy as np
import pytest

from probebook.circuit import energise
from three_phase import L1, L2, L3, STAR, Ends, N, delta, lines, spice_phasors, star

OPEN = math.inf


def test_a_star_of_three_tens_on_400_volts() -> None:
    """10 Ω a phase in star on 400 V: 230.9 V, 23.09 A, 16 kW (Basic Electrical Installation Work, example 1)."""
    flow = energise(5, star(), [10.0] * 3, lines(400.0 / math.sqrt(3.0), neutral=False))
    assert [float(flow.between(line, STAR)) for line in (L1, L2, L3)] == pytest.approx([230.9] * 3, abs=0.05)
    assert flow.amps == pytest.approx([23.09] * 3, abs=0.006)
    assert flow.watts.sum() == pytest.approx(16e3, rel=1e-9)


def test_a_star_without_neutral_that_loses_a_phase() -> None:
    """10 Ω a phase on 440 V: 254 V, 25.4 A; one open, 22 A in the others (Introduction to Electric Circuits, 5.1)."""
    held = lines(440.0 / math.sqrt(3.0), neutral=False)
    sound = energise(5, star(), [10.0] * 3, held)
    assert sound.amps == pytest.approx([25.4] * 3, abs=0.005)
    assert float(sound.between(L1, STAR)) == pytest.approx(254.0, abs=0.05)
    lost = energise(5, star(), [10.0, 10.0, OPEN], held)
    assert lost.amps == pytest.approx([22.0, 22.0, 0.0])
    assert float(lost.between(L1, STAR)) == pytest.approx(220.0)


def test_heaters_of_eleven_amperes_line_to_line() -> None:
    """Two of 11 A: 11, 19 and 11 A in the lines; three: 19 A in each (common practice, no published source)."""
    held = lines(240.0 / math.sqrt(3.0), neutral=False)
    ohms = 240.0 / 11.0
    two = energise(3, delta(), [ohms, ohms, OPEN], held)
    assert two.supplied == pytest.approx([11.0, 19.05, 11.0], abs=0.005)
    assert two.amps == pytest.approx([11.0, 11.0, 0.0])
    assert energise(3, delta(), [ohms] * 3, held).supplied == pytest.approx([19.05] * 3, abs=0.005)


@pytest.mark.parametrize(
    ("ends", "ohms", "neutral", "cut", "share"),
    [
        # Published for 480 V and 10 Ω: two thirds; that half remains of a star without neutral and of a delta that
        # lose a line, and two thirds of a delta that loses an element, is the same page's series, from memory.
        (star(N), [10.0, 10.0, OPEN], True, (), 2 / 3),
        (star(N), [10.0] * 3, True, (L3,), 2 / 3),
        (star(), [10.0, 10.0, OPEN], False, (), 1 / 2),
        (star(), [10.0] * 3, False, (L3,), 1 / 2),
        (delta(), [10.0, 10.0, OPEN], False, (), 2 / 3),
        (delta(), [10.0] * 3, False, (L3,), 1 / 2),
    ],
)
def test_what_remains_when_an_element_or_a_line_is_lost(
    ends: Ends, ohms: list[float], neutral: bool, cut: tuple[int, ...], share: float
) -> None:
    """Two thirds or a half of the power, by how three equal loads are joined and what is lost."""
    held = lines(480.0 / math.sqrt(3.0), neutral=neutral)
    whole = energise(5, ends, [10.0] * 3, held).watts.sum()
    left = energise(5, ends, ohms, {t: v for t, v in held.items() if t not in cut}).watts.sum()
    assert left == pytest.approx(share * whole)


def test_neutral_carries_the_sum_of_the_phasors() -> None:
    """100, 80 and 50 Ω to neutral on 230 V: sqrt(a² + b² + c² - ab - bc - ca) of 2.3, 2.875 and 4.6 A; by hand."""
    flow = energise(4, star(N), [100.0, 80.0, 50.0], lines(230.0))
    a, b, c = 2.3, 2.875, 4.6
    assert flow.amps == pytest.approx([a, b, c])
    wanted = math.sqrt(a * a + b * b + c * c - a * b - b * c - c * a)
    assert flow.supplied[3] == pytest.approx(wanted)
    assert flow.watts == pytest.approx([230.0 * x for x in (a, b, c)])


def test_a_lost_neutral_moves_the_star_point() -> None:
    """An unlike star whose neutral is off: its point sits at the mean of the lines, weighed by siemens (Millman)."""
    ohms = [52.9, 26.45, 17.63]
    held = lines(230.0, neutral=False)
    point = sum(v / r for v, r in zip(held.values(), ohms, strict=True)) / sum(1 / r for r in ohms)
    flow = energise(5, star(), ohms, held)
    wanted = [abs(v - point) for v in held.values()]
    assert [float(flow.between(t, STAR)) for t in held] == pytest.approx(wanted, rel=1e-12)
    assert max(wanted) > 1.2 * 230.0 > 230.0 > min(wanted)
    assert float(flow.volts[STAR]) == pytest.approx(abs(point), rel=1e-12)


def test_a_delta_of_three_times_the_ohms_is_the_star() -> None:
    """A delta of 3R takes from each line what a star of R takes (Kennelly, 1899, from memory), whatever R."""
    for ohms in (0.05, 17.0, 52.9, 1e6):
        held = lines(230.0, neutral=False)
        one = energise(5, star(), [ohms] * 3, held).supplied
        other = energise(5, delta(), [3.0 * ohms] * 3, held).supplied
        assert one == pytest.approx(other, rel=1e-12)


def test_unlike_stars_and_deltas_turn_into_each_other() -> None:
    """Any star is a delta of products over the opposite branch (Kennelly): the same current in each line."""
    rng = np.random.default_rng(16)
    held = lines(230.0, neutral=False)
    for _ in range(20):
        a, b, c = 10.0 ** rng.uniform(0, 3, 3)
        total = a * b + b * c + c * a
        one = energise(5, star(), [a, b, c], held).supplied
        other = energise(5, delta(), [total / c, total / a, total / b], held).supplied
        assert one == pytest.approx(other, rel=1e-11)


def test_lines_are_root_three_of_their_volts_to_neutral_apart() -> None:
    """230 V to neutral is 398 V from line to line: that IEC 60038 calls the pair 230/400 V is rounding."""
    flow = energise(4, star(N), [50.0] * 3, lines(230.0))
    for a, b in combinations((L1, L2, L3), 2):
        assert float(flow.between(a, b)) == pytest.approx(398.37, abs=0.005)
        assert float(flow.between(a, N)) == pytest.approx(230.0)


NETWORKS: dict[str, tuple[Ends, list[float], bool]] = {
    "star with neutral": (star(N), [52.9, 26.45, 17.63], True),
    "star that has lost its neutral": ([*star(), (STAR, N)], [52.9, 26.45, 17.63, OPEN], True),
    "star behind a poor neutral": ([*star(), (STAR, N)], [52.9, 26.45, 17.63, 12.0], True),
    "delta": (delta(), [80.0, 80.0, 80.0], False),
    "unlike delta": (delta(), [80.0, 53.3, 40.0], False),
    "mixed": ([*star(N), *delta()], [52.9, 26.45, 17.63, 80.0, 53.3, 40.0], True),
    "mixed with leaks": (
        [*star(), (STAR, N), *delta(), (L2, 5), (STAR, 5), (5, N)],
        [52.9, 26.45, 17.63, 0.05, 80.0, 53.3, 40.0, 4e3, 2e6, 0.1],
        True,
    ),
}


@pytest.mark.parametrize("name", NETWORKS)
@pytest.mark.parametrize("lost", [None, L1, L2, L3])
def test_ngspice_agrees(name: str, lost: int | None) -> None:
    """Volts between all terminals, currents and powers agree with ngspice's ac analysis within 1e-9, lines lost too."""
    ends, ohms, neutral = NETWORKS[name]
    held = {t: v for t, v in lines(230.0, neutral=neutral).items() if t != lost}
    n = 1 + max(max(pair) for pair in ends)
    flow = energise(n, ends, ohms, held)
    volts, supplied = spice_phasors(ends, ohms, held, n)
    for a, b in combinations(range(n), 2):
        assert float(flow.between(a, b)) == pytest.approx(abs(volts[a] - volts[b]), rel=1e-9, abs=1e-9), (a, b)
    assert flow.supplied == pytest.approx([abs(i) for i in supplied], rel=1e-9, abs=1e-9)
    for k, ((a, b), r) in enumerate(zip(ends, ohms, strict=True)):
        drop = abs(volts[a] - volts[b]) if r < OPEN else 0.0
        assert flow.amps[k] == pytest.approx(drop / r, rel=1e-9, abs=1e-9 / r)
        assert flow.watts[k] == pytest.approx(drop * drop / r, rel=2e-9, abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_random_networks_are_those_of_ngspice(seed: int) -> None:
    """Random networks of six terminals, three lines and neutral held: as ngspice within 1e-9 of the largest volts."""
    rng = np.random.default_rng(seed)
    ends = [(a, b) for a, b in combinations(range(6), 2) if rng.random() < 0.7]
    ohms = [float(10.0 ** rng.uniform(0, 4)) for _ in ends]
    held = lines(230.0)
    flow = energise(6, ends, ohms, held)
    volts, supplied = spice_phasors(ends, ohms, held, 6)
    for a, b in combinations(range(6), 2):
        if not (cmath.isnan(volts[a]) or cmath.isnan(volts[b])):
            assert float(flow.between(a, b)) == pytest.approx(abs(volts[a] - volts[b]), rel=1e-9, abs=1e-7)
    assert flow.supplied == pytest.approx([abs(i) for i in supplied], rel=1e-9, abs=1e-9)


def test_what_is_in_step_is_solved_as_before() -> None:
    """A complex number without a quadrature part is a plain one: signs stay, and there are no phasors."""
    ends, ohms = [(0, 1), (1, 2)], [10.0, 30.0]
    plain, other = energise(3, ends, ohms, {0: 0.0, 2: 40.0}), energise(3, ends, ohms, {0: 0.0, 2: 40 + 0j})
    assert plain.phasors is None
    assert other.phasors is None
    assert other.amps.tolist() == plain.amps.tolist() == [-1.0, -1.0]
    assert float(plain.between(1, 2)) == pytest.approx(30.0)


def test_a_turn_of_all_phasors_changes_nothing() -> None:
    """Only what lies between the phases matters: turned together, all magnitudes stay."""
    ends, ohms, _ = NETWORKS["mixed with leaks"]
    held = lines(230.0)
    turned = {t: v * cmath.exp(0.7j) for t, v in held.items()}
    one, other = energise(6, ends, ohms, held), energise(6, ends, ohms, turned)
    for name in ("volts", "amps", "watts", "supplied"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-9, abs=1e-12)


def test_power_put_in_is_power_turned_to_heat() -> None:
    """The real part of volts times conjugate amperes of each line sums to the watts of all branches (Tellegen)."""
    ends, ohms, _ = NETWORKS["mixed"]
    held = lines(230.0)
    flow = energise(4, ends, ohms, held)
    _, supplied = spice_phasors(ends, ohms, held, 4)
    put_in = sum((complex(v) * i.conjugate()).real for v, i in zip(held.values(), supplied, strict=True))
    assert flow.watts.sum() == pytest.approx(put_in, rel=1e-9)


def test_a_short_between_lines_is_an_infinite_current() -> None:
    """A dead short from line to line carries and burns without end; a float beyond an open branch reads nothing."""
    flow = energise(5, [(L1, L2), (L3, N), (STAR, L1)], [0.0, 100.0, OPEN], lines(230.0))
    assert math.isinf(flow.amps[0])
    assert math.isinf(flow.watts[0])
    assert math.isinf(flow.supplied[0])
    assert flow.amps[1] == pytest.approx(2.3)
    assert math.isnan(flow.volts[STAR])
    assert math.isnan(float(flow.between(STAR, L1)))


def test_states_in_a_batch_are_their_own() -> None:
    """A batch of states gives what each gives alone, phasors too."""
    rng = np.random.default_rng(7)
    ends = [*star(), (STAR, N), *delta()]
    ohms = 10.0 ** rng.uniform(0, 4, (3, 4, len(ends)))
    ohms[rng.random(ohms.shape) < 0.2] = OPEN
    held = lines(230.0)
    found = energise(5, ends, ohms, held)
    assert found.phasors is not None
    assert found.phasors.shape == (2, 3, 4, 5)
    for state in np.ndindex(3, 4):
        alone = energise(5, ends, ohms[state], held)
        assert alone.phasors is not None
        np.testing.assert_array_equal(found.phasors[:, *state], alone.phasors)
        np.testing.assert_array_equal(found.amps[state], alone.amps)
        np.testing.assert_array_equal(found.between(L1, STAR)[state], alone.between(L1, STAR))
