"""Stop or go: owners stop at the cover, critical choices fail the question, bad files are refused."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from bank_checks import asked, sample

from english import WORDS
from probebook.cases.library import library
from probebook.errors import ScenarioError
from probebook.questions.marking import mark
from probebook.questions.model import Kind
from probebook.questions.procedure_files import load_situations
from probebook.questions.procedures import Situation
from probebook.questions.stop_or_go.slips import out_of_turn
from probebook.workbook.build.plan import load_plans

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
        marked = mark(question, {**question.key(), "decision": wrong}, WORDS)
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
        ('without = "storage-heater"', 'without = "storage-heather"', "there is no appliance 'storage-heather'"),
    ],
)
def test_a_bad_situation_is_refused(tmp_path: Path, find: str, write: str, told: str) -> None:
    """Two right choices, an unknown decision or an id used twice are told in one sentence with the place."""
    folder = tmp_path / "text" / "en" / "procedures"
    folder.mkdir(parents=True)
    for name in ("regions", "appliances"):
        shutil.copytree(TRADE.folder / name, tmp_path / name)
    path = folder / "situations.toml"
    shutil.copy(TRADE.folder / "text" / "en" / "procedures" / "situations.toml", path)
    text = path.read_text("utf-8")
    assert find in text
    path.write_text(text.replace(find, write, 1), "utf-8")
    with pytest.raises(ScenarioError, match=r"situations\.toml") as caught:
        load_situations(tmp_path)
    assert told in str(caught.value)


def test_neither_decision_is_the_better_guess() -> None:
    """In the workbooks going on is right about as often as stopping: who always stops does not pass for careful.

    Ranges over the situations that the plans ask, in Great Britain: within 45 and 55 in a hundred over all, and over
    each workbook that asks ten or more; one that asks four to nine is at most one question off even.
    """
    go = {s.id: s.go for s in SITUATIONS}
    counts = {}
    for plan in load_plans(TRADE.folder):
        asked_here = [
            str(b.options["situation"])
            for b in plan.blocks_in("gb")
            if b.ask is Kind.STOP_OR_GO and b.options and "situation" in b.options
        ]
        counts[plan.id] = [go[name] for name in asked_here]
    every = [each for found in counts.values() for each in found]
    assert len(every) > 50
    assert 0.45 <= sum(every) / len(every) <= 0.55, sum(every) / len(every)
    for plan_id, found in counts.items():
        if len(found) >= 10:
            assert 0.45 <= sum(found) / len(found) <= 0.55, plan_id
        elif len(found) >= 4:
            assert abs(sum(found) - len(found) / 2) <= 1, plan_id


def test_a_core_that_stays_hot_is_not_called_cold() -> None:
    """The situation in which all has cooled is not told of a storage heater, whose bricks stay hot for a day."""
    told = asked(TRADE, Kind.STOP_OR_GO, "", "solid-plate", 1, "s", situation="cooled-down")
    assert told is not None
    assert "nothing in it stores heat" in told.prompt
    assert asked(TRADE, Kind.STOP_OR_GO, "", "storage-heater", 1, "s", situation="cooled-down") is None


def test_what_is_right_elsewhere_stands_beside_what_is_right_here() -> None:
    """Of three wrong next steps two are right ones of other situations for the same reader, so that no wording tells.

    Every situation names at least two whose right choice is wrong in it, of nobody with other duties: what an owner is
    offered never comes from a workshop.
    """
    known = {s.id: s for s in SITUATIONS}
    right = {text for s in SITUATIONS for text in (_right(s), next(c.other for c in s.choices if not c.slip)) if text}
    assert all(len(s.borrow) >= 2 for s in SITUATIONS)
    for situation in SITUATIONS:
        for name in situation.borrow:
            assert (known[name].person == "owner") == (situation.person == "owner"), (situation.id, name)
    plain = {text for text in right if "{" not in text}
    counts = []
    for person in ("apprentice", "owner"):
        for _, question in sample(TRADE, Kind.STOP_OR_GO, person, levels=(2,), seeds=1):
            options = [option.text for field in question.fields if field.key == "next" for option in field.options]
            counts.append(sum(text in plain for text in options))
    assert sum(counts) / len(counts) > 2.2


def test_acting_out_of_turn_is_critical_where_one_has_to_stop() -> None:
    """A right step of another situation that opens, measures or runs fails the question where going on does."""
    known = {s.id: s for s in SITUATIONS}
    stop, act = known["no-second-proof"], known["all-proved"]
    assert out_of_turn(stop, act) == {"slip": "prove-once", "critical": True}
    assert out_of_turn(known["tests-passed"], known["insulation-low"]) == {
        "slip": "stopped-too-soon",
        "critical": False,
    }
    assert out_of_turn(known["cause-found"], known["tests-passed"]) == {"slip": "untested-return", "critical": True}


def test_no_two_borrowed_steps_begin_alike() -> None:
    """Of the steps that are right in other situations no two in one question have the same first two words.

    Haladyna, Downing and Rodriguez 2002: an option must not give a clue by its wording; two that look like a pair, or
    all but one that begin alike, do.
    """
    elsewhere = "That is right in another situation"
    pairs = alike = 0
    for person in ("owner", "apprentice", "licensed"):
        for _, question in sample(TRADE, Kind.STOP_OR_GO, person, levels=(2,), seeds=6):
            following = question.fields[1]
            borrowed = [option.text for option in following.options if option.why.startswith(elsewhere)]
            assert len(following.options) == 4
            openings = {tuple(re.findall(r"[\w'-]+", text.lower())[:2]) for text in borrowed}
            pairs += len(borrowed) > 1
            alike += len(openings) < len(borrowed)
    assert pairs > 100
    assert alike == 0
