"""Which scenarios are in force, and whether they are those a workbook was built from."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from probebook import scenario_layers
from probebook.errors import UsageError
from probebook.scenario_folder import (
    ENVIRONMENT,
    PLACE,
    fingerprint,
    folder_of_build,
    note_of_place,
    scenarios_dir,
)

SCENARIOS = Path(__file__).resolve().parents[1] / "scenarios"


def test_scenarios_are_found_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that was named wins, then ./scenarios, then the copy that came with the package."""
    named = tmp_path / "named"
    (named / "appliances").mkdir(parents=True)
    local = tmp_path / "work" / "scenarios"
    package = tmp_path / "lib" / "probebook"
    (package / "_scenarios" / "appliances").mkdir(parents=True)
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")
    monkeypatch.setattr(scenario_layers, "__file__", str(package / "scenario_layers.py"))
    assert scenarios_dir() == package / "_scenarios"
    local.mkdir()
    assert scenarios_dir() == package / "_scenarios"  # an empty folder of that name is someone else's
    (local / "appliances").mkdir()
    assert scenarios_dir() == local
    assert scenarios_dir(named) == named


def test_scenarios_are_found_in_a_source_tree(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run from a source tree, the scenarios beside src/ are used."""
    (tmp_path / "tree" / "scenarios" / "appliances").mkdir(parents=True)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(
        scenario_layers, "__file__", str(tmp_path / "tree" / "src" / "probebook" / "scenario_layers.py")
    )
    assert scenarios_dir() == tmp_path / "tree" / "scenarios"


def test_missing_scenarios_are_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder without appliances/, or no folder at all, is told with how to mend it."""
    with pytest.raises(UsageError) as caught:
        scenarios_dir(tmp_path)
    assert str(caught.value) == (
        f"{tmp_path}: this folder holds no appliances/ folder; "
        "name a scenarios folder, such as the one Probebook came with, "
        "or make your own with 'probebook new folder NAME'."
    )
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(scenario_layers, "__file__", str(tmp_path / "a" / "b" / "scenario_layers.py"))
    with pytest.raises(UsageError, match="no scenarios folder was found"):
        scenarios_dir()
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "nowhere"))
    with pytest.raises(UsageError, match=f"^{ENVIRONMENT}=.*nowhere: this folder holds no appliances/ folder"):
        scenarios_dir()


def test_the_environment_names_scenarios_before_those_that_lie_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """PROBEBOOK_SCENARIOS wins over ./scenarios and yields to a folder named on the command line."""
    for name in ("scenarios", "named", "mine"):
        (tmp_path / name / "appliances").mkdir(parents=True)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "mine"))
    assert scenarios_dir() == tmp_path / "mine"
    assert scenarios_dir(tmp_path / "named") == tmp_path / "named"


def test_a_fingerprint_stands_for_names_and_content_not_for_line_ends(tmp_path: Path) -> None:
    """One letter, or another name of a file, gives another fingerprint; the line ends of another system do not."""
    folder = tmp_path / "scenarios"
    (folder / "appliances").mkdir(parents=True)
    kettle = folder / "appliances" / "kettle.toml"
    kettle.write_bytes(b'title = "kettle"\nwatts = "2800 W"\n')
    was = fingerprint(folder)
    kettle.write_bytes(b'title = "kettle"\r\nwatts = "2800 W"\r\n')
    assert fingerprint(folder) == was
    (folder / "notes.txt").write_text("not a scenario file")
    assert fingerprint(folder) == was
    kettle.write_bytes(b'title = "kettle"\nwatts = "2200 W"\n')
    assert fingerprint(folder) != was
    kettle.write_bytes(b'title = "kettle"\nwatts = "2800 W"\n')
    assert fingerprint(folder) == was
    kettle.rename(folder / "appliances" / "jug.toml")
    assert fingerprint(folder) != was


def _own(place: Path, watts: str) -> Path:
    """A copy of the scenarios whose kettle has another rating."""
    shutil.copytree(SCENARIOS, place)
    kettle = place / "appliances" / "kettle.toml"
    text = kettle.read_text(encoding="utf-8")
    assert '"2.8 kW"' in text
    kettle.write_text(text.replace('"2.8 kW"', f'"{watts}"'), encoding="utf-8")
    return place


def test_a_workbook_is_measured_on_the_scenarios_it_was_built_from(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wherever a kernel runs it takes the scenarios of the build, not others that it finds first."""
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    keys = out / "answer_keys"
    keys.mkdir(parents=True)
    mine = _own(tmp_path / "mine", "2.2 kW")
    _own(elsewhere / "scenarios", "2.5 kW")
    (keys / PLACE).write_text(note_of_place(mine, out), encoding="utf-8")
    wanted = fingerprint(mine)
    monkeypatch.chdir(elsewhere)
    assert folder_of_build(wanted, keys).resolve() == mine.resolve()
    (keys / PLACE).unlink()
    with pytest.raises(UsageError, match="the scenario files are not those this workbook was built from"):
        folder_of_build(wanted, keys)
    monkeypatch.setenv(ENVIRONMENT, str(mine))
    assert folder_of_build(wanted, keys) == mine


def test_the_scenarios_that_came_with_the_package_need_no_note(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is noted of scenarios that are found without: beside the keys, or in the package."""
    beside = tmp_path / "scenarios"
    shutil.copytree(SCENARIOS, beside)
    assert note_of_place(beside, tmp_path) == ""
    came_with_it = next(place for place in scenario_layers.packaged() if place.is_dir())
    assert note_of_place(came_with_it, tmp_path) == ""
    monkeypatch.chdir(tmp_path)
    assert folder_of_build(fingerprint(SCENARIOS), tmp_path / "answer_keys").is_dir()
