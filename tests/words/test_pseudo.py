"""The pseudo-language: every word marked, everything else left alone."""

from __future__ import annotations

from pathlib import Path

import pytest
from sample_facts import Buttons, facts, scenarios

from probebook.appliances import load_appliance
from probebook.meters import load_meters
from probebook.scenario_folder import scenarios_dir
from probebook.words import Words
from probebook.words.pseudo import MARK, PSEUDO, marked, unmarked


@pytest.mark.parametrize(
    ("text", "pseudo"),
    [
        ("Wires off", "Wires¤ off¤"),
        ("**bold** and *more*", "**bold¤** and¤ *more¤*"),
        ("the meter’s, don't", "the¤ meter’s¤, don't¤"),
        ("E1.1 at 230, W12", "E1.1 at¤ 230, W12"),
        ("`code here` says", "`code here` says¤"),
        ("<b class='x'>no</b>&nbsp;", "<b class='x'>no¤</b>&nbsp;"),
        ("[page](page.ipynb) at https://example.org/a", "[page¤](page.ipynb) at¤ https://example.org/a"),
        ("$R = V^2 / P$ holds", "$R = V^2 / P$ holds¤"),
        ("| part | ohms |\n| --- | --- |", "| part¤ | ohms¤ |\n| --- | --- |"),
        ("is 5 × 3 ÷ 2", "is¤ 5 × 3 ÷ 2"),
        ("already¤ done", "already¤ done¤"),
        ("", ""),
    ],
)
def test_words_are_marked(text: str, pseudo: str) -> None:
    """Each word bears the mark once; numbers, marks of parts, code, links and formulae are left."""
    assert marked(text) == pseudo
    assert marked(pseudo) == pseudo
    assert unmarked(pseudo) == []


def test_what_was_not_said_is_found() -> None:
    """Words without the mark are found, each once and in order, but for those allowed."""
    assert unmarked("Some¤ raw words and raw¤ kW in 3 kW", {"kW"}) == ["raw", "words", "and", "in"]


def test_sentences_are_marked_and_facts_are_not(tmp_path: Path) -> None:
    """Text, texts of ways, lists and nouns are marked; a display is left as the meter shows it."""
    words = Words(scenarios(tmp_path), PSEUDO)
    told = facts(words)
    assert words.say(told, "paths") == "The¤ oven¤ lamp¤ and¤ motor¤ have¤ another¤ path¤ of¤ 1 wire¤."
    upside_down = words.say(told, "here.upside-down")
    assert "**35.27 Ω**" in upside_down
    assert unmarked(upside_down, {"Ω"}) == []
    assert words.say(Buttons(), "check") == f"Check{MARK}"


def test_marks_take_nothing_else(tmp_path: Path) -> None:
    """With its marks taken away, the pseudo-language is English."""
    pseudo, english = Words(scenarios(tmp_path), PSEUDO), Words(tmp_path)
    for key in ("prompt", "working", "paths", "here.upside-down"):
        assert pseudo.say(facts(pseudo), key).replace(MARK, "") == english.say(facts(english), key)


def test_prose_of_scenario_files_is_marked() -> None:
    """Titles and looks of an appliance and titles of meters are marked; ids, marks and makers are not."""
    words = Words(scenarios_dir(), PSEUDO)
    folder = scenarios_dir()
    plain, pseudo = (load_appliance(folder / "appliances" / "kettle.toml", w) for w in (None, words))
    assert unmarked(pseudo.title) == []
    assert all(unmarked(f.looks) == [] and f.id == g.id for f, g in zip(pseudo.faults, plain.faults, strict=True))
    assert [p.short.replace(MARK, "") for p in pseudo.parts] == [p.short for p in plain.parts]
    assert pseudo.plate == plain.plate
    assert pseudo.branches == plain.branches
    assert all(unmarked(meter.title) == [] for meter in load_meters(folder / "meters", words).values())
