"""The walk of the tutors' guide, typed literally: from an empty folder and the wheel to a workbook that is verified."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
GUIDE = (ROOT / "docs" / "tutors.md").read_text("utf-8")
WALK = re.findall(r"<!-- walk -->\n```sh\n(.*?)```", GUIDE, re.DOTALL)


def wheel(folder: Path) -> Path:
    """Build the wheel into a folder."""
    line = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(folder), str(ROOT)]
    subprocess.run(line, check=True, timeout=280)
    return next(folder.glob("probebook-*.whl"))


def test_the_guide_goes_all_the_way() -> None:
    """The walk makes a folder, an appliance, two faults, a slip and a workbook, and goes to the end."""
    text = "\n".join(WALK)
    for step in ("pip install probebook-", "new folder", "new appliance", "new fault", "new slip", "new workbook"):
        assert step in text
    assert [text.index(step) for step in ("probebook build", "probebook verify")] == sorted(
        text.index(step) for step in ("probebook build", "probebook verify")
    )
    opened = re.search(r"<!-- walk: open -->\n```sh\nprobebook open (\S+)\n```", GUIDE)
    assert opened
    assert f"new workbook {opened[1]} " in text


@pytest.mark.slow
@pytest.mark.timeout(900)
@pytest.mark.skipif(os.name != "posix", reason="the walk is typed into a shell")
def test_the_walk_works_as_it_stands(tmp_path: Path) -> None:
    """Every line ends well; what comes out are twelve questions, verified, about an appliance of one's own.

    The libraries are those of this Python, laid beside the new environment; Probebook is that of the wheel.
    """
    wheel(tmp_path)
    install, *rest = WALK
    libraries = tmp_path / "here" / "lib" / f"python{sys.version_info[0]}.{sys.version_info[1]}" / "site-packages"
    lent = f"printf '%s\\n' '{sysconfig.get_path('purelib')}' > '{libraries}/lent.pth'"
    venv, *after = install.strip().splitlines()
    script = "\n".join(["set -euo pipefail", venv, lent, *after, *rest, "which probebook", "pwd"])
    kept = ("PYTHONPATH", "PROBEBOOK_SCENARIOS", "VIRTUAL_ENV")
    clean = {name: value for name, value in os.environ.items() if name not in kept}
    done = subprocess.run(
        ["bash", "-c", script],
        cwd=tmp_path,
        env={**clean, "PIP_NO_DEPS": "1", "PIP_NO_INDEX": "1", "PIP_FORCE_REINSTALL": "1"},
        capture_output=True,
        text=True,
        check=False,
        timeout=800,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    *_, program, folder = done.stdout.split()
    assert Path(program).is_relative_to(tmp_path / "here")
    sheet = json.loads((Path(folder) / "answer_keys" / "01-plate-warmers.json").read_text("utf-8"))
    assert len(sheet["questions"]) == 12
    assert re.search(r"^01-plate-warmers +12 .* verified$", done.stdout, re.MULTILINE)
    assert "0 errors" in done.stdout
    assert "warning" not in done.stdout
    assert (Path(folder) / "plate-warmer.html").is_file()
    own = sorted(path.name for path in (Path(folder) / "scenarios").rglob("*.toml"))
    assert own == sorted(
        ["probebook.toml", "plate-warmer.toml", "kettle.toml", "kitchen.toml", "slips.toml", "plate-warmers.toml"]
    )
