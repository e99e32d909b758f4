"""The page of a case: complete, readable without a kernel, and silent about the answer."""

from __future__ import annotations

import base64
import re
import xml.etree.ElementTree as ET

import pytest

from english import WORDS
from probebook.cases.generate import make_case
from probebook.cases.library import library
from probebook.cases.model import Case
from probebook.diagnosis import Measured
from probebook.errors import ScenarioError
from probebook.workbook.pages.case import case_page
from probebook.workbook.pages.drawing import drawing_page

TRADE = library()


@pytest.fixture(scope="module", params=TRADE.appliance_ids)
def case(request: pytest.FixtureRequest) -> Case:
    """One case of every appliance."""
    return make_case(TRADE, request.param, "page", 2)


def test_every_observation_stands_in_the_table(case: Case) -> None:
    """The table has a row for each observation after the complaint, numbered, with what the meter shows."""
    text = case_page(case, TRADE, number=3).text
    rows = re.findall(r"^\| (\d+) \|(.*)\|$", text, re.M)
    assert [int(n) for n, _ in rows] == list(range(1, len(case.evidence)))
    for (_, cells), item in zip(rows, case.evidence[1:], strict=True):
        if isinstance(item, Measured):
            assert f"**{item.display}**" in cells
            assert all(probe in cells for probe in item.trial.probes)
            assert all(wire in cells for wire in item.trial.lifted)


def test_the_page_has_job_card_plate_and_diagram(case: Case) -> None:
    """Job number, customer, complaint and rating are there, and a diagram with a text alternative."""
    page = case_page(case, TRADE, number=1)
    plate = TRADE.appliance(case.appliance).plate
    for words in (case.card.number, case.card.customer, case.card.premises, case.card.reported, plate.maker):
        assert words in page.text
    found = re.search(r"!\[([^\]]+)\]\(attachment:([^)]+)\)", page.text)
    assert found is not None
    assert len(found[1]) > 100
    stored = page.attachments()[found[2]]["image/svg+xml"]
    assert ET.fromstring(base64.b64decode(stored)).tag.endswith("svg")


def test_the_page_does_not_name_the_fault(case: Case) -> None:
    """Neither the id nor the title of a fault present, nor the seed, is on the page."""
    page = case_page(case, TRADE, number=1)
    whole = page.text + "".join(page.pictures.values())
    for fault in case.truth:
        assert fault not in whole
        assert TRADE.appliance(case.appliance).fault(fault).title not in whole
    assert case.seed not in page.text


def test_parts_are_named_so_that_marks_need_not_be_looked_up(case: Case) -> None:
    """Every reading says in words what the probes are on, by the short title where there is one, not by marks alone."""
    text = case_page(case, TRADE, number=1).text
    for item in case.evidence:
        if isinstance(item, Measured):
            part = TRADE.appliance(case.appliance).part(item.trial.probes[0].partition(".")[0])
            assert re.sub(r"\s*\([^)]*\)$", "", part.short or part.title) in text


def test_drawings_stand_by_themselves() -> None:
    """Schematic, harness, plate and heat-up are pictures with alternatives; another word is refused."""
    oven = TRADE.appliance("conventional-oven")
    for what in ("schematic", "harness", "plate", "heat-up"):
        page = drawing_page(oven, what, WORDS, "oven")
        assert page.pictures, what
        assert re.search(r"!\[[^\]]{20,}\]", page.text), what
    with pytest.raises(ScenarioError, match="no drawing 'photograph'"):
        drawing_page(oven, "photograph", WORDS)
    with pytest.raises(ScenarioError, match="no position 'bake'"):
        drawing_page(oven, "schematic", WORDS, "bake")
