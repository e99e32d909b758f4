"""The walk-through of the guide, run as it stands: from blueprint to marks."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from classes import Class
from sitters import right, sit_in_kernel

import probebook
from probebook.api import assessing

ROOT = Path(__file__).resolve().parents[2]
GUIDE = (ROOT / "docs" / "assessment.md").read_text("utf-8")
BLOCK = re.compile(r"<!-- walk: (\S+) -->\n```\w+\n(.*?)```", re.DOTALL)


@pytest.mark.slow
def test_the_walk_through_does_what_it_says(tmp_path: Path, five: Class) -> None:
    """Files are written and commands run literally; the two learners sit in kernels, and have full marks."""
    (tmp_path / "scenarios").symlink_to(ROOT / "scenarios")
    (tmp_path / "probebook").write_text(f'#!/bin/sh\nexec "{sys.executable}" -m probebook "$@"\n', "utf-8")
    (tmp_path / "probebook").chmod(0o755)
    source = str(Path(probebook.__file__).parents[1])
    environment = {**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}", "PYTHONPATH": source}
    blocks = BLOCK.findall(GUIDE)
    assert [name for name, _ in blocks] == ["class.csv", "passphrase.txt", "sh", "sh"]
    for name, text in blocks[:2]:
        (tmp_path / name).write_text(text, "utf-8")
    said = [run(blocks[2][1], tmp_path, environment)]
    passphrase = blocks[1][1].strip()
    papers = assessing.open_key(next((tmp_path / "june").glob("*.key")), passphrase)
    (tmp_path / "collected").mkdir()
    for paper in papers.papers:
        path = tmp_path / "june" / "papers" / f"{papers.blueprint.paper_name(paper.learner)}.ipynb"
        sit_in_kernel(path, paper, right(paper))
        shutil.copy(path.with_suffix(".handin.json"), tmp_path / "collected")
    said.append(run(blocks[3][1], tmp_path, environment))
    assert "2 papers of 'Element testing' set" in said[0]
    assert "2 papers marked, 0 files or lines not, 0 learners without a hand-in." in said[1]
    marks = json.loads((tmp_path / "marks" / "marks.json").read_text("utf-8"))
    assert [paper["passed"] for paper in marks["papers"]] == [True, True]


def run(commands: str, folder: Path, environment: dict[str, str]) -> str:
    """Run the lines of a block in a shell and give back what they printed."""
    done = subprocess.run(
        ["sh", "-e", "-c", commands],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=400,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout
