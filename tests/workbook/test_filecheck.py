from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from probebook.workbook.filecheck import check_file, scenario_files

SCENARIOS = Path(__file__).parents[2] / "scenarios"
OTHERS = [path.relative_to(SCENARIOS) for path in scenario_files(SCENARIOS) if path.parent.name != "appliances"]


@pytest.mark.parametrize("name", OTHERS, ids=str)
def test_each_file_has_a_reader_of_its_own(tmp_path: Path, name: Path) -> None:
    """A file as it is is sound; with a key that nobody knows it is refused by name, and not read as an appliance."""
    assert check_file(SCENARIOS / name) == []
    copy = Path(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))
    path = copy / name
    path.write_text(f"nobody_knows_this = 1\n{path.read_text('utf-8')}", "utf-8")
    (finding,) = check_file(path)
    assert finding.where.startswith(f"{name.name}: nobody_knows_this")
    assert "plate" not in finding.remedy
