from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from probebook.api.files import _blueprint
from probebook.workbook.filecheck import check_file, scenario_files

#: Readers of floors above, as the public face names them.
ABOVE = {"blueprints": _blueprint}
SCENARIOS = Path(__file__).parents[2] / "scenarios"
OTHERS = [path.relative_to(SCENARIOS) for path in scenario_files(SCENARIOS) if path.parent.name != "appliances"]


def is_left_to_a_release(name: Path) -> bool:
    """Whether a file is a plan, whose questions take long to make; two plans stand for them all."""
    return name.parent.name == "workbooks" and name.stem not in ("parallel-paths", "ohms-and-watts")


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.whole] * is_left_to_a_release(name)) for name in OTHERS], ids=str
)
def test_each_file_has_a_reader_of_its_own(tmp_path: Path, name: Path) -> None:
    """A file as it is is sound; with a key that nobody knows it is refused by name, and not read as an appliance."""
    assert check_file(SCENARIOS / name, above=ABOVE) == []
    copy = Path(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))
    path = copy / name
    path.write_text(f"nobody_knows_this = 1\n{path.read_text('utf-8')}", "utf-8")
    (finding,) = check_file(path, above=ABOVE)
    assert re.search(rf"{name.name}(, line 1)?: nobody_knows_this", finding.where)
    assert "plate" not in finding.remedy


def copied(folder: Path) -> Path:
    """A copy of the scenarios."""
    return Path(shutil.copytree(SCENARIOS, folder / "scenarios"))


def test_a_finding_names_the_line_of_its_key(tmp_path: Path) -> None:
    """A colour of a wire that no standard lists: the line in which it stands, and the number of the wire."""
    path = copied(tmp_path) / "appliances" / "kettle.toml"
    text = path.read_text("utf-8")
    before, _, after = text.rpartition('colour = "brown"')
    path.write_text(f'{before}colour = "pink"{after}', "utf-8")
    line, wire = before.count("\n") + 1, before.count("[[wire]]")
    found = [f.where for f in check_file(path) if "pink" in f.message]
    assert len(found) == 1
    assert re.fullmatch(rf"kettle\.toml, line {line}: wire\[{wire}\] \(W\d+\)\.colour", found[0])


def test_a_sentence_with_a_wrong_hole_is_named_by_file_and_line(tmp_path: Path) -> None:
    """A hole that no fact fills, in one file of sentences: found in that file, and in no other."""
    copy = copied(tmp_path)
    path = copy / "text" / "en" / "workbook" / "preview.toml"
    text = path.read_text("utf-8").replace('heading = "{{ position|capital }}"', 'heading = "{{ positon|capital }}"')
    line = text[: text.index("positon")].count("\n") + 1
    path.write_text(text, "utf-8")
    (finding,) = check_file(path)
    assert finding.where == f"text/en/workbook/preview.toml, line {line}: circuit.heading"
    assert "'positon'" in finding.message
    assert finding.remedy == "did you mean 'position'"
    assert check_file(copy / "text" / "en" / "workbook" / "pages.toml") == []


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("appliances/kettle.toml", 'title = "czajnik"', ""),
        ("appliances/kettle.toml", '[plate]\npower = "3 kW"', "a language may change prose only"),
        ("slips.toml", "nobody_knows_this = 1", "this key is not known here"),
        ("workbooks/controls.toml", 'title = "Sterowanie"', ""),
    ],
)
def test_what_lies_over_a_file_is_read_as_that_file(tmp_path: Path, name: str, text: str, sentence: str) -> None:
    """In the folder of another language prose may change and nothing else may."""
    folder = copied(tmp_path) / "text" / "pl"
    (folder / name).parent.mkdir(parents=True)
    (folder / "language.toml").write_text('title = "Polish"\nlocale = "pl"\n', "utf-8")
    (folder / name).write_text(text, "utf-8")
    found = check_file(folder / name)
    assert [sentence in finding.message for finding in found] == [True] * bool(sentence)
    assert all(finding.where.startswith(f"text/pl/{name}") for finding in found)
