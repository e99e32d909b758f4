"""Building: the same scenarios give the same bytes, and what is out of date is named."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

from probebook.cases.library import Library
from probebook.errors import ScenarioError
from probebook.scenario_folder import PLACE
from probebook.workbook.build.files import build_all, stale_files
from probebook.workbook.build.plan import load_plan, load_plans
from small_scenarios import small_scenarios


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """The small scenarios and what they build."""
    folder = small_scenarios(tmp_path_factory.mktemp("trade"))
    return folder, build_all(load_plans(folder), Library(folder))


def _build_elsewhere(folder: Path, out: Path, **environment: str) -> dict[str, bytes]:
    line = [sys.executable, "-m", "probebook", "build", "--scenarios", str(folder), "--out", str(out)]
    subprocess.run(line, check=True, env={**os.environ, **environment}, capture_output=True)
    assert (out / "answer_keys" / PLACE).read_text(encoding="utf-8").strip() == str(folder.resolve())
    return {str(p.relative_to(out)): p.read_bytes() for p in sorted(out.rglob("*")) if p.is_file() and p.name != PLACE}


def test_same_bytes_in_another_time_zone_locale_and_hash_seed(
    built: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    """Two builds in different surroundings give the same files, byte for byte."""
    folder, files = built
    one = _build_elsewhere(folder, tmp_path / "a", TZ="Pacific/Auckland", LC_ALL="C", PYTHONHASHSEED="1")
    other = _build_elsewhere(folder, tmp_path / "b", TZ="America/Lima", LC_ALL="C.UTF-8", PYTHONHASHSEED="99")
    assert one == other == {name: text.encode() for name, text in files.items()}


def test_notebook_is_valid_and_reads_without_a_kernel(built: tuple[Path, dict[str, str]]) -> None:
    """The notebook passes the format's own validator, and every code cell is one hidden line with something to read."""
    text = built[1]["workbooks/07-small.ipynb"]
    book = nbformat.reads(text, as_version=4)
    nbformat.validate(book)
    code = [cell for cell in book.cells if cell.cell_type == "code"]
    assert len(code) == 6
    for cell in code:
        assert "\n" not in cell.source
        assert cell.metadata["jupyter"]["source_hidden"] is True
        assert cell.outputs[0]["data"]["text/plain"].strip()


def test_notebook_holds_no_key(built: tuple[Path, dict[str, str]]) -> None:
    """No answer, band or advice of the sheet stands in the notebook."""
    sheet = json.loads(built[1]["answer_keys/07-small.json"])
    notebook = built[1]["workbooks/07-small.ipynb"]
    for question in sheet["questions"]:
        assert question["explanation"] not in notebook
        for field in question["fields"]:
            assert field["answer"] not in notebook
        for slip in question["slips"]:
            assert slip["advice"] not in notebook


def test_repeated_asks_differ(built: tuple[Path, dict[str, str]]) -> None:
    """Two questions from one block have different figures."""
    questions = json.loads(built[1]["answer_keys/07-small.json"])["questions"]
    assert questions[1]["prompt"] != questions[2]["prompt"]


def test_stale_files_are_named(built: tuple[Path, dict[str, str]], tmp_path: Path) -> None:
    """A changed file, a missing one and one that no plan makes are all named."""
    files = built[1]
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert stale_files(files, tmp_path) == []
    (tmp_path / "answer_keys/07-small.json").write_text("{}", encoding="utf-8")
    (tmp_path / "workbooks/99-left-over.ipynb").write_text("{}", encoding="utf-8")
    assert stale_files(files, tmp_path) == ["answer_keys/07-small.json", "workbooks/99-left-over.ipynb"]


@pytest.mark.parametrize(
    ("wrong", "right", "place", "remedy"),
    [
        ('ask = "power"', 'ask = "powr"', "block[3].ask", "write"),
        ("times = 2", "times = 0", "block[4].times", "at least 1"),
        ('reader = "apprentice"', 'reader = "anybody"', "reader", "write"),
        ('text = "Read this first."', "", "block[1]", "give it one of"),
        ('id = "small"', 'id = "other"', "id", 'write id = "small"'),
    ],
)
def test_a_bad_plan_is_refused_in_one_sentence(tmp_path: Path, wrong: str, right: str, place: str, remedy: str) -> None:
    """The sentence names the file, the key and the remedy."""
    path = small_scenarios(tmp_path) / "workbooks" / "small.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(wrong, right, 1), encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load_plan(path)
    sentence = str(caught.value)
    assert sentence.startswith(f"small.toml: {place}")
    assert remedy in sentence
    assert "\n" not in sentence
