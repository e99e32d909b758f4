"""A language's file laid over a scenario file: tables merged, rows of lists found by what names them, or by place."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from probebook.errors import ScenarioError

__all__ = ["laid_over", "overlay_name"]

#: Keys that name a row of a list of tables, the first that a row has.
NAMES = ("id", "mark", "name", "key", "code")


def overlay_name(path: Path) -> str:
    """Return a language's file as errors name it: ``text/pl/appliances/kettle.toml``."""
    parts = path.parts
    last = max((i for i, part in enumerate(parts) if part == "text"), default=len(parts) - 1)
    return "/".join(parts[last:])


def laid_over(base: Mapping[str, Any], over: Mapping[str, Any], where: str) -> dict[str, Any]:
    """Return the data of a scenario file with that of a language laid over it.

    Parameters
    ----------
    base, over
        Tables of the two files.
    where
        The language's file, for errors.

    Raises
    ------
    ScenarioError
        The language has a row or a kind of value that the file has not.
    """
    found = dict(base)
    for key, value in over.items():
        found[key] = _value(base[key], value, f"{where}: {key}") if key in base else value
    return found


def _value(base: Any, over: Any, where: str) -> Any:
    if isinstance(base, Mapping) and isinstance(over, Mapping):
        return laid_over(base, over, where)
    if isinstance(base, list) and isinstance(over, list):
        if all(isinstance(row, Mapping) for row in (*base, *over)):
            return _rows(base, over, where)
        return over
    if type(base) is not type(over):
        raise ScenarioError("the file that this is laid over has another kind of value here", where=where)
    return over


def _rows(base: list[Any], over: list[Any], where: str) -> list[Any]:
    found = list(base)
    nameless = not any(name in row for row in base for name in NAMES)
    if nameless and len(over) > len(base):
        raise ScenarioError("the file that this is laid over has fewer rows here", where=f"{where}[{len(base) + 1}]")
    for number, row in enumerate(over, 1):
        if nameless:
            found[number - 1] = laid_over(base[number - 1], row, f"{where}[{number}]")
            continue
        key = next((name for name in NAMES if name in row), None)
        if key is None:
            raise ScenarioError(
                "nothing says which row this is", where=f"{where}[{number}]", remedy=f"give its {NAMES[0]}, as the file"
            )
        place = next((i for i, old in enumerate(base) if old.get(key) == row[key]), None)
        if place is None:
            raise ScenarioError(
                f"the file that this is laid over has no row whose {key} is '{row[key]}'", where=f"{where}[{number}]"
            )
        found[place] = laid_over(base[place], row, f"{where}[{number}]")
    return found
