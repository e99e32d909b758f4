"""Limits against the figures of the published rules, and verdicts against the decision rule of ISO 14253-1."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from meters_setting import BENCH, POCKET, RULES, TESTER

from probebook.errors import UsageError
from probebook.meters import Conformity, Function, budget, limits, read, verdict


@pytest.mark.parametrize(
    ("watts", "kind", "low", "high"),
    [
        # IEC 60335-1 clause 10.1, Table 1 (GOST R IEC 335-1-94), points derived from its rows by hand.
        (2000, "heating", 1800, 2100),
        (1000, "heating", 900, 1050),
        (300, "heating", 270, 320),
        (400, "heating", 360, 420),
        (201, "heating", 180.9, 221),
        (200, "heating", 180, 220),
        (150, "heating", 135, 165),
        (25, "heating", 0, 30),
        (25, "motor", 0, 30),
        (100, "motor", 0, 120),
        (300, "motor", 0, 360),
        (301, "motor", 0, 361),
        (400, "motor", 0, 460),
        (1000, "motor", 0, 1150),
    ],
)
def test_power_input_follows_table_1(watts: float, kind: str, low: float, high: float) -> None:
    """The power input allowed for a rating is that of IEC 60335-1 Table 1, at and beside its boundaries."""
    found = RULES.power_input(watts, kind)
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-12)
    assert found.status == "seen"
    assert "10.1" in found.rule


@pytest.mark.parametrize(
    ("table", "row"),
    [
        # IEC 60228, maximum resistance at 20 °C in Ω/km, three agreeing published tables.
        ("iec-60228-1-2-plain", (36.0, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83)),
        ("iec-60228-5-plain", (39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.30, 1.91)),
        ("iec-60228-1-2-coated", (36.7, 24.8, 18.2, 12.2, 7.56, 4.70, 3.11, 1.84)),
        ("iec-60228-5-tinned", (40.1, 26.7, 20.0, 13.7, 8.21, 5.09, 3.39, 1.95)),
    ],
)
def test_conductor_resistance_follows_iec_60228(table: str, row: tuple[float, ...]) -> None:
    """A kilometre of conductor has the greatest resistance that IEC 60228 prints for its size and class."""
    areas = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0)
    found = [RULES.conductor(table, area * 1e-6, 1000.0).high for area in areas]
    assert found == pytest.approx(row, rel=1e-9)


def test_lead_part_of_the_earth_limit() -> None:
    """1.5 m of 1.5 mm² flexible lead adds 0.01995 Ω to the 0.1 Ω of in-service guidance, 0.1 Ω alone in 27.5."""
    lead = RULES.conductor("iec-60228-5-plain", 1.5e-6, 1.5).high
    assert lead == pytest.approx(0.01995, rel=1e-9)
    assert RULES.earth("iet-earth", lead_ohms=lead).high == pytest.approx(0.11995, rel=1e-9)
    assert RULES.earth("iec-60335-1.27.5", lead_ohms=lead).high == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("limit_id", "megohms"),
    [
        # In-service guidance (second hand) and the wiring-rule concession for elements (second hand).
        ("iet-class-1", 1.0),
        ("iet-class-2", 2.0),
        ("iet-class-3", 0.25),
        ("iet-class-1-heating", 0.3),
        ("wiring-rules-element", 0.01),
    ],
)
def test_insulation_limits_of_in_service_guidance(limit_id: str, megohms: float) -> None:
    """Each insulation rule gives its own figure: they disagree, so none is used without its id."""
    assert RULES.insulation(limit_id).low == pytest.approx(megohms * 1e6)
    assert math.isinf(RULES.insulation(limit_id).high)


@pytest.mark.parametrize(("watts", "milliamps"), [(800, 0.75), (1000, 0.75), (2000, 1.50), (3000, 2.25), (7000, 5.0)])
def test_leakage_grows_with_rating_up_to_its_cap(watts: float, milliamps: float) -> None:
    """Stationary class I heating: 0.75 mA or 0.75 mA per kW, at most 5 mA (IEC 60335-1, 13.2, second hand)."""
    found = RULES.leakage("iec-60335-1.13.2-stationary-heating", rated_watts=watts)
    assert found.high * 1e3 == pytest.approx(milliamps)


@pytest.mark.parametrize(
    ("limit_id", "low", "high"),
    [("uk-supply", 216.2, 253.0), ("iec-60038", 207.0, 253.0), ("uk-supply-before-1995", 225.6, 254.4)],
)
def test_supply_limits(limit_id: str, low: float, high: float) -> None:
    """Supply limits are the published volts: 216.2 to 253.0 (UK 2002), 207 to 253 (IEC 60038), 225.6 to 254.4."""
    found = RULES.supply(limit_id)
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-9)


def test_every_limit_says_on_whose_word() -> None:
    """Every limit has a unique id, and figures from memory are marked so."""
    assert len(set(RULES.ids)) == len(RULES.ids)
    assert RULES.insulation("as-nzs-3760-class-1").status == "from memory"
    assert RULES.earth("en-50678-earth").status == "from memory"


def test_the_same_reading_passes_one_rule_and_fails_another() -> None:
    """A damp element at 0.1 MΩ passes the element concession and fails the in-service figure: the rule is named."""
    shown = read(TESTER, Function.INSULATION, 0.1e6)
    found = limits(TESTER, Function.INSULATION, shown.value)
    concession = verdict(shown.value, found, RULES.insulation("wiring-rules-element"))
    service = verdict(shown.value, found, RULES.insulation("iet-class-1"))
    assert concession.conformity is Conformity.WITHIN
    assert service.conformity is Conformity.OUTSIDE
    assert "wiring rules" in concession.rule
    assert "Code of Practice" in service.rule


@pytest.mark.parametrize(
    ("estimate", "uncertainty", "outcome"),
    [
        # ISO 14253-1: specification zone 1800 to 2100; conformity 1800+U..2100-U, non-conformity beyond 1800-U, 2100+U.
        (1950.0, 50.0, Conformity.WITHIN),
        (1850.0, 50.0, Conformity.WITHIN),
        (2050.0, 50.0, Conformity.WITHIN),
        (2051.0, 50.0, Conformity.CANNOT_TELL),
        (2149.0, 50.0, Conformity.CANNOT_TELL),
        (2151.0, 50.0, Conformity.OUTSIDE),
        (1749.0, 50.0, Conformity.OUTSIDE),
        (1751.0, 50.0, Conformity.CANNOT_TELL),
        (1950.0, 400.0, Conformity.CANNOT_TELL),
    ],
)
def test_verdict_follows_the_decision_rule(estimate: float, uncertainty: float, outcome: Conformity) -> None:
    """Conformity needs the whole interval inside the limits, non-conformity the whole interval outside."""
    assert verdict(estimate, uncertainty, (1800.0, 2100.0)).conformity is outcome


@given(st.floats(0, 1e4), st.floats(0, 1e3), st.floats(1, 1e4), st.floats(1, 1e4), st.floats(0, 1))
def test_a_stated_verdict_is_true_of_every_value_in_the_interval(
    estimate: float, u: float, one: float, other: float, share: float
) -> None:
    """Within or outside is only said when it is true wherever in the interval the true value lies."""
    low, high = sorted((one, other))
    found = verdict(estimate, u, (low, high))
    value = found.low + share * (found.high - found.low)
    if found.conformity is Conformity.WITHIN:
        assert low * (1 - 1e-12) <= value <= high * (1 + 1e-12)
    if found.conformity is Conformity.OUTSIDE:
        assert not low <= value <= high


def test_reasons_carry_the_numbers() -> None:
    """The sentence gives the interval, the limit and the rule, with figures that tell them apart."""
    shown = read(TESTER, Function.CONTINUITY, 0.09, nulled=True)
    found = verdict(
        shown.value,
        limits(TESTER, Function.CONTINUITY, shown.value, nulled=True),
        RULES.earth("iec-60335-1.27.5"),
    )
    assert found.conformity is Conformity.CANNOT_TELL
    assert found.limit_high == pytest.approx(0.1)
    assert "IEC 60335-1, clause 27.5" in found.rule
    over = verdict(math.inf, (948e6, math.inf), RULES.insulation("iet-class-1"))
    assert over.conformity is Conformity.WITHIN
    assert over.low == pytest.approx(948e6, rel=1e-3)


def test_a_cheap_meter_cannot_tell_what_a_good_one_can() -> None:
    """At 1.025 times rated power, limit 1.05, U of about 30 W tells and U of about 75 W does not (worked by hand)."""
    ohms = 230.0**2 / (2000.0 * 1.025)
    allowed = RULES.power_input(2000.0, "heating")
    outcomes = {}
    for meter in (POCKET, BENCH):
        found = budget(meter, read(meter, Function.OHMS, ohms), 230.0)
        outcomes[meter.id] = verdict(found.estimate, found.expanded, allowed).conformity
    assert outcomes == {POCKET.id: Conformity.CANNOT_TELL, BENCH.id: Conformity.WITHIN}


def test_wrong_requests_are_refused() -> None:
    """An unknown id, kind, size or an interval the wrong way round gives a sentence with the choices."""
    with pytest.raises(UsageError, match="choose one of iet-class-1"):
        RULES.insulation("universal")
    with pytest.raises(UsageError, match='kind "toaster"'):
        RULES.power_input(1000.0, "toaster")
    with pytest.raises(UsageError, match="kind"):
        RULES.power_input(0.0, "heating")
    with pytest.raises(UsageError, match="no conductor of 3 mm²"):
        RULES.conductor("iec-60228-5-plain", 3e-6)
    with pytest.raises(UsageError, match="wrong way round"):
        verdict(1.0, -0.1, (0.0, 2.0))
    with pytest.raises(UsageError, match="wrong way round"):
        verdict(math.nan, 0.1, (0.0, 2.0))
    with pytest.raises(UsageError, match="allow anything"):
        verdict(1.0, 0.1, (0.0, math.inf))
