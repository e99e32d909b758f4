"""Pictures in a notebook file: where JupyterLab shows them, and whole."""

from __future__ import annotations

import base64
import json
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

from probebook.cases.library import library
from probebook.workbook.build.compiling import compile_plan
from probebook.workbook.build.notebook import notebook_text
from probebook.workbook.build.plan import load_plan

PLAN = """
id = "drawn"
number = 1
title = "Drawn"
reader = "apprentice"
summary = "Three pictures of the conventional oven in the training kitchen."
seed = "alder"

[[block]]
show = "schematic"

[[block]]
show = "plate"

[[block]]
ask = "trace"
options = { form = "symbol", part = "fuse" }
"""


def test_every_picture_stands_in_the_text_as_data(tmp_path: Path) -> None:
    """No SVG is left to an attachment, which JupyterLab does not show; each data address is a whole SVG."""
    path = tmp_path / "drawn.toml"
    path.write_text(PLAN, encoding="utf-8")
    cells = json.loads(notebook_text(compile_plan(load_plan(path), library())))["cells"]
    text = "\n".join("".join(cell["source"]) for cell in cells)
    assert "attachment:" not in text
    assert not any("attachments" in cell for cell in cells)
    drawn = re.findall(r"!\[[^\]]+\]\(data:image/svg\+xml;base64,([A-Za-z0-9+/=]+)\)", text)
    assert len(drawn) == 3
    for data in drawn:
        root = ElementTree.fromstring(base64.b64decode(data))
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert root.find("{http://www.w3.org/2000/svg}title") is not None


def test_a_notebook_names_its_language(tmp_path: Path) -> None:
    """What is said before a kernel runs is said in the notebook's language; English, as ever, needs no name."""
    path = tmp_path / "drawn.toml"
    path.write_text(PLAN, encoding="utf-8")
    compiled = compile_plan(load_plan(path), library())
    marks = [
        json.loads(notebook_text(replace(compiled, language=language)))["metadata"]["probebook"]
        for language in (compiled.language, "qps")
    ]
    assert [mark.pop("build") != "" for mark in marks] == [True, True]
    assert marks == [{"workbook": "01-drawn"}, {"workbook": "01-drawn", "language": "qps"}]
