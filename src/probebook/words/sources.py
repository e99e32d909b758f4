"""Text files as they stand in ``scenarios/text``: tables of sentences, and the line each stands in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from probebook.errors import ScenarioError
from probebook.textfiles import file_text, parse_toml

__all__ = ["TextFile", "flat", "key_lines", "read_text_file"]

_TABLE = re.compile(r"^\s*\[\[?\s*([^\[\]]+?)\s*\]?\]\s*(#.*)?$")
_KEY = re.compile(r"""^\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*=""")


@dataclass(frozen=True)
class TextFile:
    """The sentences of one file.

    Attributes
    ----------
    name
        As errors name it: ``text/en/questions/power.toml``.
    tables
        Table -> sentence id -> template.
    lines
        ``table.id`` -> line, counted from 1.
    """

    name: str
    tables: Mapping[str, Mapping[str, str]]
    lines: Mapping[str, int]

    def under(self, own: TextFile) -> TextFile:
        """Return the file with sentences of somebody's own, from a file of the same name, in place of its own."""
        names = {**self.tables, **own.tables}
        tables = {name: {**self.tables.get(name, {}), **own.tables.get(name, {})} for name in names}
        return TextFile(self.name, tables, {**self.lines, **own.lines})

    def where(self, table: str, key: str = "") -> str:
        """Return the place of a sentence, or of its table, for an error."""
        name = f"{table}.{key}" if key else table
        line = self.lines.get(name)
        return f"{self.name}, line {line}: {name}" if line else f"{self.name}: {name}"


def read_text_file(path: Path, name: str) -> TextFile:
    """Read a file of sentences; :class:`ScenarioError` when it is missing, no TOML, or holds anything but texts."""
    text = file_text(path)
    lines = key_lines(text)
    tables: dict[str, dict[str, str]] = {}
    for table, content in parse_toml(text, name).items():
        if not isinstance(content, Mapping):
            raise ScenarioError(
                "a sentence stands in no table", where=f"{name}: {table}", remedy="put it under [table]"
            )
        tables[table] = {}
        for key, value in flat(content):
            if not isinstance(value, str):
                place = f"{name}, line {lines.get(f'{table}.{key}', '?')}: {table}.{key}"
                raise ScenarioError("a sentence is text", where=place, remedy="put it in quotation marks")
            tables[table][key] = value
    return TextFile(name, tables, lines)


def flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """Yield (dotted key, value) of nested tables, in order."""
    for key, value in table.items():
        if isinstance(value, Mapping):
            yield from flat(value, f"{before}{key}.")
        else:
            yield f"{before}{key}", value


def key_lines(text: str) -> dict[str, int]:
    """Return dotted key -> line of its first appearance, tables too; multi-line texts are passed over.

    In a list of tables, the third ``[[part]]`` and what stands in it also go by ``part[3]``, as errors count.
    """
    found: dict[str, int] = {}
    table, indexed, closing = "", "", ""
    counts: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        rest = line
        if closing:
            _, ended, rest = line.partition(closing)
            if not ended:
                continue
            closing = ""
        elif header := _TABLE.match(line):
            table = _bare(header[1])
            indexed = _indexed(table, line.lstrip().startswith("[["), counts)
            found.setdefault(table, number)
            found.setdefault(indexed, number)
        elif key := _KEY.match(line):
            name = _bare(key[1])
            found.setdefault(f"{table}.{name}" if table else name, number)
            found.setdefault(f"{indexed}.{name}" if indexed else name, number)
        closing = _opened(rest)
    return found


def _indexed(table: str, is_list: bool, counts: dict[str, int]) -> str:
    """Return the name of a table with the number of each list of tables on the way to it."""
    place = ""
    steps = table.split(".")
    for i, step in enumerate(steps):
        place = f"{place}.{step}" if place else step
        if is_list and i == len(steps) - 1:
            counts[place] = counts.get(place, 0) + 1
        if place in counts:
            place += f"[{counts[place]}]"
    return place


def _bare(key: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in key.split("."))


def _opened(line: str) -> str:
    """Return the quotation marks that a line opens and leaves open."""
    for marks in ('"""', "'''"):
        if line.count(marks) % 2:
            return marks
    return ""
