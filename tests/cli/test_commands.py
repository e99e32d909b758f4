"""The command line: what it prints, its exit codes, and its one-sentence errors."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from small_scenarios import SCENARIOS, small_scenarios


def run(*arguments: str, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own."""
    line = [sys.executable, "-m", "probebook", *arguments]
    return subprocess.run(line, capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False, timeout=120)


def reading(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run ``probebook reading`` on the conventional oven."""
    return run("reading", "conventional-oven", *arguments, "--scenarios", str(SCENARIOS))


def test_reading_of_a_wire_is_the_conductor_resistance_of_iec_60228() -> None:
    """A wire reads its length times the class 5 maximum of IEC 60228: 0.8 m of 1.5 mm² at 13.3 ohm/km."""
    done = reading("--probe", "E2.2", "X1.N", "--lift", "W7", "--json")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["ohms"] == pytest.approx(0.8 * 13.3e-3, rel=1e-3)


def test_an_open_element_reads_over_range_by_itself_and_not_in_its_circuit() -> None:
    """With its wire lifted an open base element shows OL; with the wires on, the parallel path is read instead."""
    fault = ("--fault", "base-open", "--position", "oven", "--probe", "E2.1", "E2.2")
    alone, together = reading(*fault, "--lift", "W10", "--json"), reading(*fault, "--json")
    assert json.loads(alone.stdout)["display"] == "OL"
    assert 10 < json.loads(together.stdout)["ohms"] < 100


def test_the_beeper_is_silent_on_a_sound_element_above_its_threshold() -> None:
    """Common practice, no published source: a sound element above the threshold does not beep."""
    done = reading("--probe", "E1.1", "E1.2", "--function", "continuity", "--meter", "pocket-multimeter", "--json")
    shown = json.loads(done.stdout)
    assert 30 < shown["ohms"] < 100
    assert shown["beeps"] is False


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--probe", "E2.1", "E2.9"), "has no terminal 'E2.9'; did you mean"),
        (("--probe", "E2.1", "E2.2", "--fault", "base-opn"), "has no fault 'base-opn'; did you mean 'base-open'"),
        (("--probe", "E2.1", "E2.2", "--lift", "W99"), "has no wire 'W99'"),
        (("--probe", "E2.1", "E2.2", "--position", "roast"), "has no position 'roast'"),
        (("--probe", "E2.1", "E2.2", "--meter", "no-such"), "there is no meter 'no-such'; choose one of"),
    ],
)
def test_a_wrong_name_is_refused_in_one_sentence(arguments: tuple[str, ...], sentence: str) -> None:
    """Exit code 2 and one line on standard error that says what is wrong and how to mend it."""
    done = reading(*arguments)
    assert done.returncode == 2
    assert sentence in done.stderr
    assert done.stderr.count("\n") == 1
    assert done.stdout == ""


def test_unknown_appliance_is_refused() -> None:
    """The sentence lists what there is."""
    done = run("reading", "toaster", "--probe", "A", "B", "--scenarios", str(SCENARIOS))
    assert done.returncode == 2
    assert "there is no appliance 'toaster'; choose one of" in done.stderr


def test_build_writes_then_finds_itself_up_to_date(tmp_path: Path) -> None:
    """``build`` writes both files, ``build --check`` then exits 0, and 1 naming the file once one byte is changed."""
    folder = small_scenarios(tmp_path)
    options = ("--scenarios", str(folder), "--out", str(tmp_path))
    assert run("build", *options).returncode == 0
    assert run("build", "--check", *options).returncode == 0
    notebook = tmp_path / "workbooks" / "07-small.ipynb"
    notebook.write_text(notebook.read_text(encoding="utf-8") + " ", encoding="utf-8")
    stale = run("build", "--check", *options)
    assert stale.returncode == 1
    assert "workbooks/07-small.ipynb" in stale.stderr


def test_a_failed_build_leaves_what_was_there(tmp_path: Path) -> None:
    """A scenario file that cannot be read stops the build with exit code 2 before anything is written."""
    folder = small_scenarios(tmp_path)
    options = ("--scenarios", str(folder), "--out", str(tmp_path))
    run("build", *options)
    before = (tmp_path / "workbooks" / "07-small.ipynb").read_bytes()
    plan = folder / "workbooks" / "small.toml"
    plan.write_text(plan.read_text(encoding="utf-8").replace('form = "watts"', 'form = "wats"'), encoding="utf-8")
    done = run("build", *options)
    assert done.returncode == 2
    assert done.stderr.startswith("probebook: small.toml: block[3]: ")
    assert (tmp_path / "workbooks" / "07-small.ipynb").read_bytes() == before


def test_check_names_file_key_and_remedy(tmp_path: Path) -> None:
    """A unit error in an appliance is one sentence with the key path; the exit code is 1."""
    path = tmp_path / "kettle.toml"
    text = (SCENARIOS / "appliances" / "kettle.toml").read_text(encoding="utf-8")
    path.write_text(text.replace('"13 A"', '"13 W"', 1), encoding="utf-8")
    done = run("check", str(path))
    assert done.returncode == 1
    assert 'kettle.toml: supply.fuse: "13 W" is in watts, but amperes are asked for' in done.stdout


def test_check_of_a_missing_file_is_a_usage_error(tmp_path: Path) -> None:
    """Exit code 2."""
    done = run("check", str(tmp_path / "none.toml"))
    assert done.returncode == 2
    assert "there is no such file" in done.stderr
