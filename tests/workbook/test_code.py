"""The code of a component is whole: one module with nothing left to fetch, and the same bytes as its files."""

from __future__ import annotations

import re
import shutil
import subprocess

import pytest

from probebook.workbook.forms.bench import BenchModel
from probebook.workbook.forms.code import module, styles
from probebook.workbook.forms.model import STUB, QuestionModel
from probebook.workbook.practice.model import PracticeModel

ENTRIES = (QuestionModel.entry, PracticeModel.entry, BenchModel.entry, STUB)
#: What nodes of a drawing are called by: a name, which no browser fetches.
NAMESPACE = '"http://www.w3.org/2000/svg"'


@pytest.mark.parametrize("entry", ENTRIES)
def test_nothing_is_left_to_fetch(entry: str) -> None:
    """No import stays, one thing is exported, and no address stands in it but that of a drawing as data."""
    text = module("form", entry)
    assert not re.findall(r"^import\b", text, re.MULTILINE)
    assert re.findall(r"^export\b.*", text, re.MULTILINE) == [line for line in text.splitlines() if "export" in line]
    assert len(re.findall(r"^export\b", text, re.MULTILINE)) == 1
    assert not re.search(r"https?:|//[a-z]+\.", text.replace(NAMESPACE, ""))


@pytest.mark.parametrize("entry", ENTRIES)
@pytest.mark.skipif(shutil.which("node") is None, reason="needs node")
def test_the_modules_go_together(entry: str) -> None:
    """A JavaScript engine reads the one text as a module: no name is declared twice."""
    line = ["node", "--input-type=module", "--check"]
    ended = subprocess.run(line, input=module("form", entry), capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr


def test_looks_fetch_nothing() -> None:
    """Style sheets name no address."""
    text = styles(*QuestionModel.sheets, *PracticeModel.sheets, *BenchModel.sheets, "page")
    assert not re.search(r"url\(|@import|https?:", text)
