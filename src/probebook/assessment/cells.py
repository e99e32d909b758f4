"""Tables for spreadsheets (CSV): read as people save them; written so that nothing that was typed is a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from probebook.errors import UsageError

__all__ = ["file_bytes", "plain_cell", "read_table", "table_text"]

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


def read_table(path: Path, what: str, longest: int) -> list[tuple[int, list[str]]]:
    """Read a table as a spreadsheet saves it: UTF-8 with or without its mark, commas or semicolons, any line ends.

    Parameters
    ----------
    path, what, longest
        The file, what a sentence calls it (``the class``), and how many bytes it may have.

    Returns
    -------
    list of (int, list of str)
        The number of each line and its cells, without blanks at their ends; the headings first.

    Raises
    ------
    UsageError
        The file is too large, cannot be read, or is no such table.
    """
    try:
        text = file_bytes(path, what, longest).decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        raise UsageError(f"{what} is not UTF-8 text", where=str(path), remedy="save it as CSV UTF-8") from error
    first = text.split("\n", 1)[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=";" if first.count(";") > first.count(",") else ",")
    try:
        return [(reader.line_num, [cell.strip() for cell in row]) for row in reader]
    except csv.Error as error:
        raise UsageError(f"{what} cannot be read", where=path.name, remedy="save it as CSV UTF-8") from error


def file_bytes(path: Path, what: str, longest: int) -> bytes:
    """The bytes of a file of at most ``longest``; UsageError, which calls it ``what``, where there are none such."""
    try:
        if path.stat().st_size > longest:
            raise UsageError(f"the file is too large for {what}", where=str(path), remedy="check the path")
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise UsageError(f"{what} cannot be read ({reason})", where=str(path), remedy="check the path") from error
