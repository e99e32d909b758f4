"""Displays, ranges, kinds of fault, symbols, colours, drawings, leakage and earth faults, by hand and by standard."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import pytest
from bank_checks import asked, check, figures, sample

from probebook.cases.library import library
from probebook.errors import ScenarioError
from probebook.questions.knowhow_file import load_items
from probebook.questions.model import Kind, Question
from probebook.questions.trace.signs import load_signs

TRADE = library()
PREFIX = {"Ω": Decimal(1), "kΩ": Decimal(1000), "MΩ": Decimal(1_000_000)}
#: Beginning of an item of the knowledge file, complete but for its ways.
ITEM = (
    '[[item]]\nid = "one"\nform = "colour"\ntitle = "T"\ntext = "T"\nlabel = "L"\noutcome = "trace"\n'
    'competences = ["C19"]\nsource = "invented for this test"\n'
)


def si(text: str) -> float:
    """A reading with its prefix as plain ohms, by decimal arithmetic."""
    number, unit = text.split(" ")
    return float(Decimal(number) * PREFIX[unit])


def band_holds(question: Question, key: str, value: float) -> bool:
    """Whether a field accepts a value."""
    band = question.field(key).band
    return band is not None and band.holds(value)


def test_the_ohms_behind_a_display_are_figure_times_prefix() -> None:
    """The key is the figure shown times a thousand or a million (SI prefixes), and never the bare figure."""
    met = set()
    for _, question in sample(TRADE, Kind.READING, "display", levels=(1, 2, 3), seeds=3):
        shown = re.search(r"It shows \*\*(.+?)\*\*", question.prompt)
        assert shown is not None
        met.add(shown[1].split(" ")[1])
        assert band_holds(question, "ohms", si(shown[1]))
        assert not band_holds(question, "ohms", float(shown[1].split(" ")[0]))
    assert met == {"kΩ", "MΩ"}


def test_a_range_set_by_hand_rounds_to_its_step_or_shows_overload() -> None:
    """What shows is the value rounded to the step of the range, and OL exactly where the value is above its top."""
    met = set()
    for _, question in sample(TRADE, Kind.READING, "range", seeds=6):
        value, top = (si(text) for text in re.findall(r"\*\*([\d.]+ [kM]?Ω)\*\*", question.prompt))
        step = re.search(r"last digit is ([\d.]+ [kM]?Ω)", question.prompt)
        assert step is not None
        right = next(o.text for o in question.field("shows").options if o.id == "right")
        met.add(right == "OL")
        assert (right == "OL") == (value > top)
        if right != "OL":
            assert abs(si(right) - value) <= si(step[1]) / 2 + 1e-9
        then = question.field("then").answer
        assert (then == "up") == (value > top)
    assert met == {True, False}


@pytest.mark.parametrize("kind", ["open", "joint", "short", "leak", "none"])
def test_the_kind_of_fault_follows_from_reading_and_sound_value(kind: str) -> None:
    """By the published meaning of the terms: OL open, ohms in a joint partial open, too few short, megohms leakage."""
    met = 0
    for _, question in sample(TRADE, Kind.READING, "sign", fault=kind):
        met += 1
        shown = re.search(r"It shows \*\*(.+?)\*\*", question.prompt)
        sound = re.search(r"A sound one would show (.+?)\. What", question.prompt)
        assert shown is not None
        assert sound is not None
        if "MΩ" in shown[1]:
            found = "leak"
        elif shown[1] == "OL":
            found = "open"
        elif "less than" in sound[1]:
            found = "joint"
        else:
            low, high = figures(sound[1], r"([\d.]+) Ω")
            found = "none" if low <= si(shown[1]) <= high else "short"
        assert found == kind == question.field("kind").answer == question.field("effect").answer
    assert met


def test_leakage_is_volts_over_ohms_and_the_device_acts_by_its_standard() -> None:
    """I = V ÷ R; IEC 61008-1 (from memory): must trip at the rated residual current, must hold up to half of it."""
    met = set()
    for _, question in sample(TRADE, Kind.POWER, "leakage", seeds=4):
        shown = re.search(r"ohmmeter shows \*\*(.+?)\*\*", question.prompt)
        assert shown is not None
        milliamps = 1000 * 230 / si(shown[1])
        assert band_holds(question, "amps", milliamps / 1000)
        wanted = "acts" if milliamps >= 30 else "holds" if milliamps <= 15 else "may"
        assert question.field("device").answer == wanted
        met.add(wanted)
    assert met == {"acts", "may", "holds"}


def test_an_earth_fault_divides_the_supply_over_loop_and_joint() -> None:
    """Ohm's law round the loop; a type B breaker acts at once from five times its rating (IEC 60898-1, from memory)."""
    met = set()
    for _, question in sample(TRADE, Kind.POWER, "earth-fault", levels=(1, 2, 3), seeds=3):
        loop, joint = figures(question.prompt, r"\*\*([\d.]+) Ω\*\*")
        (breaker,) = figures(question.prompt, r"\*\*(\d+) A\*\*")
        amps = 230 / (loop + joint)
        assert band_holds(question, "amps", amps)
        assert question.field("breaker").answer == ("once" if amps >= 5 * breaker else "never")
        met.add(question.field("breaker").answer)
        if len(question.fields) == 3:
            assert band_holds(question, "volts", 230 * joint / (loop + joint))
    assert met == {"once", "never"}


