"""Verifying: sound workbooks pass, and whatever was changed by hand is named."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from probebook.cases.library import Library
from probebook.workbook.building import build_all
from probebook.workbook.plan import load_plans
from probebook.workbook.verifying import Finding, differences, verify_all
from small_scenarios import small_scenarios

SHEET, BOOK = "answer_keys/07-small.json", "workbooks/07-small.ipynb"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The small scenarios and a folder with what they build."""
    folder = tmp_path_factory.mktemp("made")
    scenarios = small_scenarios(folder)
    for name, text in build_all(load_plans(scenarios), Library(scenarios)).items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder, scenarios


def _verified(made: tuple[Path, Path], tmp_path: Path, name: str, before: str, after: str) -> Finding:
    """Verify a copy in which ``before`` was changed to ``after`` in one file."""
    folder, scenarios = made
    for part in ("workbooks", "answer_keys"):
        shutil.copytree(folder / part, tmp_path / part)
    if before:
        text = (tmp_path / name).read_text(encoding="utf-8")
        assert before in text
        (tmp_path / name).write_text(text.replace(before, after, 1), encoding="utf-8")
    (finding,) = verify_all(tmp_path, scenarios)
    return finding


def test_a_sound_workbook_is_verified(made: tuple[Path, Path], tmp_path: Path) -> None:
    """Key, three slips, a blank and five kinds of rubbish are tried on each question, and nothing is found."""
    finding = _verified(made, tmp_path, SHEET, "", "")
    assert finding.problems == ()
    assert (finding.questions, finding.attempts) == (3, 3 * (1 + 3 + 1 + 5))


def test_a_key_changed_by_one_digit_is_named(made: tuple[Path, Path], tmp_path: Path) -> None:
    """The sentence names the sheet, the question, the key and both values."""
    question = json.loads((made[0] / SHEET).read_text(encoding="utf-8"))["questions"][1]
    high = question["fields"][0]["band"][1]
    digit = str(high)[-1]
    changed = str(high)[:-1] + str((int(digit) + 1) % 10)
    finding = _verified(made, tmp_path, SHEET, str(high), changed)
    assert any(
        problem.startswith(f"{SHEET}: questions[q02].fields[amps].band[2] says {changed}, the scenarios give {high}")
        for problem in finding.problems
    ), finding.problems


def test_marks_that_do_not_follow_the_sheet_are_found(made: tuple[Path, Path], tmp_path: Path) -> None:
    """An answer outside its own band no longer earns full marks, and the attempt with the key says so."""
    answer = json.loads((made[0] / SHEET).read_text(encoding="utf-8"))["questions"][0]["fields"][0]["answer"]
    finding = _verified(made, tmp_path, SHEET, f'"{answer}"', '"1 W"')
    assert any(problem.startswith("q01, the key: earned 0 of 2 marks") for problem in finding.problems), (
        finding.problems
    )


def test_a_notebook_that_does_not_run_is_reported(made: tuple[Path, Path], tmp_path: Path) -> None:
    """A cell that raises is a problem of its workbook, not a crash of the verifier."""
    finding = _verified(made, tmp_path, BOOK, 'book.ask(\\"q02\\")', "1 / 0")
    assert any("ZeroDivisionError" in problem for problem in finding.problems), finding.problems
    assert any(problem.startswith(f"{BOOK}: cells[ask-q02]") for problem in finding.problems)


def test_differences_name_items_by_id() -> None:
    """Two JSON values are compared item by item, and the place of each difference is spelt out."""
    here = {"questions": [{"id": "q01", "marks": 2.0}, {"id": "q02", "slips": [{"slip": "prefix-lost"}]}]}
    there = {"questions": [{"id": "q01", "marks": 3.0}, {"id": "q02", "slips": []}]}
    assert list(differences(here, there)) == [
        "questions[q01].marks says 2.0, the scenarios give 3.0",
        "questions[q02].slips holds 1 items, the scenarios give 0",
    ]
