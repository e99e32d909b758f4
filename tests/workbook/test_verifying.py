"""Verifying: sound workbooks pass, and whatever was changed by hand is named."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from pathlib import Path

import pytest

from probebook.cases.library import Library
from probebook.errors import UsageError
from probebook.questions.codec import read_sheet
from probebook.workbook.build.files import build_all
from probebook.workbook.build.plan import load_plans
from probebook.workbook.finding import OtherScenariosError
from probebook.workbook.language import sheet_library
from probebook.workbook.verifying import Finding, _chosen, differences, holds_only_ours, verify_all
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


def test_where_names_of_folders_are_long_a_workbook_is_verified_too(
    made: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """A socket's path has room for 104 bytes: where temporary files lie deeper, the kernel is reached otherwise."""
    long = tmp_path / ("x" * 100)
    long.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(long))
    assert _verified(made, tmp_path, SHEET, "", "").problems == ()
    assert capfd.readouterr().err == ""
    assert list(long.iterdir()) == []


def test_notebook_and_key_carry_the_build_that_they_are_of(made: tuple[Path, Path], tmp_path: Path) -> None:
    """Both name the same build; with another seed both name another one."""
    folder, _ = made
    scenarios = small_scenarios(tmp_path)
    plan = next((scenarios / "workbooks").glob("*.toml"))
    text = plan.read_text(encoding="utf-8")
    plan.write_text(re.sub(r'seed = "[^"]*"', 'seed = "another"', text), encoding="utf-8")
    other = build_all(load_plans(scenarios), Library(scenarios))
    builds = []
    for files in ({name: (folder / name).read_text(encoding="utf-8") for name in (SHEET, BOOK)}, other):
        key = json.loads(files[SHEET])["meta"]["build"]
        assert json.loads(files[BOOK])["metadata"]["probebook"]["build"] == key
        builds.append(key)
    assert len(set(builds)) == 2


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
    finding = _verified(made, tmp_path, BOOK, 'book.ask(\\"q02\\")', 'book.ask(\\"q77\\")')
    assert any("there is no question 'q77'" in problem for problem in finding.problems), finding.problems
    assert any(problem.startswith(f"{BOOK}: cells[ask-q02]") for problem in finding.problems)


def test_scenarios_changed_since_the_build_are_found(made: tuple[Path, Path], tmp_path: Path) -> None:
    """An edit that changes no key of this workbook is found all the same: the key was built from other files."""
    folder, scenarios = made
    for part in ("workbooks", "answer_keys", "scenarios"):
        shutil.copytree(folder / part, tmp_path / part)
    kettle = tmp_path / "scenarios" / "appliances" / "kettle.toml"
    kettle.write_text(kettle.read_text(encoding="utf-8").replace("damp cupboard", "damp cellar"), encoding="utf-8")
    (finding,) = verify_all(tmp_path, tmp_path / "scenarios")
    sheet, scenario, book = finding.problems
    assert sheet.startswith(f"{SHEET}: meta.build says "), finding.problems
    assert scenario.startswith(f"{SHEET}: meta.scenarios says "), finding.problems
    assert book.startswith(f"{BOOK}: metadata.probebook.build says "), finding.problems
    assert (finding.questions, finding.attempts) == (3, 30)  # and the learner can go on
    (sound,) = verify_all(tmp_path, scenarios)
    assert sound.problems == ()


def test_a_kernel_measures_what_the_build_asked_about(made: tuple[Path, Path], tmp_path: Path) -> None:
    """The sheet's scenarios are found from the notebook's folder, and none are taken that were changed since."""
    folder, _ = made
    for part in ("workbooks", "answer_keys", "scenarios"):
        shutil.copytree(folder / part, tmp_path / part)
    sheet = read_sheet(tmp_path / SHEET)
    found = sheet_library(sheet, tmp_path / "workbooks")
    assert found.folder.resolve() == (tmp_path / "scenarios").resolve()
    with (tmp_path / "scenarios" / "appliances" / "kettle.toml").open("a", encoding="utf-8") as file:
        file.write("# changed\n")
    with pytest.raises(
        OtherScenariosError, match="not those this workbook was built from; run 'probebook build' again"
    ):
        sheet_library(sheet, tmp_path / "workbooks")


