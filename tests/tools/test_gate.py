"""The gate compares what is built with what is committed, so that a key edited by hand cannot pass."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BUILT = '{"answer": "47.2 ohm"}\n'


def functions(script: Path) -> str:
    """Return the functions of a bash script that stand at the left margin, without what it then does."""
    kept: list[str] = []
    inside = False
    for line in script.read_text("utf-8").splitlines():
        inside = inside or line.endswith("() {")
        if inside or (line.endswith("}") and "() {" in line):
            kept.append(line)
        inside = inside and line != "}"
    return "\n".join(kept)


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A repository in which one workbook and its key are committed as built."""
    for folder, name in (("workbooks", "07-small.ipynb"), ("answer_keys", "07-small.json")):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / name).write_text(BUILT, "utf-8")
    git(tmp_path, "init", "-q")
    git(tmp_path, "add", "-A")
    git(tmp_path, "-c", "user.name=a", "-c", "user.email=a@example.org", "commit", "-qm", "Build")
    return tmp_path


def git(folder: Path, *arguments: str) -> None:
    """Run git in a folder."""
    subprocess.run(["git", *arguments], cwd=folder, check=True, capture_output=True)


def compared(folder: Path) -> int:
    """Return the exit status of the gate's comparison after a build there."""
    script = f"set -euo pipefail\n{functions(ROOT / '.ci' / 'run')}\ncheck_committed"
    environment = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    done = subprocess.run(["bash", "-c", script], cwd=folder, env=environment, capture_output=True, text=True)
    assert "command not found" not in done.stderr, done.stderr
    return done.returncode


def test_what_is_committed_as_built_passes(checkout: Path) -> None:
    """A build that gives the committed bytes is in order."""
    (checkout / "answer_keys" / "07-small.json").write_text(BUILT, "utf-8")
    assert compared(checkout) == 0


def test_a_key_edited_by_hand_fails(checkout: Path) -> None:
    """A key that was edited and committed differs from what the build then writes."""
    key = checkout / "answer_keys" / "07-small.json"
    key.write_text(BUILT.replace("47.2", "47.3"), "utf-8")
    git(checkout, "-c", "user.name=a", "-c", "user.email=a@example.org", "commit", "-qam", "Edit")
    key.write_text(BUILT, "utf-8")  # the build writes over it
    assert compared(checkout) != 0


@pytest.mark.parametrize("change", ["left over", "missing"])
def test_files_too_many_or_too_few_fail(checkout: Path, change: str) -> None:
    """A file that is built but not committed fails, and one that is committed but built no more."""
    if change == "missing":
        (checkout / "workbooks" / "07-small.ipynb").unlink()
    else:
        (checkout / "workbooks" / "08-new.ipynb").write_text(BUILT, "utf-8")
    assert compared(checkout) != 0


def test_the_vector_units_named_are_those_that_numpy_can_switch_off(tmp_path: Path) -> None:
    """What is switched off for the build with plain vector units is known to numpy, and is off in the next process."""
    script = f"set -euo pipefail\n{functions(ROOT / '.ci' / 'run')}\n"
    script += "units=$(vector_units)\nNPY_DISABLE_CPU_FEATURES=$units vector_units\n"
    done = subprocess.run(["bash", "-c", script], cwd=tmp_path, capture_output=True, text=True)
    assert (done.returncode, done.stdout.strip()) == (0, ""), done.stderr


def test_an_environment_whose_build_differs_fails(tmp_path: Path) -> None:
    """The step for other Pythons and older libraries ends the gate when the build there is not what is committed."""
    (tmp_path / "python").write_text(
        '#!/bin/sh\nmkdir -p "$3/bin"\nprintf "#!/bin/sh\\n" > "$3/bin/python"\n'
        'printf "#!/bin/sh\\necho 2 of 30 differ; exit $WANTED\\n" > "$3/bin/probebook"\nchmod +x "$3"/bin/*\n',
        "utf-8",
    )
    (tmp_path / "python").chmod(0o755)
    script = (
        f"set -euo pipefail\n{functions(ROOT / '.ci' / 'run')}\nscratch={tmp_path}\n"
        f"check_in_environment odd {tmp_path}/python .\necho went on\n"
    )
    for wanted in (0, 1):
        done = subprocess.run(
            ["bash", "-c", script],
            env={**os.environ, "WANTED": str(wanted)},
            cwd=tmp_path,
            capture_output=True,
            text=True,
        )
        assert done.returncode == wanted, done.stderr
        assert ("went on" in done.stdout) == (wanted == 0)


def test_the_oldest_libraries_are_those_of_the_project_file() -> None:
    """Every dependency states its oldest version, and that is what the gate installs."""
    said = subprocess.run(
        [sys.executable, str(ROOT / "tools" / "oldest.py")], check=True, capture_output=True, text=True
    ).stdout.split()
    named = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    assert len(said) == len(named)
    for line, dependency in zip(said, named, strict=True):
        name, version = line.split("==")
        assert dependency.startswith(f"{name}>={version}")
