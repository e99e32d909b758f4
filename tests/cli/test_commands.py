"""The command line: what it prints, its exit codes, and its one-sentence errors."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from probebook.words.pseudo import unmarked
from probebook.workbook.verifying import built_in
from progress_lines import without_progress
from small_scenarios import SCENARIOS, small_scenarios


def run(*arguments: str, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own."""
    line = [sys.executable, "-m", "probebook", *arguments]
    done = subprocess.run(line, capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False, timeout=400)
    done.stderr = without_progress(done.stderr)
    return done


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
    assert done.stderr.startswith("probebook: small.toml: block[3].options.form: ")
    assert (tmp_path / "workbooks" / "07-small.ipynb").read_bytes() == before


def test_check_names_file_key_and_remedy(tmp_path: Path) -> None:
    """A unit error in an appliance is one sentence with the key path; the exit code is 1."""
    path = tmp_path / "kettle.toml"
    text = (SCENARIOS / "appliances" / "kettle.toml").read_text(encoding="utf-8")
    path.write_text(text.replace('"13 A"', '"13 W"', 1), encoding="utf-8")
    done = run("check", str(path))
    assert done.returncode == 1
    line = text[: text.index('"13 A"')].count("\n") + 1
    assert f'kettle.toml, line {line}: supply.fuse: "13 W" is in watts, but amperes are asked for' in done.stdout


def test_check_of_a_missing_file_is_a_usage_error(tmp_path: Path) -> None:
    """Exit code 2."""
    done = run("check", str(tmp_path / "none.toml"))
    assert done.returncode == 2
    assert "there is no such file" in done.stderr


# ---------------------------------------------------------------- languages and regions


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--language", "xx"), "there is no language 'xx'; choose one of en"),
        (("--region", "zz"), "there is no region 'zz'; choose one of gb"),
    ],
)
def test_an_unknown_language_or_region_is_refused(arguments: tuple[str, ...], sentence: str) -> None:
    """Exit code 2 and one sentence, before any work is done."""
    done = reading("--probe", "E2.1", "E2.2", *arguments)
    assert done.returncode == 2
    assert sentence in done.stderr
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize("command", ["build", "check", "coverage", "explain", "preview", "reading"])
def test_language_and_region_can_be_chosen(command: str) -> None:
    """Every command that speaks of an appliance or of workbooks has both options."""
    said = run(command, "--help").stdout
    assert "--language ID" in said
    assert "--region ID" in said


def test_a_reading_is_told_in_the_language() -> None:
    """In the pseudo-language every word bears its mark, and the figures are the same."""
    probe = ("--probe", "E1.1", "E1.2", "--function", "continuity", "--meter", "pocket-multimeter")
    plain, marked = reading(*probe), reading(*probe, "--language", "qps")
    assert "beeper" in plain.stdout
    assert marked.stdout.replace("¤", "") == plain.stdout
    assert "beeper¤ silent¤" in marked.stdout


def test_evidence_is_explained_in_the_language(tmp_path: Path) -> None:
    """Each word of the explanation of a reading bears the mark of the pseudo-language."""
    path = tmp_path / "evidence.toml"
    path.write_text(
        '[[reading]]\nprobes = ["E2.1", "E2.2"]\ndisplay = "OL"\nlift = ["W10"]\nposition = "oven"\n', encoding="utf-8"
    )
    done = run(
        "explain", "conventional-oven", "--evidence", str(path), "--scenarios", str(SCENARIOS), "--language", "qps"
    )
    assert done.returncode == 0, done.stderr
    assert unmarked(done.stdout, allowed=("OL", "Ω", "kΩ", "W")) == []


def test_a_page_is_in_the_language(tmp_path: Path) -> None:
    """The headings of a preview bear the mark of the pseudo-language."""
    out = tmp_path / "kettle.html"
    done = run("preview", "kettle", "--out", str(out), "--scenarios", str(SCENARIOS), "--language", "qps")
    assert done.returncode == 0, done.stderr
    assert '<h2 id="faults-h">Faults¤</h2>' in out.read_text("utf-8")


def test_a_build_for_a_region_says_so_and_is_verified_there(tmp_path: Path) -> None:
    """The marking sheet names language and region, and verifying builds it again in both."""
    folder = small_scenarios(tmp_path)
    options = ("--scenarios", str(folder), "--out", str(tmp_path), "--region", "au", "--language", "qps")
    assert run("build", *options).returncode == 0
    assert run("build", "--check", *options).returncode == 0
    assert run("build", "--check", *options[:4]).returncode == 1
    meta = json.loads((tmp_path / "answer_keys" / "07-small.json").read_text("utf-8"))["meta"]
    assert (meta["language"], meta["region"]) == ("qps", "au")
    done = run("verify", "--dir", str(tmp_path), "--scenarios", str(folder), "--json")
    assert done.returncode == 0, done.stdout + done.stderr
    assert json.loads(done.stdout)["verified"]


def test_a_sheet_of_an_older_build_counts_as_english_and_british(tmp_path: Path) -> None:
    """A sheet that names neither, or that cannot be read, is built again as one is that names none."""
    sheet = tmp_path / "sheet.json"
    sheet.write_text('{"format": 1, "meta": {"workbook": "07-small"}, "questions": []}', encoding="utf-8")
    assert built_in(sheet) == ("en", "gb")
    sheet.write_text("{", encoding="utf-8")
    assert built_in(sheet) == ("en", "gb")


@pytest.mark.parametrize(("name", "near"), [("verfy", "verify"), ("bild", "build"), ("EXPLAIN", "explain")])
def test_a_misspelt_command_is_told_with_the_one_that_is_near(name: str, near: str) -> None:
    """Exit code 2 and the command that was meant."""
    done = run(name)
    assert done.returncode == 2
    assert f"There is no command '{name}'. Did you mean '{near}'?" in done.stderr


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    """A file where a folder is wanted: no traceback, exit code 2."""
    folder = small_scenarios(tmp_path)
    (tmp_path / "file").write_text("", encoding="utf-8")
    done = run("build", "--out", str(tmp_path / "file" / "more"), "--scenarios", str(folder))
    assert (done.returncode, done.stderr.count("\n")) == (2, 1), done.stderr
    assert "cannot be written" in done.stderr


def test_part_of_an_appliances_name_will_do() -> None:
    """``kett`` can only be the kettle."""
    whole, part = (run("reading", name, "--probe", "E1.1", "E1.2", "--json") for name in ("kettle", "KETT"))
    assert (part.returncode, part.stdout) == (0, whole.stdout), part.stderr


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="there is no root here")
def test_open_as_root_is_refused_before_an_address_is_given(tmp_path: Path) -> None:
    """As root nothing is served and no address printed unless it is asked for: one sentence, exit code 2."""
    (tmp_path / "01-x.ipynb").write_text("{}", "utf-8")
    done = subprocess.run(
        [sys.executable, "-c", "import os; os.geteuid = lambda: 0; from probebook.cli import main; main()",
         "open", "01-x", "--dir", str(tmp_path)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert "--allow-root" in done.stderr
    assert "http" not in done.stdout
