"""Workbooks of another region: they can be built, and read right there."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from probebook import compile_workbook, load_plans
from probebook.cases.library import Library
from probebook.regions import region_ids
from probebook.words import Words

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
OTHERS = [name for name in region_ids(SCENARIOS) if name != "gb"]
QUICK = (
    "before-you-touch-it",
    "reading-the-wiring",
    "your-meter",
    "insulation-and-earth",
    "what-is-safe-to-look-at",
)
#: What is called where something burns or somebody is hurt: 000 by a state's emergency authority, 112 by a newspaper's
#: report, 111 by a home repair programme's page, 999 from memory.
EMERGENCY = {"gb": "999", "ie": "112", "au": "000", "nz": "111"}


@cache
def text_of(region: str) -> str:
    """Return all that a learner reads in some quick workbooks of a region, drawings left out."""
    library = Library(SCENARIOS, region=region)
    plans = [plan for plan in load_plans(library) if plan.id in QUICK]
    books = [compile_workbook(plan, library) for plan in plans]
    cells = [cell.source for book in books for cell in book.cells]
    asked = [str(question) for book in books for question in book.questions]
    return "\n".join([*cells, *asked])


@pytest.mark.parametrize("region", OTHERS)
def test_what_is_true_of_one_country_alone_is_not_asked_in_another(region: str) -> None:
    """Colours in the wall and the plug's cores are asked in Great Britain only, where they were read."""
    for item in ("The cores of a flexible lead", "Old colours in the wall"):
        assert item in text_of("gb")
        assert item not in text_of(region)


@pytest.mark.parametrize("region", ["au", "nz"])
def test_no_british_board_or_fuse_is_met_where_there_is_none(region: str) -> None:
    """A switchboard has no consumer unit's name, and a plug without a fuse gives nobody one to change."""
    assert "consumer unit" in text_of("gb")
    assert "change a plug fuse" in text_of("gb")
    assert "consumer unit" not in text_of(region)
    assert "change a plug fuse" not in text_of(region)
    assert "switchboard" in text_of(region)


@pytest.mark.parametrize("region", ["gb", *OTHERS])
def test_an_owner_is_told_the_number_of_the_country(region: str) -> None:
    """The owner's workbook names the emergency number of its region, and that of no other."""
    title = Library(SCENARIOS, region=region).region.title
    assert f"the number in {title} is **{EMERGENCY[region]}**" in text_of(region)
    assert not any(f"**{number}**." in text_of(region) for name, number in EMERGENCY.items() if name != region)


#: What belongs to one country: its laws, guides and standards, the things it alone has, and its own name.
OF_ONE = {
    "gb": ("HSE", "Electricity at Work", "BS 1363", "BS 7671", "Great Britain", "British", "SI 1994"),
    "ie": ("299/2007", "General Application", "I.S. ", "Ireland", "Irish"),
    "au": ("Managing electrical risks", "AS 60038", "Queensland", "Australia"),
    "nz": ("Electricity (Safety) Regulations", "New Zealand"),
}
#: A standard of two countries, which bears the names of both.
OF_BOTH = "Australian and New Zealand wiring rules"


@pytest.mark.parametrize("region", OF_ONE)
def test_safe_working_names_no_other_country(region: str) -> None:
    """The first workbook names law and guidance of the region it is built for, and none of another's."""
    library = Library(SCENARIOS, region=region)
    plan = next(plan for plan in load_plans(library) if plan.id == "before-you-touch-it")
    book = compile_workbook(plan, library)
    text = "\n".join([*(cell.source for cell in book.cells), *map(str, book.questions)])
    if region in ("au", "nz"):
        text = text.replace(OF_BOTH, "the wiring rules")
    assert library.region.guidance.isolation in text
    assert [(name, word) for name, words in OF_ONE.items() if name != region for word in words if word in text] == []


@pytest.mark.parametrize("region", ["au", "nz"])
def test_a_fixed_appliance_is_tested_where_it_is_connected_there(region: str) -> None:
    """A connection unit is British; elsewhere there is a switch that isolates (usage, from memory)."""
    assert "At the connection unit test line to neutral" in text_of("gb")
    assert "connection unit" not in text_of(region)
    assert "At the isolating switch test line to neutral" in text_of(region)


def test_a_rule_of_one_country_bears_its_name_in_the_tables_of_rules() -> None:
    """The lesson's tables set rules of several countries side by side, and say whose each is."""
    lines = [line for line in text_of("nz").splitlines() if line.startswith(("| IET Code", "| AS/NZS"))]
    assert len(lines) == 3
    assert all("Great Britain" in line or "Australia and New Zealand" in line for line in lines)


def test_a_rule_named_in_a_verdict_is_one_of_the_region() -> None:
    """The item on a class I appliance names the Code of Practice in Great Britain and the wiring rules in Australia."""
    assert "IET Code of Practice for In-service Inspection and Testing of Electrical Equipment" in text_of("gb")
    assert "Rule: Australian and New Zealand wiring rules" in text_of("au")


def test_words_of_a_region_pass_through_the_language() -> None:
    """In the pseudo-language the usual words of a region bear the mark like all others."""
    library = Library(SCENARIOS, language="qps", region="au")
    assert str(library.word("rcd")) == "safety¤ switch¤"
    assert str(Words(SCENARIOS, "qps").adopted(library.region.word("socket"))) == "power¤ point¤"
