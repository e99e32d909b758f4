"""Uncertainty: the worked examples of the GUM, and the budget against two general uncertainty libraries."""

from __future__ import annotations

import math
from statistics import fmean

import numpy as np
import pytest
from GTC import cos, get_correlation, result, sin, type_a, type_b, ureal
from GTC import uncertainty as gtc_u
from GTC import value as gtc_value
from hypothesis import given, settings
from hypothesis import strategies as st
from meters_setting import BENCH, POCKET
from uncertainties import ufloat

from probebook.errors import UsageError
from probebook.meters import (
    Distribution,
    Function,
    Range,
    budget,
    propagate,
    read,
    standard_uncertainty,
)

# JCGM 100:2008 annex H.2, table H.2: five simultaneous observations.
V = (5.007, 4.994, 5.005, 4.990, 4.999)
I = (19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3)  # noqa: E741 - physics writes I
PHI = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


def impedance(v: float, i: float, phi: float) -> tuple[float, float, float]:
    """Return R, X and Z as annex H.2 defines them."""
    return v / i * math.cos(phi), v / i * math.sin(phi), v / i


def observed() -> tuple[list[float], list[float], list[list[float]]]:
    """Return means, standard uncertainties of the means and correlations of the observations."""
    data = np.array([V, I, PHI])
    relation = np.corrcoef(data)
    relation = (relation + relation.T) / 2
    np.fill_diagonal(relation, 1.0)
    return [fmean(row) for row in data], list(data.std(axis=1, ddof=1) / math.sqrt(5)), relation.tolist()


def test_gum_h2_gives_the_published_results() -> None:
    """Annex H.2 comes out as printed: R, X, Z, their uncertainties and their correlations.

    Values to three decimals and correlations to three are from memory of the GUM and agree with the GTC manual.
    """
    estimates, uncertainties, correlation = observed()
    assert uncertainties == pytest.approx([0.0032, 0.0095e-3, 0.00075], rel=0.01)
    assert [correlation[0][1], correlation[0][2], correlation[1][2]] == pytest.approx([-0.36, 0.86, -0.65], abs=0.006)
    found = propagate(impedance, estimates, uncertainties, correlation=correlation)
    assert found.values == pytest.approx((127.732, 219.847, 254.260), abs=0.0006)
    assert found.uncertainties == pytest.approx((0.071, 0.295, 0.236), abs=0.0006)
    between = found.correlation
    assert [between[0][1], between[0][2], between[1][2]] == pytest.approx([-0.588, -0.485, 0.993], abs=0.001)


def test_gum_h2_agrees_with_gtc() -> None:
    """The general library GTC gives the same R, X, Z, uncertainties and correlations from the same observations."""
    v, i, phi = type_a.multi_estimate_real((V, I, PHI))
    theirs = (result(v / i * cos(phi)), result(v / i * sin(phi)), result(v / i))
    ours = propagate(impedance, *observed()[:2], correlation=observed()[2])
    assert ours.values == pytest.approx([gtc_value(each) for each in theirs], rel=1e-9)
    assert ours.uncertainties == pytest.approx([gtc_u(each) for each in theirs], rel=1e-6)
    for a in range(3):
        for b in range(a):
            assert ours.correlation[a][b] == pytest.approx(get_correlation(theirs[a], theirs[b]), abs=1e-6)


def test_analytic_and_numerical_partials_agree() -> None:
    """Partial derivatives worked by hand give the same result as the numerical ones."""
    estimates, uncertainties, correlation = observed()

    def partials(v: float, i: float, phi: float) -> list[list[float]]:
        r, x, z = impedance(v, i, phi)
        return [[r / v, -r / i, -x], [x / v, -x / i, r], [z / v, -z / i, 0.0]]

    by_hand = propagate(impedance, estimates, uncertainties, correlation=correlation, partials=partials)
    by_number = propagate(impedance, estimates, uncertainties, correlation=correlation)
    assert by_hand.uncertainties == pytest.approx(by_number.uncertainties, rel=1e-7)
    for ours, theirs in zip(by_hand.sensitivities, by_number.sensitivities, strict=True):
        assert ours == pytest.approx(theirs, rel=1e-7, abs=1e-4)


