"""Scenario files: what is accepted, and the one sentence for what is not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, Field, ValidationError, model_validator

from probebook import textfiles
from probebook.errors import ScenarioError
from probebook.textfiles import (
    Celsius,
    Kelvins,
    Minutes,
    Ohms,
    Percent,
    Quantity,
    SquareMillimetres,
    StrictModel,
    Watts,
    load_all_errors,
    load_text,
    read_text,
)


class Element(StrictModel):
    """A heating element, invented for these tests."""

    kind: Literal["element"]
    id: str
    watts: Watts
    between: tuple[str, str]
    tolerance: Percent = 0.05

    @model_validator(mode="after")
    def has_two_ends(self) -> Element:
        """Refuse an element whose two ends are one terminal."""
        if self.between[0] == self.between[1]:
            raise ScenarioError("both ends are on one terminal", remedy="name two terminals")
        return self


class Stat(StrictModel):
    """A thermostat, invented for these tests."""

    kind: Literal["stat"]
    id: str
    opens: Celsius
    differential: Kelvins


class Appliance(StrictModel):
    """An appliance, invented for these tests."""

    name: str
    legs: int = Field(ge=0)
    finish: Literal["white", "black"] = "white"
    part: tuple[Annotated[Element | Stat, Field(discriminator="kind")], ...] = ()
    notes: dict[str, str] = Field(default_factory=dict)


GOOD = """
name = "Alderbrook bench oven"
legs = 4

[[part]]
kind = "element"
id = "base"
watts = "1.15 kW"
between = ["1", "2"]
tolerance = "±10 %"

