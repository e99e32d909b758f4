"""Stop or go: owners stop at the cover, critical choices fail the question, bad files are refused."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from bank_checks import asked, sample

from probebook.cases.library import library
from probebook.errors import ScenarioError
from probebook.questions.marking import mark
from probebook.questions.model import Kind
from probebook.questions.procedures import Situation, load_situations

TRADE = library()
SITUATIONS = load_situations(TRADE.folder)

#: What no owner is told to do (common practice: an owner stops at the cover and does no live work).
NOT_FOR_OWNERS = re.compile(
    r"\b(measur\w*|prob\w+|screwdriver|open (it|the)|take the (cover|back)|lift\w*|ohms?|tester|multimeter|live)\b",
    re.I,
)
PROTECTION = re.compile(r"\b(bridge|bypass|foil|bigger one|hold the device in)\b", re.I)


def _right(situation: Situation) -> str:
    return next(choice.text for choice in situation.choices if not choice.slip)


def test_owners_are_never_led_into_live_work() -> None:
    """What an owner is told is right names no measuring, no opening and no live part."""
    owners = [s for s in SITUATIONS if s.person == "owner"]
    assert len(owners) >= 10
    for situation in owners:
        assert not NOT_FOR_OWNERS.search(_right(situation)), situation.id
        if situation.go:
            assert not NOT_FOR_OWNERS.search(situation.proposed), situation.id


def test_the_length_of_a_choice_does_not_tell() -> None:
    """The right choice is not the longest much more often than one of four by chance would be.

    Haladyna, Downing and Rodriguez 2002, a review of rules for writing items: keep options about equal in length.
    """
    lengths = [(len(_right(s)), max(len(choice.text) for choice in s.choices if choice.slip), s.id) for s in SITUATIONS]
    assert sum(right > wrong for right, wrong, _ in lengths) <= 0.35 * len(lengths)
    assert sum(right < wrong for right, wrong, _ in lengths) <= 0.85 * len(lengths)
    for right, wrong, which in lengths:
        assert right <= 1.3 * wrong, which


def test_no_right_choice_bridges_protection() -> None:
    """No right choice of anybody bridges or defeats a protective part, and every choice that does is critical."""
    for situation in SITUATIONS:
        for choice in situation.choices:
            if PROTECTION.search(choice.text):
                assert choice.slip, situation.id
                assert choice.critical, (situation.id, choice.text)


def test_only_the_licensed_measure_live() -> None:
    """An apprentice is never told that going on with a live test alone is right (published unit standards)."""
    for situation in SITUATIONS:
        if situation.person == "apprentice" and situation.go:
            assert not re.search(r"\b(live|supply on|voltage)\b", situation.proposed), situation.id
    licensed = [s for s in SITUATIONS if s.person == "licensed"]
    assert any(s.go and "voltage" in s.proposed for s in licensed)


def test_every_situation_can_be_asked() -> None:
    """Each situation makes a question of at least one appliance, and both decisions occur for each person."""
    for situation in SITUATIONS:
        built = [
            q
            for a in TRADE.appliance_ids
            if (q := asked(TRADE, Kind.STOP_OR_GO, "", a, 1, "each", situation=situation.id)) is not None
        ]
        assert built, situation.id
        assert built[0].field("decision").answer == ("go" if situation.go else "stop")
    for person in ("apprentice", "owner", "licensed"):
        assert {s.go for s in SITUATIONS if s.person == person} == {True, False}


def test_going_on_where_one_must_stop_earns_nothing() -> None:
    """In a critical situation the wrong decision takes the whole question to nought, with the rest right."""
    seen = 0
    for _, question in sample(TRADE, Kind.STOP_OR_GO, "apprentice", seeds=3):
        wrong = "stop" if question.field("decision").answer == "go" else "go"
        marked = mark(question, {**question.key(), "decision": wrong})
        critical = any(s.critical and s.field == "decision" for s in question.slips)
        assert marked.critical is critical
        assert marked.marks == (0 if critical else question.field("next").marks)
        seen += critical
    assert seen >= 5


def test_stopping_where_one_may_go_on_is_no_danger() -> None:
    """Too much caution is never critical."""
    for situation in SITUATIONS:
        if situation.go:
            assert not situation.critical


@pytest.mark.parametrize(
    ("find", "write", "told"),
    [
        ('slip = "prove-once"\n\n[[situation.choice]]', "\n[[situation.choice]]", "2 choices without a slip"),
        ('decision = "stop"', 'decision = "perhaps"', "decision"),
        ('id = "breaker-not-locked"', 'id = "no-second-proof"', "is used twice"),
    ],
)
def test_a_bad_situation_is_refused(tmp_path: Path, find: str, write: str, told: str) -> None:
    """Two right choices, an unknown decision or an id used twice are told in one sentence with the place."""
    folder = tmp_path / "procedures"
    folder.mkdir()
    path = folder / "situations.toml"
    shutil.copy(TRADE.folder / "procedures" / "situations.toml", path)
    text = path.read_text("utf-8")
    assert find in text
    path.write_text(text.replace(find, write, 1), "utf-8")
    with pytest.raises(ScenarioError, match=r"situations\.toml") as caught:
        load_situations(tmp_path)
    assert told in str(caught.value)
