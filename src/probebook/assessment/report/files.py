"""The report of a class as files: a page, figures as JSON, and a table that is safe to open in a spreadsheet."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from probebook.assessment.cells import plain_cell, table_text
from probebook.assessment.model import MarkedClass
from probebook.assessment.report.analysis import Report
from probebook.assessment.report.drift import History
from probebook.assessment.report.page import Names, report_page
from probebook.files import canonical_json
from probebook.numerics.rounding import stored

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["items_table", "report_files"]

#: The number of the format of ``report.json``.
FORMAT = 1


def report_files(
    found: Report, marked: MarkedClass, words: Words, outcomes: Names, slips: Names, history: History | None = None
) -> dict[str, str]:
    """``report.html``, ``report.json`` and ``report-items.csv``: the same marks and history give the same bytes."""
    told = asdict(found) | ({"history": asdict(history)} if history else {})
    return {
        "report.html": report_page(found, marked, words, outcomes, slips, history),
        "report.json": canonical_json({"format": FORMAT, **_plain(told)}),
        "report-items.csv": items_table(found),
    }


def _plain(value: Any) -> Any:
    """Plain data; what cannot be told is null, floats have seven significant digits."""
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    if isinstance(value, float):
        return stored(value) if math.isfinite(value) else None
    return value


def items_table(found: Report) -> str:
    """The figures of all places, a line each; empty where nothing can be told."""
    heads = (
        "place", "outcome", "kind", "learners", "facility", "low", "high", "discrimination", "upper_lower", "foretold",
        "estimated", "error", "look",
    )  # fmt: skip
    return table_text(heads, ([_cell(getattr(item, head)) for head in heads] for item in found.items))


def _cell(value: str | float) -> str:
    if isinstance(value, str):
        return plain_cell(value)
    return "" if math.isnan(value) else f"{value:.4g}"
