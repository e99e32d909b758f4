"""Tables for spreadsheets (CSV), in which nothing that somebody typed becomes a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

__all__ = ["plain_cell", "table_text"]

#: A cell that begins with one of these is a formula to some spreadsheet.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%", "＝", "＋", "－", "＠")


def plain_cell(text: str) -> str:
    """The text of a cell with an apostrophe before what a spreadsheet would take for a formula."""
    is_formula = text.startswith(FORMULA) or text.lstrip().startswith(FORMULA)
    return f"'{text}" if is_formula else text


def table_text(heads: Sequence[str], rows: Iterable[Sequence[str | int]]) -> str:
    """A table with its heads; cells stand as they are given."""
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator="\r\n").writerows([heads, *rows])
    return stream.getvalue()
