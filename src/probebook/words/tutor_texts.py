"""Templates that stand in files of tutors beside other things, such as procedures: found, and checked before use."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from probebook.errors import ScenarioError
from probebook.words.facts import Facts
from probebook.words.holes import fault_of_ways, holes_of
from probebook.words.language import Language
from probebook.words.words import ENGLISH, read_template

__all__ = ["check_template", "check_templates"]


def check_templates(kind: type[Facts], row: Mapping[str, Any], keys: Collection[str], where: str) -> None:
    """Refuse a row of a file, tables inside it included, that holds a template which cannot be said.

    Parameters
    ----------
    kind
        The facts that its templates are told.
    row
        The row, as data.
    keys
        Keys whose texts are templates.
    where
        Place of the row, for errors.

    Raises
    ------
    ScenarioError
        As for :func:`check_template`.
    """
    for place, template in _templates(row, keys):
        check_template(kind, template, f"{where}{place}")


def _templates(data: Mapping[str, Any], keys: Collection[str], before: str = "") -> Iterator[tuple[str, str]]:
    """Yield (place, text) in order: ``way[1].here``."""
    for key, value in data.items():
        if isinstance(value, str):
            if key in keys and value:
                yield f"{before}{key}", value
        elif isinstance(value, list | tuple):
            for number, row in enumerate(value, 1):
                if isinstance(row, Mapping):
                    yield from _templates(row, keys, f"{before}{key}[{number}].")


def check_template(kind: type[Facts], template: str, where: str) -> None:
    """Refuse a template that cannot be said of facts of a kind.

    Raises
    ------
    ScenarioError
        It is broken, names a fact or a way that there is not, or says a fact in a way that does not suit it; file and
        key are named.
    """
    holes = holes_of(kind)
    for segment in read_template(template, where):
        if isinstance(segment, str):
            continue
        name, *ways = segment
        if name not in holes:
            known = f"the facts are {', '.join(holes) or 'none'}"
            raise ScenarioError(f"there is no fact '{name}' in this sentence", where=where, remedy=known)
        fault = fault_of_ways(name, holes[name], ways, Language(ENGLISH))
        if fault:
            raise ScenarioError(fault[0], where=where, remedy=fault[1])
