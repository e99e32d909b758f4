"""Comparing builds: texts may change; keys, slips, difficulty and marks may not."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from compare_builds import main

TOP = Path(__file__).resolve().parents[2]
NAME = "03-ohms-and-watts"


def unchanged(sheet: dict[str, Any]) -> None:
    """Leave a sheet as it is."""


@pytest.fixture
def build(tmp_path: Path) -> Callable[..., Path]:
    """Make a build of one committed workbook whose sheet is changed by a function."""

    def make(name: str, change: Callable[[dict[str, Any]], object] = unchanged) -> Path:
        folder = tmp_path / name
        for kind, ending in (("workbooks", "ipynb"), ("answer_keys", "json")):
            (folder / kind).mkdir(parents=True)
            shutil.copy(TOP / kind / f"{NAME}.{ending}", folder / kind)
        path = folder / "answer_keys" / f"{NAME}.json"
        sheet = json.loads(path.read_text(encoding="utf-8"))
        change(sheet)
        path.write_text(json.dumps(sheet), encoding="utf-8")
        return folder

    return make


def first(sheet: dict[str, Any], kind: str) -> dict[str, Any]:
    """The first question of the sheet with a field of that kind and slips in it."""
    for question in sheet["questions"]:
        keys = [field["key"] for field in question["fields"] if field["kind"] == kind]
        if any(slip["field"] in keys for slip in question["slips"]):
            found: dict[str, Any] = question
            return found
    raise AssertionError(kind)


def reworded(sheet: dict[str, Any]) -> None:
    """Change every text of every question, and the last digits of its bands."""
    for question in sheet["questions"]:
        for key in ("title", "prompt", "explanation", "working"):
            question[key] = f"Other words: {question.get(key, '')}"
        for field in question["fields"]:
            field["label"] += " (reworded)"
            for option in field.get("options", []):
                option["text"] += " (reworded)"
        for slip in question["slips"]:
            slip["advice"] += " Reworded."
            if isinstance(slip.get("band", [""])[0], float):
                slip["band"] = [value * (1 + 1e-14) for value in slip["band"]]


def wider(sheet: dict[str, Any]) -> None:
    """Let the key's band of a quantity take in what its first slip gives."""
    question = first(sheet, "quantity")
    next(field for field in question["fields"] if field["kind"] == "quantity")["band"] = [0.0, 1e9]


def harder(sheet: dict[str, Any]) -> None:
    """Make the first question harder."""
    sheet["questions"][0]["difficulty"] += 0.1


def forgiving(sheet: dict[str, Any]) -> None:
    """Give half a mark for a slip that earned none."""
    slip = first(sheet, "quantity")["slips"][0]
    slip["marks"], slip["critical"] = 0.5, False


def other_key(sheet: dict[str, Any]) -> None:
    """Make another option of a choice the right one, and leave nothing that speaks against it."""
    question = first(sheet, "choice")
    field = next(field for field in question["fields"] if field["kind"] == "choice")
    field["answer"] = next(option["id"] for option in field["options"] if option["id"] != field["answer"])
    field.pop("partial", None)
    question["slips"] = [s for s in question["slips"] if (s["field"], s["response"]) != (field["key"], field["answer"])]


def shorter(sheet: dict[str, Any]) -> None:
    """Leave out the last question."""
    del sheet["questions"][-1]


def test_a_build_equals_itself(build: Callable[..., Path], capsys: pytest.CaptureFixture[str]) -> None:
    """A build beside a copy of itself differs in nothing."""
    assert main([str(build("old")), str(build("new"))]) == 0
    assert capsys.readouterr().out == "0 differences\n"


def test_texts_may_differ(build: Callable[..., Path]) -> None:
    """Other words throughout, and bands worked out in another order, are no difference."""
    assert main([str(build("old")), str(build("new", reworded))]) == 0


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (wider, ("band", "now")),
        (harder, ("difficulty was",)),
        (forgiving, ("the slip", "now 0.5 of")),
        (other_key, ("answer was", "the key gave")),
        (shorter, ("is in one build only",)),
    ],
)
def test_what_a_learner_would_notice_is_told(
    build: Callable[..., Path],
    capsys: pytest.CaptureFixture[str],
    change: Callable[[dict[str, Any]], object],
    said: tuple[str, ...],
) -> None:
    """Another band, difficulty, mark or key and a question left out are each told, with exit code 1."""
    assert main([str(build("old")), str(build("new", change))]) == 1
    told = capsys.readouterr().out
    for part in said:
        assert part in told
    assert all(line.startswith(NAME) for line in told.splitlines()[:-1])


def test_nothing_to_compare(tmp_path: Path) -> None:
    """A folder without answer keys gives exit code 2."""
    assert main([str(tmp_path), str(tmp_path)]) == 2
