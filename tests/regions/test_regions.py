"""Regions: figures against their published sources, and what their files may not say."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import pytest

from probebook.errors import ScenarioError, UsageError
from probebook.regions import Region, load_region, region_ids
from probebook.regions.checking import wrong_region
from probebook.regions.limits_file import FIRM
from probebook.regions.loading import OPTIONAL_ROLES, ROLES
from probebook.words import Words

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
REGIONS = {name: load_region(SCENARIOS, name) for name in region_ids(SCENARIOS)}
EACH = pytest.mark.parametrize("region", REGIONS.values(), ids=REGIONS)


def test_four_regions_are_there_and_great_britain_comes_first() -> None:
    """Great Britain is the default; Ireland, Australia and New Zealand ship beside it."""
    assert list(REGIONS) == ["gb", "au", "ie", "nz"]
    assert load_region(SCENARIOS).id == "gb"


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("gb", 216.2, 253.0),  # 230 V +10 % -6 %: SI 1994/3021, kept by SI 2002/2665
        ("ie", 207.0, 253.0),  # 230 V +-10 %: IEC 60038
        ("au", 216.2, 253.0),  # 230 V +10 % -6 %: AS 60038; Queensland since 26 October 2018
        ("nz", 207.0, 253.0),  # 230 V +-10 % from 13 November 2025
    ],
)
def test_supply_band_is_the_published_one(name: str, low: float, high: float) -> None:
    """Nominal 230 V in all four; the band is that of the regulation named beside it."""
    allowed = REGIONS[name].rule("supply.now")
    assert REGIONS[name].supply.nominal == 230.0
    assert (allowed.low, allowed.high) == pytest.approx((low, high))


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("gb", 225.6, 254.4),  # 240 V +-6 % until 1994
        ("au", 225.6, 254.4),  # 240 V +-6 % before the Queensland amendment of 2017
        ("nz", 216.2, 243.8),  # 230 V +-6 % until 12 November 2025
    ],
)
def test_supply_band_before_is_the_published_one(name: str, low: float, high: float) -> None:
    """What was allowed before the last change."""
    allowed = REGIONS[name].rule("supply.before")
    assert (allowed.low, allowed.high) == pytest.approx((low, high))


def test_what_was_not_found_is_not_given() -> None:
    """The former Irish band was not found, so no item can ask for it."""
    assert not REGIONS["ie"].has("supply.before")
    with pytest.raises(UsageError, match=r"supply\.before"):
        REGIONS["ie"].rule("supply.before")


@EACH
@pytest.mark.parametrize(
    ("role", "facts", "low", "high"),
    [
        # IEC 60335-1 clause 10.1, Table 1 (read as GOST R IEC 335-1-94)
        ("power-input", {"watts": 2000.0}, 1800.0, 2100.0),
        ("power-input", {"watts": 300.0}, 270.0, 320.0),
        # IEC 60335-1 clause 13.2, as two independent texts report it
        ("leakage.stationary-heating", {"watts": 2000.0}, 0.0, 1.5e-3),
        ("leakage.stationary-heating", {"watts": 7000.0}, 0.0, 5e-3),
        ("leakage.portable", {}, 0.0, 0.75e-3),
        ("leakage.class-ii", {}, 0.0, 0.25e-3),
        # IEC 60335-1 clause 27.5, as a public note quotes it
        ("earth.metalwork", {}, 0.0, 0.1),
        # IEC 60228 class 5 and class 2, three agreeing published tables: 13.3 and 12.1 ohm/km at 1.5 mm2
        ("conductor.flexible", {"area": 1.5e-6, "length": 100.0}, 0.0, 1.33),
        ("conductor.stranded", {"area": 1.5e-6, "length": 100.0}, 0.0, 1.21),
        # the older wiring rules of Australia and New Zealand, elements in circuit
        ("insulation.heating-element", {}, 1e4, math.inf),
    ],
)
def test_limits_common_to_all_are_the_published_ones(
    region: Region, role: str, facts: dict[str, float], low: float, high: float
) -> None:
    """Product standards hold in every region alike; the source stands beside each figure."""
    allowed = region.rule(role, **facts)  # type: ignore[arg-type]
    assert (allowed.low, allowed.high) == pytest.approx((low, high))


@pytest.mark.parametrize(
    ("name", "insulation", "earth"),
    [
        ("gb", 1e6, 0.15),  # IET Code of Practice, as guides report it: 1 Mohm; 0.1 ohm plus that of the lead
        ("ie", 1e6, 0.15),  # no Irish figure: the same Code; EN 50106 for the end of a production line
        ("au", 1e6, 1.0),  # wiring rules as two pages quote them; AS/NZS 3760 as a consultancy reports it
        ("nz", 1e6, 1.0),
    ],
)
def test_limits_in_service_are_those_reported(name: str, insulation: float, earth: float) -> None:
    """Regions disagree about the earth path of an appliance with a lead of 50 milliohms."""
    assert REGIONS[name].rule("insulation.class-i").low == insulation
    assert REGIONS[name].rule("earth.through-lead", lead_ohms=0.05).high == pytest.approx(earth)


@pytest.mark.parametrize(("name", "at_once"), [("gb", 5.0), ("ie", 5.0), ("au", 10.0), ("nz", 10.0)])
def test_breaker_bands_are_those_of_the_standard(name: str, at_once: float) -> None:
    """IEC 60898-1: holds 1.13, trips 1.45 times; at once from 5 times (type B) or 10 times (type C)."""
    band = REGIONS[name].devices.breaker
    assert (band.holds, band.trips, band.at_once) == (1.13, 1.45, at_once)


def test_fused_plugs_are_british_and_irish() -> None:
    """BS 1363 and I.S. 401 plugs hold a fuse; AS/NZS 3112 plugs hold none."""
    assert [name for name, region in REGIONS.items() if region.devices.fuse] == ["gb", "ie"]


@pytest.mark.parametrize(("name", "number"), [("gb", "999"), ("ie", "112"), ("au", "000"), ("nz", "111")])
def test_emergency_numbers(name: str, number: str) -> None:
    """The number shown is the country's own."""
    assert REGIONS[name].emergency.number == number


