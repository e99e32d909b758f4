"""Alloy factors against published tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from probebook.appliances.alloys import Alloy, cold_ohms, hot_ohms, load_alloys, rated_ohms, temperature_factor
from probebook.errors import ScenarioError

SCENARIO = Path(__file__).parents[2] / "scenarios" / "alloys.toml"
ALLOYS = load_alloys(SCENARIO)


@pytest.mark.parametrize(
    ("alloy", "celsius", "factor"),
    [
        ("nicr-80-20", 20, 1.000),
        ("nicr-80-20", 500, 1.026),
        ("nicr-80-20", 800, 1.008),
        ("nicr-80-20", 1200, 1.025),
        ("nicr-60-15", 700, 1.073),
        ("fecral-25-5", 700, 1.038),
        ("fecral-21-4", 600, 1.120),
        ("fecral-a", 800, 1.05),
        ("fecral-apm", 1200, 1.05),
        ("fecral-af", 600, 1.04),
        ("cuni-44", 300, 1.001),
        ("nicr-80-20-slow-cooled", 538, 1.063),
        ("nicr-37-20", 1093, 1.235),
    ],
)
def test_published_factors(alloy: str, celsius: float, factor: float) -> None:
    """The table of an alloy gives its published points (GB/T 1234, Kanthal handbook, conceptalloys.com)."""
    assert temperature_factor(ALLOYS[alloy], celsius) == pytest.approx(factor, abs=1e-12)


def test_two_publications_of_the_same_alloy_agree() -> None:
    """The AF row in steps of 100 °C and the handbook's A, AF, AE row meet within half a unit of their last digit."""
    coarse, fine = ALLOYS["fecral-a"], ALLOYS["fecral-af"]
    for celsius, factor in zip(coarse.celsius, coarse.factor, strict=True):
        assert temperature_factor(fine, celsius) == pytest.approx(factor, abs=0.005)


def test_cold_to_hot_envelope_of_oven_element_alloys() -> None:
    """NiCr 80/20, 70/30, 60/15 and FeCrAl 25/5, 21/6, A-1, A, APM stay between 1.00 and 1.11 (the tables above)."""
    for key in (
        "nicr-80-20",
        "nicr-80-20-slow-cooled",
        "nicr-80-20-quenched",
        "nicr-70-30",
        "nicr-60-15",
        "nicr-60-16",
        "fecral-25-5",
        "fecral-21-6",
        "fecral-a1",
        "fecral-a",
        "fecral-af",
        "fecral-apm",
    ):
        assert 1.0 <= min(ALLOYS[key].factor) <= max(ALLOYS[key].factor) <= 1.11


def test_nichrome_is_not_monotonic() -> None:
    """NiCr 80/20 peaks near 500 °C and dips near 800 °C, in the standard grade's table."""
    alloy = ALLOYS["nicr-80-20"]
    peak, dip, end = (temperature_factor(alloy, t) for t in (500.0, 800.0, 1200.0))
    assert dip < peak
    assert dip < end


def test_between_points_the_factor_is_straight() -> None:
    """Half way between two points of the table lies the mean of their factors."""
    assert temperature_factor(ALLOYS["nicr-60-15"], 450.0) == pytest.approx((1.052 + 1.064) / 2, abs=1e-12)


def test_cold_and_hot_are_inverse() -> None:
    """A 2 kW 230 V element of alloy A at 800 °C is 26.45 ohm hot (IEC 60335-1, computed) and 25.19 ohm cold."""
    alloy = ALLOYS["fecral-a"]
    cold = cold_ohms(2000.0, 230.0, alloy, 800.0)
    assert cold == pytest.approx(26.45 / 1.05, rel=1e-12)
    assert hot_ohms(cold, alloy, 800.0) == pytest.approx(26.45, rel=1e-12)


@pytest.mark.parametrize("celsius", [-5.0, 19.9, 1200.1, float("nan")])
def test_outside_its_table_a_factor_is_not_guessed(celsius: float) -> None:
    """The refusal names the alloy and the range of its table."""
    with pytest.raises(ScenarioError, match=r"NiCr 80/20.*20 to 1200 °C"):
        temperature_factor(ALLOYS["nicr-80-20"], celsius)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[[alloy]]\nid="a"\nname="A"\nsource="s"\ncelsius=[20,100]\nfactor=[1.0]\n', "2 temperatures and 1 factors"),
        ('[[alloy]]\nid="a"\nname="A"\nsource="s"\ncelsius=[20,10]\nfactor=[1.0,1.1]\n', "do not rise"),
        ('[[alloy]]\nid="a"\nname="A"\nsource="s"\ncelsius=[25,100]\nfactor=[1.0,1.1]\n', "starts at 25"),
        ('[[alloy]]\nid="a"\nname="A"\nsource="s"\ncelsius=[20,100]\nfactor=[1.0,-1.1]\n', "not above zero"),
        ('[[alloy]]\nid="a"\nname="A"\ncelsius=[20,100]\nfactor=[1.0,1.1]\n', "missing"),
        (2 * '[[alloy]]\nid="a"\nname="A"\nsource="s"\ncelsius=[20,100]\nfactor=[1.0,1.1]\n', "used twice"),
    ],
)
def test_a_wrong_table_is_refused_by_file_and_place(tmp_path: Path, text: str, words: str) -> None:
    """Each mistake in an alloy file is named with the file and the table it stands in."""
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError, match=words) as caught:
        load_alloys(path)
    assert "mine.toml" in str(caught.value)
    assert "alloy[" in str(caught.value)


def test_every_table_names_its_source() -> None:
    """Each table has a source, and each resistivity has one too; the range is physical (0.4 to 1.5 ohm mm2/m)."""
    for alloy in ALLOYS.values():
        assert isinstance(alloy, Alloy)
        assert alloy.source
        assert (alloy.resistivity is None) == (alloy.resistivity_source is None)
        if alloy.resistivity is not None:
            assert 0.4e-6 < alloy.resistivity < 1.5e-6


def test_a_rating_of_nothing_has_no_resistance() -> None:
    """Zero watts or volts are refused in words, not by dividing."""
    with pytest.raises(ScenarioError, match="no resistance"):
        rated_ohms(0.0, 230.0)
