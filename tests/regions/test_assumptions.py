"""Assumptions of the trade: read strictly, handed on by group."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import pytest

from probebook.assumptions import Assumed, all_groups, load_assumptions, wrong_assumptions
from probebook.errors import ScenarioError

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"

GOOD = """
[room.chairs]
height = { value = 0.5, unit = "m", basis = "what a person sits on", source = "invented for this test" }
legs = { value = 4, unit = "1", basis = "so that it stands", source = "invented for this test" }
seat-depths = { value = [0.4, 0.45], unit = "m", basis = "small and large", source = "invented for this test" }

[room.chairs.by-wood]
value = { oak = 9.0, ash = 7 }
unit = "kg"
basis = "mass"
source = "invented for this test"
"""


@dataclass(frozen=True)
class Chairs(Assumed, table="room.chairs"):
    """A group for a test."""

    height: Annotated[float, "m"]
    legs: Annotated[int, "1"]
    seat_depths: Annotated[tuple[float, ...], "m"]
    by_wood: Annotated[Mapping[str, float], "kg"]


def written(folder: Path, text: str) -> Path:
    """Write an assumptions file; return the folder."""
    (folder / "assumptions.toml").write_text(text, "utf-8")
    return folder


def test_a_group_is_filled_with_values_in_the_units_of_the_file(tmp_path: Path) -> None:
    """Numbers, whole numbers, lists and tables arrive as the fields say, and the same object each time."""
    assumptions = load_assumptions(written(tmp_path, GOOD))
    chairs = assumptions.get(Chairs)
    assert (chairs.height, chairs.legs, chairs.seat_depths) == (0.5, 4, (0.4, 0.45))
    assert dict(chairs.by_wood) == {"oak": 9.0, "ash": 7.0}
    assert assumptions.get(Chairs) is chairs


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('unit = "m", basis = "what', 'unit = "mm", basis = "what', 'room.chairs.height: the unit is "mm", where "m"'),
        ("height =", "hight =", 'did you mean "height"'),
        ("value = 4,", "value = 4.5,", "room.chairs.legs: the value is no whole number"),
        ("value = 4,", "value = true,", "room.chairs.legs: the value is no whole number"),
        ("[0.4, 0.45]", '["a"]', "list of numbers"),
        ("ash = 7", 'ash = "7"', "table of numbers"),
        ('basis = "mass"\n', "", "room.chairs.by-wood.basis: this key is missing"),
        (
            'source = "invented for this test" }\nlegs',
            'source = "" }\nlegs',
            "chairs.height.source: this is no text",
        ),
        ("value = 4,", "valu = 4,", 'did you mean "value"'),
        ("[room.chairs]", "[room.chair]", "did you mean [room.chairs]"),
        ("legs = {", "arms = 2\nlegs = {", "room.chairs.arms: a figure stands bare"),
    ],
)
def test_a_mistake_is_named(tmp_path: Path, old: str, new: str, message: str) -> None:
    """Each mistake yields one sentence that names the key."""
    assert old in GOOD
    found = [
        str(error) for error in wrong_assumptions(written(tmp_path, GOOD.replace(old, new)), {"room.chairs": Chairs})
    ]
    assert any(message in sentence for sentence in found), found


def test_a_missing_figure_stops_whoever_asks(tmp_path: Path) -> None:
    """A group is never handed on with a hole in it."""
    assumptions = load_assumptions(written(tmp_path, GOOD.partition("\nlegs")[0]))
    with pytest.raises(ScenarioError, match=r"room\.chairs\.legs: this figure is missing"):
        assumptions.get(Chairs)


def test_the_library_suits_every_group_of_the_package() -> None:
    """Every figure that code asks for is in the file in its unit, and nothing in the file is asked for by nobody."""
    assert wrong_assumptions(SCENARIOS) == []
    assert len(all_groups()) >= 4