def test_differences_name_items_by_id() -> None:
    """Two JSON values are compared item by item, and the place of each difference is spelt out."""
    here = {"questions": [{"id": "q01", "marks": 2.0}, {"id": "q02", "slips": [{"slip": "prefix-lost"}]}]}
    there = {"questions": [{"id": "q01", "marks": 3.0}, {"id": "q02", "slips": []}]}
    assert list(differences(here, there)) == [
        "questions[q01].marks says 2.0, the scenarios give 3.0",
        "questions[q02].slips holds 1 items, the scenarios give 0",
    ]


HOSTILE = (
    "open({marker!r}, 'w').close()",
    "import os",
    "%cd /",
    "!touch {marker}",
    "%%bash\ntouch {marker}",
    'book.ask("q01"); open({marker!r}, "w")',
    'book.ask("q01")\nopen({marker!r}, "w")',
    'book.ask(open({marker!r}, "w"))',
    "book.progress();",
    "book.practice() ",
    "book.__class__",
    "",
)


@pytest.mark.parametrize("line", HOSTILE)
@pytest.mark.parametrize("place", [0, -1])
def test_nothing_of_a_notebook_with_other_code_is_run(tmp_path: Path, line: str, place: int) -> None:
    """One line that no build writes, first or last, and the whole notebook is read only."""
    marker = tmp_path / "ran"
    sources = ['from probebook.workbook import open_workbook; book = open_workbook("a")', 'book.ask("q01")']
    path = tmp_path / "a.ipynb"
    cells = [{"cell_type": "code", "source": source} for source in sources]
    path.write_text(json.dumps({"cells": cells}), encoding="utf-8")
    assert holds_only_ours(path)
    cells.insert(place % 3, {"cell_type": "code", "source": line.format(marker=str(marker))})
    path.write_text(json.dumps({"cells": cells}), encoding="utf-8")
    assert not holds_only_ours(path)


@pytest.mark.parametrize("text", ["", "{", "[]", '{"cells": 3}', '{"cells": [3]}', '{"cells": [{}]}', "[" * 99999])
def test_a_notebook_that_cannot_be_read_is_not_run(tmp_path: Path, text: str) -> None:
    """Whatever stands in the file, it is none of ours."""
    path = tmp_path / "a.ipynb"
    path.write_text(text, encoding="utf-8")
    assert not holds_only_ours(path)
    path.write_text(json.dumps({"cells": [{"cell_type": "Code", "source": "import os"}]}), encoding="utf-8")
    assert not holds_only_ours(path)


def test_code_of_a_strangers_folder_does_not_run(
    made: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither a line of the notebook nor a module lying in the working folder; told to, the line does run."""
    folder, scenarios = made
    for part in ("workbooks", "answer_keys"):
        shutil.copytree(folder / part, tmp_path / part)
    ran = tmp_path / "ran"
    module = f"open({str(ran)!r}, 'w').close()\n"
    for name in ("probebook/__init__.py", "probebook/__main__.py", "contextlib.py", "workbooks/importlib.py"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(module, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    (sound,) = verify_all(Path(), scenarios)
    assert sound.problems == ()
    assert not ran.exists()
    book = json.loads((tmp_path / BOOK).read_text(encoding="utf-8"))
    added = {"cell_type": "code", "id": "more", "metadata": {}, "outputs": [], "execution_count": None}
    book["cells"].append({**added, "source": module})
    (tmp_path / BOOK).write_text(json.dumps(book), encoding="utf-8")
    (finding,) = verify_all(Path(), scenarios)
    assert "nothing of it was run" in finding.problems[0]
    assert not ran.exists()
    verify_all(Path(), scenarios, trusted=True)
    assert ran.exists()


@pytest.mark.parametrize(("name", "near"), [("smal", ""), ("smell", "'small'"), ("xyzzy", "07-small")])
def test_a_name_of_no_workbook_is_told_with_what_is_near(made: tuple[Path, Path], name: str, near: str) -> None:
    """Part of a name will do; otherwise the sentence names what may have been meant."""
    if not near:
        assert [path.stem for path in _chosen(made[0] / "workbooks", [name])] == ["07-small"]
        return
    with pytest.raises(UsageError, match=f"no workbook has '{name}' in its name.*{near}"):
        verify_all(*made, only=[name])