[[part]]
kind = "stat"
id = "oven stat"
opens = "180 degC"
differential = "15 K"
"""


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str | bytes], Path]:
    """Write a file called oven.toml and give back its path."""

    def write_oven(content: str | bytes) -> Path:
        path = tmp_path / "oven.toml"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write_oven


def test_a_good_file_becomes_si(write: Callable[[str], Path]) -> None:
    """Every quantity of a good file arrives as an SI float, arrays as tuples, defaults filled in."""
    oven = load_text(write(GOOD), Appliance)
    element, stat = oven.part
    assert (oven.name, oven.legs, oven.finish) == ("Alderbrook bench oven", 4, "white")
    assert isinstance(element, Element)
    assert (element.watts, element.between, element.tolerance) == (1150.0, ("1", "2"), 0.1)
    assert isinstance(stat, Stat)
    assert (stat.opens, stat.differential) == (pytest.approx(453.15), 15.0)
    assert load_all_errors(write(GOOD), Appliance) == []


def test_a_file_saved_with_a_byte_order_mark_is_read(write: Callable[[bytes], Path]) -> None:
    """The mark some editors put in front of UTF-8 text does no harm."""
    assert load_text(write(b"\xef\xbb\xbf" + GOOD.encode()), Appliance).legs == 4


def changed(old: str, new: str) -> str:
    """Return the good file with one text replaced, which must be there."""
    assert GOOD.count(old) == 1
    return GOOD.replace(old, new)


BAD = [
    (changed("legs = 4\n", ""), 'oven.toml: legs: this key is missing; add a line that begins "legs =".'),
    (
        changed('"1.15 kW"', '"1.15 kohm"'),
        'oven.toml: part[1].watts: "1.15 kohm" is in ohms, but watts are asked for; '
        "write a number and a unit, for example 900 W.",
    ),
    (
        changed('"1.15 kW"', "1150"),
        'oven.toml: part[1].watts: "1150" is not a quantity in quotation marks; '
        "write a number and a unit, for example 900 W.",
    ),
    (
        changed('"1.15 kW"', "{ value = 1150 }"),
        "oven.toml: part[1].watts: \"{'value': 1150}\" is not a quantity in quotation marks; "
        "write a number and a unit, for example 900 W.",
    ),
    (
        changed('"1.15 kW"', '"-1150 W"'),
        'oven.toml: part[1].watts: "-1150 W" is below zero; write a number and a unit, for example 900 W.',
    ),
    (
        changed("between", "betwen") + "\n",
        'oven.toml: part[1].between: this key is missing; add a line that begins "between =" '
        "(the first of 2 mistakes in this file).",
    ),
    (
        changed('"180 degC"', '"180 degC"\nopen = "5 K"'),
        'oven.toml: part[2].open: this key is not known here; write "opens" if that is what is meant.',
    ),
    (
        changed("legs = 4", "legs = 4\ncolour = 1"),
        "oven.toml: colour: this key is not known here; the keys here are finish, legs, name, notes, part.",
    ),
    (
        changed("legs = 4", 'legs = "4"'),
        'oven.toml: legs: "4" is the wrong kind of value; write a whole number.',
    ),
    (changed("legs = 4", "legs = 4.5"), "oven.toml: legs: 4.5 is the wrong kind of value; write a whole number."),
    (changed("legs = 4", "legs = true"), "oven.toml: legs: true is the wrong kind of value; write a whole number."),
    (changed("legs = 4", "legs = -1"), "oven.toml: legs: -1 is out of range; write a number of at least 0."),
    (
        changed('["1", "2"]', '["1", 2]'),
        "oven.toml: part[1].between[2]: 2 is the wrong kind of value; write text in quotation marks.",
    ),
    (
        changed('["1", "2"]', '"1-2"'),
        'oven.toml: part[1].between: "1-2" is the wrong kind of value; write a list in square brackets.',
    ),
    (
        changed('["1", "2"]', '["1", "1"]'),
        "oven.toml: part[1]: both ends are on one terminal; name two terminals.",
    ),
    (
        changed("legs = 4", 'legs = 4\nfinish = "pink"'),
        "oven.toml: finish: \"pink\" is not one of the choices; write 'white' or 'black'.",
    ),
    (
        changed('kind = "stat"', 'kind = "lamp"'),
        "oven.toml: part[2]: the key \"kind\" does not say a known kind; write one of 'element', 'stat'.",
    ),
    (
        changed('kind = "stat"\n', ""),
        'oven.toml: part[2]: the key "kind" is missing; add a line that begins "kind =".',
    ),
    (
        changed("legs = 4", "legs = 4\npart = 5").split("[[part]]")[0],
        "oven.toml: part: 5 is the wrong kind of value; write a list in square brackets.",
    ),
    (
        changed("legs = 4", "legs = 4\nnotes = { care = 5 }"),
        "oven.toml: notes.care: 5 is the wrong kind of value; write text in quotation marks.",
    ),
]


@pytest.mark.parametrize(("text", "sentence"), BAD)
def test_a_bad_file_is_told_in_one_sentence(write: Callable[[str], Path], text: str, sentence: str) -> None:
    """A mistake is told by file, key in the file's own words, what is wrong and how to mend it."""
    with pytest.raises(ScenarioError) as caught:
        load_text(write(text), Appliance)
    assert str(caught.value) == sentence


def test_all_mistakes_are_listed(write: Callable[[str], Path]) -> None:
    """Every mistake of a file is listed, each with its own place."""
    text = changed("legs = 4", 'legs = "four"').replace("watts", "wats").replace("15 K", "15 W")
    places = [error.where for error in load_all_errors(write(text), Appliance)]
    assert places == [
        "oven.toml: legs",
        "oven.toml: part[1].watts",
        "oven.toml: part[1].wats",
        "oven.toml: part[2].differential",
    ]


def test_text_that_is_not_toml_names_the_line(write: Callable[[str], Path]) -> None:
    """A file that is not TOML is refused with the line, and listed as its one mistake."""
    path = write('name = "x"\nlegs = = 4\n')
    with pytest.raises(ScenarioError, match=r"^oven\.toml: the text is not valid TOML: .*line 2, .*; mend the line"):
        load_text(path, Appliance)
    assert len(load_all_errors(path, Appliance)) == 1