def test_every_symbol_can_be_asked_and_its_drawing_does_not_name_it() -> None:
    """Each symbol makes a sound question whose picture speaks of its looks and not of its name."""
    for sign in load_signs(TRADE.folder).values():
        question = asked(TRADE, Kind.TRACE, "symbol", "kettle", 1, "seed", part=sign.id)
        assert question is not None
        check(question, TRADE, frozenset({"C19"}))
        ((_, drawn),) = question.pictures
        assert "<path" in drawn
        assert sign.looks in drawn
        assert sign.name.removeprefix("a ").removeprefix("an ") not in re.sub(r"<[^>]*>", " ", drawn) or (
            sign.name == "earth"
        )


def test_every_item_of_knowledge_can_be_asked_of_some_appliance() -> None:
    """Each item of the file makes a sound question, with every brace filled in, on at least one appliance."""
    kinds = {"instrument": Kind.READING, "connect": Kind.READING, "colour": Kind.TRACE, "drawing": Kind.TRACE}
    every = frozenset(f"C{n:02d}" for n in range(1, 45))
    for item in load_items(TRADE.folder):
        made = [asked(TRADE, kinds[item.form], item.form, a, 2, "seed", item=item.id) for a in TRADE.appliance_ids]
        questions = [q for q in made if q is not None]
        assert questions, item.id
        for question in questions:
            check(question, TRADE, every)


@pytest.mark.parametrize("wrong", [0, 2])
def test_an_item_without_one_right_way_is_refused(tmp_path: Path, wrong: int) -> None:
    """An item with no right way, or with two, is refused in a sentence that names the file and the place."""
    ways = [
        f'[[item.way]]\ntext = "w{n}"\nhere = "h"\n' + ("" if n < wrong else 'slip = "old-colours"\n') for n in range(3)
    ]
    (tmp_path / "text" / "en").mkdir(parents=True)
    (tmp_path / "text" / "en" / "knowhow.toml").write_text(ITEM + "".join(ways), encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"knowhow\.toml.*way") as refused:
        load_items(tmp_path)
    assert f"has {wrong} ways without a slip" in str(refused.value)


def test_a_symbol_mixed_up_with_an_unknown_one_is_refused(tmp_path: Path) -> None:
    """A name under 'like' that no symbol has is refused in a sentence that names it."""
    one = '[[symbol]]\nid = "s{n}"\ndraw = "fuse"\nlooks = "l"\nname = "n"\ndoes = "d"\nsource = "s"\nlike = [{like}]\n'
    text = "".join(one.format(n=n, like='"nobody"' if n == 2 else "") for n in range(4))
    (tmp_path / "symbols.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError, match="no other symbol 'nobody'"):
        load_signs(tmp_path)
