"""Scenario files looked over beside each other: what each refers to is there, and what each is for is said.

A file that can be read by itself may still be of no use: an appliance whose heat cannot be reckoned or of which nobody
knows how people speak, a slip that no question ever meets.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.appliances import load_appliance
from probebook.appliances.checks.findings import Finding, Severity
from probebook.cases.kitchen import FILE as KITCHEN
from probebook.cases.kitchen import kitchen
from probebook.errors import choose_one
from probebook.heating.checking import wrong_heat
from probebook.textfiles import file_text, parse_toml

if TYPE_CHECKING:
    from probebook.cases.library import Library, SlipNote

__all__ = ["LOOKS", "look_over_appliance"]

SLIPS = "slips.toml"


def look_over_appliance(path: Path, library: Library) -> Iterator[Finding]:
    """An appliance whose heat cannot be reckoned, or whose people have no way of speaking of it."""
    appliance = load_appliance(path, library.words, scenarios=library.folder, region=library.region)
    for error in wrong_heat(appliance):
        yield Finding(Severity.ERROR, f"{path.name}: {error.where}", error.message, error.remedy or "")
    folder = path.resolve().parent.parent
    if folder != library.folder.resolve() or appliance.id in kitchen(library.folder, library.words).manners:
        return
    yield Finding(
        Severity.WARNING,
        f"{path.name}: id",
        f"{KITCHEN} does not say how people speak of it, so that no case can be made",
        f'add an [[appliance]] with id = "{appliance.id}" to text/en/{KITCHEN}',
    )


def _slips(path: Path, library: Library) -> Iterator[Finding]:
    """A slip on a form or path that there is not, of a competence that there is not, or that nobody ever meets."""
    from probebook.learning.coverage import load_competences
    from probebook.questions.power.slips.element import DECLARED

    competences = {row.id for row in load_competences(library.folder, library.words)}
    own = len(parse_toml(file_text(path), path.name).get("slip", []))
    for number, note in enumerate(list(library.slips.values())[:own], 1):
        where = f"{SLIPS}: slip[{number}]"
        for form, wrong_path in note.on:
            if form not in DECLARED:
                yield _error(f"{where}.on", f"no form '{form}' takes a slip from this file", choose_one(form, DECLARED))
            elif wrong_path not in DECLARED[form]:
                message = f"the form '{form}' knows no wrong path '{wrong_path}'"
                yield _error(f"{where}.on", message, choose_one(wrong_path, DECLARED[form]))
        for name in note.competences:
            if name not in competences:
                yield _error(f"{where}.competences", f"there is no competence '{name}'", choose_one(name, competences))
        if not note.on and not _is_met(note, library):
            yield Finding(
                Severity.WARNING,
                where,
                f"no question ever meets the slip '{note.id}'",
                'write for example on = [{ form = "power/watts", path = "doubled" }]',
            )


def _is_met(note: SlipNote, library: Library) -> bool:
    """Whether a slip is named in the code of a question, or in a text of questions."""
    from probebook.questions.knowhow_file import load_items
    from probebook.questions.procedure_files import load_procedures, load_situations

    ways = [way.slip for item in load_items(library.folder, library.words) for way in item.ways]
    choices = [choice.slip for row in load_situations(library.folder, library.words) for choice in row.choices]
    pairs = [pair.slip for row in load_procedures(library.folder, library.words) for pair in row.wrong]
    return note.id in {*ways, *choices, *pairs} or f'"{note.id}"' in _code()


@cache
def _code() -> str:
    package = Path(__file__).resolve().parents[1]
    folders = (package / "questions", package / "bench")
    return "\n".join(path.read_text("utf-8") for folder in folders for path in sorted(folder.rglob("*.py")))


def _kitchen(path: Path, library: Library) -> Iterator[Finding]:
    """A manner of speaking of an appliance that there is not, or of positions that it has not."""
    rows = parse_toml(file_text(path), path.name).get("appliance", [])
    manners = kitchen(library.folder, library.words).manners
    for number, row in enumerate(rows, 1):
        where, manner = f"{KITCHEN}: appliance[{number}]", manners[row["id"]]
        if row["id"] not in library.appliance_ids:
            message = f"there is no appliance '{row['id']}'"
            yield _error(f"{where}.id", message, choose_one(row["id"], library.appliance_ids))
            continue
        positions = [position.name for position in library.appliance(row["id"]).positions]
        for key, names in (("usual", [manner.usual]), ("leads", manner.leads)):
            for name in names:
                if name not in positions:
                    message = f"the {row['id']} has no position '{name}'"
                    yield _error(f"{where}.{key}", message, choose_one(name, positions))


def _error(where: str, message: str, remedy: str) -> Finding:
    return Finding(Severity.ERROR, where, message, remedy)


#: Files that are looked over beside the others, by name.
LOOKS: Mapping[str, Callable[[Path, Library], Iterator[Finding]]] = {SLIPS: _slips, KITCHEN: _kitchen}