def test_bytes_that_are_not_utf8_name_the_line(write: Callable[[bytes], Path]) -> None:
    """A file in another encoding is refused with the first line that shows it."""
    with pytest.raises(ScenarioError) as caught:
        load_text(write(b'name = "x"\nnote = "47 \xd9"\n'), Appliance)
    assert str(caught.value) == "oven.toml: line 2 is not UTF-8 text; save the file as UTF-8."


def test_missing_file_folder_and_impossible_name(tmp_path: Path) -> None:
    """A file that is not there, a folder, and a name no file can have are each told as such."""
    for path, words in [
        (tmp_path / "none.toml", "there is no such file; check the name and the folder"),
        (tmp_path, "this is a folder, not a file; name a .toml file in it"),
        (Path("a\0b"), "this is not a file name; check the name"),
    ]:
        with pytest.raises(ScenarioError, match=words):
            load_text(path, Appliance)


def test_a_huge_or_deep_file_is_refused(write: Callable[[str], Path]) -> None:
    """Neither a file of megabytes nor one nested thousands deep is worked through."""
    with pytest.raises(ScenarioError, match="too large for a scenario"):
        load_text(write("#" * (textfiles.LARGEST_FILE + 1)), Appliance)
    with pytest.raises(ScenarioError, match="oven"):
        load_text(write("name = " + "[" * 5000 + "]" * 5000), Appliance)


@given(st.text(st.characters(codec="utf-8")) | st.lists(st.sampled_from(GOOD.split()), max_size=30).map(" ".join))
def test_only_scenario_errors_escape(text: str) -> None:
    """Whatever a file holds, the outcome is a model or a ScenarioError."""
    try:
        read_text(text, Appliance, where="oven.toml")
    except ScenarioError as error:
        assert str(error).startswith("oven.toml: ")  # noqa: PT017  # both outcomes are allowed


def test_models_are_frozen() -> None:
    """What was read from a file cannot be changed afterwards."""
    oven = read_text(GOOD, Appliance, where="oven.toml")
    with pytest.raises(ValidationError, match="frozen"):
        oven.name = "other"  # type: ignore[misc]


def test_models_built_in_code_take_si_numbers() -> None:
    """Code may build a model with SI floats, or with text as a file writes it, but not with a bool."""
    assert Element(kind="element", id="a", watts=900.0, between=("1", "2")).watts == 900.0
    assert Element.model_validate({"kind": "element", "id": "a", "watts": "900 W", "between": ("1", "2")}).watts == 900
    with pytest.raises(ValidationError, match="not a quantity"):
        Element(kind="element", id="a", watts=True, between=("1", "2"))


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (Minutes, "12 min", 720),
        (SquareMillimetres, "1.5 mm2", 1.5e-6),
        (Celsius, "180 degC", 453.15),
        (Kelvins, "80 K", 80),
        (Ohms, "200 Mohm", 2e8),
        (Percent, "±5 %", 0.05),
        (Annotated[float, Quantity("V", minimum=None)], "-5 V", -5),
    ],
)
def test_quantity_types_hold_si(kind: object, text: str, value: float) -> None:
    """Each quantity type holds SI whatever unit the file used: seconds, square metres, kelvins, a fraction."""

    class Holder(StrictModel):
        value: kind  # type: ignore[valid-type]

    assert read_text(f'value = "{text}"', Holder, where="x").value == pytest.approx(value, rel=1e-12, abs=0)


def test_the_nearest_key_looks_into_nested_models() -> None:
    """A misspelt key inside a table of a table gets the keys of that table, not of the top."""

    class Plate(BaseModel):
        model_config = {"extra": "forbid"}
        rated_volts: int = 230

    class Holder(StrictModel):
        plates: dict[str, list[Plate]]
        rated_watts: int = 0

    with pytest.raises(ScenarioError) as caught:
        read_text("[[plates.left]]\nrated_volt = 5", Holder, where="x.toml")
    assert str(caught.value) == (
        'x.toml: plates.left[1].rated_volt: this key is not known here; write "rated_volts" if that is what is meant.'
    )
