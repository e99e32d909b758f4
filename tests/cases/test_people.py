"""The invented setting: enough of it, and none of it tied to a fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from probebook.cases.kitchen import kitchen, kitchen_path
from probebook.cases.library import library
from probebook.cases.people import draw_visit
from probebook.cases.seeds import stream
from probebook.errors import ScenarioError

TRADE = library()
SETTING = kitchen(TRADE.folder)


def test_there_are_names_and_premises_enough() -> None:
    """At least 60 names and 40 premises can be drawn, none listed twice."""
    assert len(set(SETTING.given)) * len(set(SETTING.family)) >= 60
    assert len(set(SETTING.family)) == len(SETTING.family) >= 60
    assert len(set(SETTING.premises)) == len(SETTING.premises) >= 40


def test_visits_vary_and_repeat_by_seed() -> None:
    """The same seed gives the same visit; three hundred seeds give hundreds of different ones."""
    assert draw_visit(SETTING, stream("a"), TRADE.words) == draw_visit(SETTING, stream("a"), TRADE.words)
    drawn = {draw_visit(SETTING, stream(n), TRADE.words) for n in range(300)}
    assert len(drawn) == 300
    assert len({v.customer for v in drawn}) > 200
    assert len({v.premises for v in drawn}) > 40


def test_every_appliance_and_position_can_be_spoken_of() -> None:
    """People have a word for every appliance, and an opening for every position that works something."""
    for appliance_id in TRADE.appliance_ids:
        appliance = TRADE.appliance(appliance_id)
        manner = SETTING.manner(appliance)
        assert {p.name for p in appliance.positions if p.heats} <= set(manner.leads), appliance_id
        assert manner.usual in manner.leads


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("yearly check", "yearly {{ chekc }}", r"vague\[4\]"),
        ("{{ thing }} is due", "{{ thing }} is as due", ""),
    ],
)
def test_a_sentence_with_an_unknown_hole_is_refused(tmp_path: Path, old: str, new: str, said: str) -> None:
    """A vague complaint with a hole that nothing fills is named by its number; another wording is taken."""
    text = kitchen_path(TRADE.folder).read_text("utf-8")
    assert text.count(old) == 1
    path = kitchen_path(tmp_path)
    path.parent.mkdir(parents=True)
    path.write_text(text.replace(old, new), "utf-8")
    if said:
        with pytest.raises(ScenarioError, match=said):
            kitchen(tmp_path)
    else:
        assert any("as due" in sentence for sentence in kitchen(tmp_path).vague)


def test_an_outcome_says_to_each_reader_what_one_can_do() -> None:
    """An owner is told the owner's words, an apprentice the trade's; an owner without any is told those."""
    isolate = TRADE.outcomes["isolate"]
    assert isolate.able["owner"] == "say what has to be switched off before anybody looks further"
    assert isolate.able["apprentice"].startswith("isolate an appliance, lock it off and prove it dead")
    assert "" not in {said for outcome in TRADE.outcomes.values() for said in outcome.able.values()}