@pytest.mark.parametrize(
    ("name", "isolation", "probes"),
    [
        ("gb", "HSE HSG85 and HSE GS38", "HSE GS38"),  # the beginnings of both guides, as published
        ("ie", "(General Application) Regulations 2007, regulations 85 and 86", "common practice"),  # S.I. 299/2007
        ("au", "*Managing electrical risks in the workplace*", "common practice"),  # Queensland's 2013 edition
        ("nz", "Electricity (Safety) Regulations 2010, Part 8", "common practice"),  # SR 2010/36, contents
    ],
)
def test_working_dead_rests_on_the_guidance_of_the_country(name: str, isolation: str, probes: str) -> None:
    """Law and guidance by name; where none was read for the tips of a tester, practice is named."""
    guidance = REGIONS[name].guidance
    assert isolation in guidance.isolation
    assert probes in guidance.probes


@EACH
def test_every_role_has_firm_ground(region: Region) -> None:
    """Nothing turns on a figure from memory or from a shop: every limit in use was read somewhere, or is ours."""
    assert set(ROLES) <= set(region.roles) <= {*ROLES, *OPTIONAL_ROLES}
    assert {region.rules.status(limit_id) for limit_id in region.roles.values()} <= set(FIRM)


@EACH
def test_every_region_has_the_same_words_and_a_licence_that_names_its_source(region: Region) -> None:
    """A sentence that uses a word can be said everywhere; who may do what says on whose word."""
    assert set(region.words) == set(REGIONS["gb"].words)
    assert all(licence.source and licence.status for licence in region.licences)


def test_words_differ_where_people_speak_differently() -> None:
    """RCD and safety switch, cooker and stove; a language may put its own word in place."""
    assert [str(r.word("rcd")) for r in REGIONS.values()] == ["RCD", "safety switch", "RCD", "RCD"]
    words = Words(SCENARIOS)
    assert words.language.with_article("a", words.adopted(REGIONS["gb"].word("rcd"))) == "an RCD"
    assert words.language.with_article("a", words.adopted(REGIONS["au"].word("rcd"))) == "a safety switch"


@pytest.mark.parametrize(
    ("ask", "hint"),
    [
        (lambda r: r.rule("insulation.class-1"), "insulation.class-i"),
        (lambda r: r.word("rdc"), "rcd"),
        (lambda _: load_region(SCENARIOS, "gv"), "gb"),
    ],
)
def test_a_misspelt_name_is_answered_with_a_near_one(ask: object, hint: str) -> None:
    """One sentence, with the name that was probably meant."""
    with pytest.raises(UsageError, match=hint):
        ask(REGIONS["gb"])  # type: ignore[operator]


def broken(folder: Path, old: str, new: str) -> Path:
    """Copy the region files and break New Zealand's; return the file."""
    (folder / "regions").mkdir()
    shutil.copy(SCENARIOS / "limits.toml", folder)
    for path in (SCENARIOS / "regions").glob("*.toml"):
        shutil.copy(path, folder / "regions")
    path = folder / "regions" / "nz.toml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    return path


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('"nz-supply"', '"nz-suply"', "did you mean 'nz-supply'"),
        (
            '{ limit = "nz-supply" }',
            '{ limit = "ie-supply-before" }',
            "not confirmed (weak)",
        ),
        ('"insulation.class-i" =', '"insulation.class-l" =', "did you mean 'insulation.class-i'"),
        ('limit = "nz-supply"', 'limit = "iet-earth"', "no supply limit 'iet-earth'"),
        ('status = "seen"', 'status = "surely"', "not one of the choices"),
        ('number = "111"', 'number = "one one one"', "emergency.number"),
        ('value = "230 V"', 'value = "230 W"', "supply.nominal.value"),
        ('id = "nz"', 'id = "zz"', "differs from the file's name"),
        ("rcd = {", "rdc = {", "the word 'rcd' is missing"),
        ('earth = "green-yellow"', 'earth = "green"', "not among allowed"),
    ],
)
def test_a_mistake_in_a_region_is_named(tmp_path: Path, old: str, new: str, message: str) -> None:
    """Each mistake yields a sentence that names the file and the key."""
    found = [str(error) for error in wrong_region(broken(tmp_path, old, new))]
    assert any(message in sentence and sentence.startswith("nz.toml") for sentence in found), found


def test_a_broken_region_is_refused_when_it_is_loaded(tmp_path: Path) -> None:
    """Loading tells the same as checking."""
    broken(tmp_path, 'limit = "nz-supply"', 'limit = "as-nzs-3760-class-1"')
    with pytest.raises(ScenarioError, match=r"nz\.toml"):
        load_region(tmp_path, "nz")
    assert load_region(tmp_path, "gb").id == "gb"