def test_gtc_tutorial_resistance() -> None:
    """V = 0.1 V (0.001) over I = 15 mA (0.5) gives R = 6.67(23) Ω, as the GTC tutorial prints."""
    found = propagate(lambda v, i: v / i, (0.1, 15e-3), (0.001, 0.5e-3))
    assert found.values[0] == pytest.approx(6.67, abs=0.005)
    assert found.uncertainties[0] == pytest.approx(0.23, abs=0.005)


def test_gum_4_3_7_examples() -> None:
    """The examples of GUM 4.3.7 come out as printed (figures from memory of JCGM 100:2008).

    Expansion of copper within ±0.40e-6 /°C: u = 0.23e-6. A voltmeter stated as 14e-6 of reading + 2e-6 of range,
    0.928 571 V on 1 V: half-width 15 µV, u = 8.7 µV.
    """
    assert standard_uncertainty(0.40e-6) == pytest.approx(0.23e-6, abs=0.005e-6)
    assert standard_uncertainty(0.40e-6) ** 2 == pytest.approx(53.3e-15, rel=1e-3)
    half_width = Range(1.0, 1e-6, 14e-6, 2.0).accuracy(0.928571)
    assert half_width == pytest.approx(15e-6, rel=1e-4)
    assert standard_uncertainty(half_width) == pytest.approx(8.7e-6, abs=0.05e-6)


def test_divisors_of_the_distributions() -> None:
    """Half-widths become standard uncertainties as in GUM 4.3.7 and 4.3.9 and as GTC reckons them."""
    assert standard_uncertainty(1e-6) == pytest.approx(5.7735e-7, rel=1e-5)
    assert standard_uncertainty(0.5, Distribution.U_SHAPED) == pytest.approx(0.35355, rel=1e-4)
    assert standard_uncertainty(1.0, Distribution.RECTANGULAR) == pytest.approx(type_b.uniform(1.0))
    assert standard_uncertainty(1.0, Distribution.TRIANGULAR) == pytest.approx(type_b.triangular(1.0))
    assert standard_uncertainty(1.0, Distribution.U_SHAPED) == pytest.approx(type_b.arcsine(1.0))


@pytest.mark.parametrize("ohms", [12.0, 26.45, 52.9, 480.0])
@pytest.mark.parametrize("meter", [POCKET, BENCH], ids=lambda meter: meter.id)
def test_budget_agrees_with_general_libraries(meter: object, ohms: float) -> None:
    """Watts and their uncertainty agree with the libraries uncertainties and GTC given the same rectangles."""
    assert meter in (POCKET, BENCH)
    instrument = POCKET if meter is POCKET else BENCH
    shown = read(instrument, Function.OHMS, ohms)
    ours = budget(instrument, shown, 230.0, volts_halfwidth=6.0, factor_low=1.0, factor_high=1.06)

    low_range = next(each for each in instrument.ranges_of(Function.OHMS) if each.resolution == shown.resolution)
    resistance = shown.value - instrument.lead_ohms
    statement = low_range.fraction_of_reading * shown.value + low_range.digits * low_range.resolution
    root3 = math.sqrt(3)
    r = ufloat(resistance, statement / root3) + ufloat(0.0, low_range.resolution / 2 / root3)
    power = ufloat(230.0, 6.0 / root3) ** 2 / (r * ufloat(1.03, 0.03 / root3))
    assert ours.estimate == pytest.approx(power.nominal_value, rel=1e-12)
    assert ours.uncertainty == pytest.approx(power.std_dev, rel=1e-9)

    g = ureal(resistance, type_b.uniform(statement)) + ureal(0.0, type_b.uniform(low_range.resolution / 2))
    gtc_power = ureal(230.0, type_b.uniform(6.0)) ** 2 / (g * ureal(1.03, type_b.uniform(0.03)))
    assert ours.uncertainty == pytest.approx(gtc_u(gtc_power), rel=1e-9)
    assert ours.expanded == 2 * ours.uncertainty


