"""What second tutors said of the items of a set: typed into a table, kept in a record that only grows."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Literal

from probebook.assessment.cells import file_bytes, plain_cell, read_table, table_text
from probebook.assessment.days import read_day
from probebook.errors import UsageError, choose_one
from probebook.files import canonical_json

__all__ = ["ALL", "RECORD", "SignOff", "read_record", "read_signed", "record_text", "sign_sheet", "with_signed"]

RECORD = "moderation.json"
FORMAT = 1
#: Stands for every item of the set.
ALL = "all"
Verdict = Literal["agreed", "change", "withdraw"]
VERDICTS: tuple[Verdict, ...] = ("agreed", "change", "withdraw")
COLUMNS = ("item", "verdict", "by", "on", "note")
#: A longer file (bytes) is refused unread.
LONGEST = 4_000_000
LONGEST_TEXT = 500


@dataclass(frozen=True, slots=True)
class SignOff:
    """A verdict on an item (or on ``all``): who gave it, on which day (ISO 8601), and what they noted."""

    item: str
    verdict: Verdict
    by: str
    on: str
    note: str = ""


# ---------------------------------------------------------------- typed in


def sign_sheet(items: Sequence[str]) -> str:
    """A table to type verdicts into, a line an item."""
    return table_text(COLUMNS, [[plain_cell(item), "", "", "", ""] for item in items])


def read_signed(path: Path, items: Collection[str]) -> tuple[SignOff, ...]:
    """Read a table of verdicts; lines without a verdict are left out.

    Raises
    ------
    UsageError
        One sentence names file, line and column.
    """
    rows = read_table(path, "the sign-off", LONGEST)
    if not rows or tuple(rows[0][1]) != COLUMNS:
        raise UsageError("the headings are others", where=f"{path.name}: line 1", remedy=f"write {','.join(COLUMNS)}")
    return tuple(_signed(row, f"{path.name}: line {number}", items) for number, row in rows[1:] if any(row[1:]))


def _signed(row: list[str], where: str, items: Collection[str]) -> SignOff:
    if len(row) != len(COLUMNS):
        raise UsageError(f"this line has {len(row)} columns", where=where, remedy=f"write {','.join(COLUMNS)}")
    item, verdict, by, on, note = row
    if item != ALL and item not in items:
        raise UsageError(f"there is no item '{item[:40]}'", where=f"{where}: item", remedy="copy it from the pack")
    known = next((each for each in VERDICTS if each == verdict.lower()), None)
    if known is None:
        raise UsageError(
            f"'{verdict[:40]}' is no verdict", where=f"{where}: verdict", remedy=choose_one(verdict, VERDICTS)
        )
    if not by or len(by) > LONGEST_TEXT or len(note) > LONGEST_TEXT:
        raise UsageError("it is not said who signs", where=f"{where}: by", remedy="write a name, and a short note")
    day = read_day(on, f"{where}: on")
    if known != "agreed" and not note:
        raise UsageError("it is not said what is to change", where=f"{where}: note", remedy="say it in a few words")
    return SignOff(item, known, by, day, note)


# ---------------------------------------------------------------- the record


def with_signed(record: Sequence[SignOff], signed: Sequence[SignOff]) -> tuple[SignOff, ...]:
    """The record with what was typed in added to its end; what stands in it already is not added again."""
    return (*record, *(each for each in dict.fromkeys(signed) if each not in record))


def record_text(set_id: str, record: Sequence[SignOff]) -> str:
    """The text of the record: the same verdicts give the same bytes."""
    return canonical_json({"format": FORMAT, "set": set_id, "signed": [asdict(each) for each in record]})


def read_record(path: Path, set_id: str) -> tuple[SignOff, ...]:
    """The record; nothing where there is none yet; UsageError where it is another set's or cannot be read."""
    if not path.exists():
        return ()
    try:
        data = json.loads(file_bytes(path, "the record", LONGEST))
        if data["format"] != FORMAT or set(data) != {"format", "set", "signed"}:
            raise ValueError
        found = tuple(SignOff(**{each.name: entry[each.name] for each in fields(SignOff)}) for entry in data["signed"])
        if not all(isinstance(value, str) for each in found for value in asdict(each).values()):
            raise ValueError
        if not all(each.verdict in VERDICTS for each in found):
            raise ValueError
    except (ValueError, KeyError, TypeError, RecursionError):
        raise UsageError(
            "the record of moderation is damaged", where=str(path), remedy="take a copy of it that is whole"
        ) from None
    if data["set"] != set_id:
        raise UsageError("another set was moderated here", where=str(path), remedy="name another folder")
    return found
