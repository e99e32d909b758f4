"""Replacement questions: the right line agrees with plate and fit, the wrong ones by a named slip do not."""

from __future__ import annotations

import re

import pytest
from case_samples import TRADE, asked, keys_and_slips_are_marked

from probebook.appliances import FaultKind, PartKind
from probebook.cases.library import Library
from probebook.questions.frame import Ask
from probebook.questions.model import Kind, Question
from probebook.questions.registry import build_question


def _elements() -> list[tuple[str, str]]:
    return [(a, p.mark) for a in TRADE.appliance_ids for p in TRADE.appliance(a).parts if p.kind is PartKind.ELEMENT]


def _of(appliance: str, part: str) -> Question:
    return build_question(Ask("q01", Kind.REPLACEMENT, f"{appliance} {part}", 2, appliance, {"part": part}), TRADE)


@pytest.mark.parametrize(("appliance", "part"), _elements())
def test_the_right_element_has_the_rating_of_the_plate(appliance: str, part: str) -> None:
    """The key's watts are those of the element's sections and its volts those of the plate; the fit is that stated."""
    question = _of(appliance, part)
    target = question.fields[0]
    key = next(o for o in target.options if o.id == target.answer)
    trade = TRADE.appliance(appliance)
    for branch in trade.branches:
        if branch.part == part and branch.watts:
            assert f"{branch.watts:g} W" in key.text
    assert f"at {trade.plate.volts:g} V" in key.text
    row = next(line for line in question.prompt.splitlines() if f" {part} |" in line)
    for cell in row.strip("| ").split(" | ")[1:4]:
        assert cell in key.text
    keys_and_slips_are_marked(question)


@pytest.mark.parametrize(("appliance", "part"), _elements())
def test_power_at_another_voltage_goes_with_the_square(appliance: str, part: str) -> None:
    """What a part for another voltage would give here is its watts times the square of the ratio (Joule's law)."""
    trade = TRADE.appliance(appliance)
    rated = sum(b.watts for b in trade.branches if b.part == part and b.watts)
    told = 0
    for slip in _of(appliance, part).slips:
        if slip.slip == "rating-at-other-voltage":
            found = re.search(r"belong to (\d+) V: on (\d+) V it would give about (\d+) W", slip.advice)
            assert found is not None
            made, here, watts = (float(g) for g in found.groups())
            assert watts == pytest.approx(rated * here * here / made / made, abs=1.0)
            told += 1
    assert told


@pytest.mark.parametrize(("appliance", "part"), _elements())
def test_the_figures_of_advice_follow_from_the_plate(appliance: str, part: str) -> None:
    """Weaker and stronger elements are told beside the plate's watts; current and ohms follow by Ohm's law."""
    trade = TRADE.appliance(appliance)
    question = _of(appliance, part)
    sections = [b for b in trade.branches if b.part == part and b.watts]
    volts = trade.plate.volts
    wanted = " and ".join(
        f"{b.name.partition('.')[2]} {b.watts:g} W" if len(sections) > 1 else f"{b.watts:g} W" for b in sections
    )
    for slip in question.slips:
        if slip.slip == "fit-by-look":
            assert f"the plate calls for {wanted} at {volts:g} V." in slip.advice
    for slip in question.slips:
        if slip.field != "ohms":
            continue
        (load,) = sections
        found = [float(f) for f in re.findall(r"([\d.]+) [WVA]\b", slip.advice)]
        if slip.slip == "amps-for-watts":
            assert found[:3] == [load.watts, volts, pytest.approx(load.watts / volts, rel=6e-3)]
        elif slip.slip == "half-voltage":
            assert found[0] == volts
    if len(question.fields) == 2:
        (load,) = sections
        band = question.fields[1].band
        assert band is not None
        assert band.holds(load.cold_ohms)
        assert band.holds(volts * volts / load.watts)


def test_codes_are_the_same_in_every_language() -> None:
    """With every word marked the lines offered bear the same codes, in the same order, and the same one is right."""
    marked = Library(TRADE.folder, "qps")
    for appliance, part in _elements()[:4]:
        asked_of = Ask("q01", Kind.REPLACEMENT, f"{appliance} {part}", 2, appliance, {"part": part})
        plain, told = build_question(asked_of, TRADE), build_question(asked_of, marked)
        assert [o.id for o in told.fields[0].options] == [o.id for o in plain.fields[0].options]
        assert told.fields[0].answer == plain.fields[0].answer
        assert told.explanation != plain.explanation


@pytest.mark.parametrize("level", [1, 2, 3, 4])
def test_on_a_case_the_part_is_that_of_the_fault(level: int) -> None:
    """A broken wire, a bond left off, damp or a setting wants no part; an element, control or lamp that failed does."""
    found = asked(Kind.REPLACEMENT, level)
    assert len(found) >= 3
    for case, question in found:
        appliance = TRADE.appliance(case.appliance)
        kinds = {appliance.fault(f).kind for f in case.truth}
        none = kinds <= {
            FaultKind.BROKEN_WIRE,
            FaultKind.EARTH_OFF,
            FaultKind.DAMP,
            FaultKind.HIGH_RESISTANCE,
            FaultKind.MISPLACED_WIRE,
            FaultKind.LOW_SUPPLY,
            FaultKind.USER_SETTING,
        }
        assert (question.fields[0].answer == "no-part") is none, case.id
        keys_and_slips_are_marked(question)


def test_a_link_in_place_of_a_protective_part_fails_the_task() -> None:
    """Whoever bridges a cut-out, fuse or thermostat earns nothing, whatever else was right."""
    dangerous = [
        slip
        for level in (1, 2, 3, 4)
        for _, question in asked(Kind.REPLACEMENT, level)
        for slip in question.slips
        if slip.slip == "bypass"
    ]
    assert dangerous
    assert all(slip.critical for slip in dangerous)


def test_the_stock_list_does_not_give_the_key_away_by_its_make() -> None:
    """Over all elements the right line is of several makes, and stands in several places of the list."""
    makes, places = set(), set()
    for appliance, part in _elements():
        target = _of(appliance, part).fields[0]
        ids = [o.id for o in target.options]
        places.add(ids.index(str(target.answer)))
        makes.add(target.options[ids.index(str(target.answer))].text.split(" ")[1])
    assert len(makes) >= 3
    assert len(places) >= 3


def test_an_immersion_element_screws_into_its_boss() -> None:
    """Every immersion element on offer has a screwed boss: common practice, no published source."""
    question = _of("immersion-heater", "E1")
    assert all("screwed boss" in o.text for o in question.fields[0].options if "immersion element" in o.text)
