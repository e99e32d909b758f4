"""Meter and limits files: what the library holds, and how a wrong file is refused."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from meters_setting import METERS, SCENARIOS

from probebook.errors import ScenarioError
from probebook.meters import Function, load_meter, load_meters, load_rules

POCKET_TEXT = (SCENARIOS / "meters" / "pocket-multimeter.toml").read_text(encoding="utf-8")
LIMITS_TEXT = (SCENARIOS / "limits.toml").read_text(encoding="utf-8")


def test_library_holds_the_instruments_that_items_need() -> None:
    """There is a cheap, a good, a miscalibrated and an insulation instrument, each with its source stated."""
    assert METERS["pocket-multimeter"].beeper_ohms == 30.0
    assert METERS["drifted-multimeter"].gain_error != 0
    assert METERS["insulation-tester"].insulation_volts == (250.0, 500.0)
    assert Function.CLAMP in METERS["clamp-meter"].functions
    assert all("invented" in meter.source for meter in METERS.values())


def test_ranges_follow_on_without_a_gap() -> None:
    """Every next range shows what the range before it cannot, so that no value falls between two ranges."""
    for meter in METERS.values():
        for function in meter.functions:
            ranges = meter.ranges_of(function)
            for lower, upper in itertools.pairwise(ranges):
                assert upper.full_scale > lower.full_scale
                assert upper.resolution <= lower.full_scale


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('leads = "0.4 ohm"', 'leads = "0.4 V"', "leads"),
        ('leads = "0.4 ohm"', "", "leads: this key is missing"),
        ('beeper = "30 ohm"', "", "continuity has no beeper"),
        ('id = "pocket-multimeter"', 'id = "pocket"', "differs from the file name"),
        ('up_to = "1.999 kohm"', 'up_to = "1.999 ohm"', "ohms[2] does not reach above"),
        ('resolution = "1 ohm"', 'resolution = "1 kohm"', "resolution that does not fit"),
        ("digits = 5", 'digits = "five"', "digits"),
        ("can_null = false", "can_nul = false", "can_nul"),
        ('beeper = "30 ohm"', 'beeper = "30 ohm"\ntest_volts = ["500 V"]', "do not go together"),
        ('of_reading = "1.2 %"', 'of_reading = "120 %"', "half the reading"),
    ],
)
def test_wrong_meter_files_are_refused_in_one_sentence(tmp_path: Path, old: str, new: str, words: str) -> None:
    """A wrong key or value in a meter file is named with the file in one sentence."""
    path = tmp_path / "pocket-multimeter.toml"
    assert old in POCKET_TEXT
    path.write_text(POCKET_TEXT.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load_meter(path)
    assert words in str(caught.value)
    assert "pocket-multimeter.toml" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_folder_without_meters_is_refused(tmp_path: Path) -> None:
    """A folder that holds no meter is refused with what to do."""
    with pytest.raises(ScenarioError, match="holds no meter"):
        load_meters(tmp_path)


def test_wrong_limits_files_are_refused(tmp_path: Path) -> None:
    """An id given twice or a status that is no status is named."""
    path = tmp_path / "limits.toml"
    path.write_text(LIMITS_TEXT.replace('"iet-class-2"', '"iet-class-1"', 1), encoding="utf-8")
    with pytest.raises(ScenarioError, match='"iet-class-1" is given twice'):
        load_rules(path)
    path.write_text(LIMITS_TEXT.replace('status = "seen"', 'status = "sure"', 1), encoding="utf-8")
    with pytest.raises(ScenarioError, match="status"):
        load_rules(path)