def test_budget_covers_what_is_drawn() -> None:
    """About 95 % or more of watts drawn from the budget's rectangles lie within the expanded uncertainty (GUM G)."""
    shown = read(BENCH, Function.OHMS, 26.0, nulled=True)
    ours = budget(BENCH, shown, 230.0, volts_halfwidth=6.0, factor_low=1.0, factor_high=1.06)
    rng = np.random.default_rng(20)
    drawn = {"V": 0.0, "R": 0.0, "Ct": 0.0}
    values = {row.symbol: row.estimate for row in ours.rows}
    sums: dict[str, np.ndarray] = {symbol: np.full(100_000, values[symbol]) for symbol in drawn}
    for row in ours.rows:
        sums[row.symbol] = sums[row.symbol] + rng.uniform(-row.half_width, row.half_width, 100_000)
    watts = sums["V"] ** 2 / (sums["Ct"] * sums["R"])
    assert watts.std() == pytest.approx(ours.uncertainty, rel=0.02)
    low, high = ours.interval
    assert np.mean((watts >= low) & (watts <= high)) > 0.945


def test_budget_takes_a_voltage_reading() -> None:
    """A measured voltage enters with its own accuracy and last digit; sensitivities match the GUM's partials."""
    ohms = read(BENCH, Function.OHMS, 26.0, nulled=True)
    volts = read(BENCH, Function.AC_VOLTS, 228.4)
    ours = budget(BENCH, ohms, volts)
    assert [row.symbol for row in ours.rows] == ["V", "V", "R", "R", "Ct"]
    slopes = propagate(lambda v, r, c: v * v / (r * c), (volts.value, ohms.value, 1.0), (0.5, 0.2, 0.01)).sensitivities[
        0
    ]
    found = [ours.rows[0].sensitivity, ours.rows[2].sensitivity, ours.rows[4].sensitivity]
    assert found == pytest.approx(slopes, rel=1e-6)


@given(
    st.lists(st.floats(0.5, 100), min_size=2, max_size=2),
    st.lists(st.floats(0, 0.1), min_size=2, max_size=2),
    st.floats(-1, 1),
)
@settings(max_examples=100, deadline=None)
def test_propagation_of_a_difference_follows_the_law(
    estimates: list[float], uncertainties: list[float], r: float
) -> None:
    """For a difference, u² = a² + b² - 2 r a b whatever the correlation (GUM 5.2.2)."""
    a, b = uncertainties
    found = propagate(lambda x, y: x - y, estimates, uncertainties, correlation=[[1, r], [r, 1]])
    assert found.uncertainties[0] ** 2 == pytest.approx(max(0.0, a * a + b * b - 2 * r * a * b), rel=1e-6, abs=1e-9)


def test_impossible_budgets_are_refused() -> None:
    """An open circuit, a short, a wrong function or bounds the wrong way round give a sentence, not a number."""
    good = read(BENCH, Function.OHMS, 26.0)
    volts = read(BENCH, Function.AC_VOLTS, 230.0)
    with pytest.raises(UsageError, match="over range"):
        budget(BENCH, read(BENCH, Function.OHMS, math.inf), 230.0)
    with pytest.raises(UsageError, match="nought"):
        budget(BENCH, read(BENCH, Function.OHMS, 0.0), 230.0)
    with pytest.raises(UsageError, match="not read in ohms"):
        budget(BENCH, volts, 230.0)
    with pytest.raises(UsageError, match="not read in volts"):
        budget(BENCH, good, good)
    with pytest.raises(UsageError, match="out of order"):
        budget(BENCH, good, 230.0, factor_low=1.1, factor_high=1.0)
    with pytest.raises(UsageError, match="correlation matrix"):
        propagate(lambda x, y: x + y, (1.0, 1.0), (0.1, 0.1), correlation=[[1, 2], [2, 1]])
    with pytest.raises(UsageError, match="do not match"):
        propagate(lambda x: x, (1.0,), (-0.1,))
