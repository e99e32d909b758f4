"""A scenarios folder with one small workbook, for tests that build and run workbooks."""

from __future__ import annotations

import shutil
from pathlib import Path

SCENARIOS = Path(__file__).parents[1] / "scenarios"

PLAN = """
id = "small"
number = 7
title = "A small workbook"
reader = "apprentice"
summary = "Three questions, invented for a test."
seed = "test"

[[block]]
text = "Read this first."

[[block]]
example = "power"
options = { form = "ohms", part = "E2.heater" }

[[block]]
ask = "power"
options = { form = "watts", part = "E2.heater" }

[[block]]
ask = "power"
times = 2
options = { form = "amps", part = "E1.outer" }
"""


def small_scenarios(folder: Path) -> Path:
    """Copy the trade's scenarios to ``folder`` with the small plan as the only workbook; return the copy."""
    copy = folder / "scenarios"
    shutil.copytree(SCENARIOS, copy, ignore=shutil.ignore_patterns("workbooks"))
    (copy / "workbooks").mkdir()
    (copy / "workbooks" / "small.toml").write_text(PLAN, encoding="utf-8")
    return copy
