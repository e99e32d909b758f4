"""Commented starts of one's own scenario files: a folder, an appliance, a fault, a slip, a workbook.

Each start is whole: it passes ``probebook check`` and builds as it stands, to be changed from there. What stands in a
start lies in ``text/en/starts``; here it is given its names and its place.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import UsageError, choose_one
from probebook.scenario_layers import MARKER, file_in, joined_files, own_folder
from probebook.textfiles import file_text
from probebook.workbook.build.plan import PLANS, load_plans

if TYPE_CHECKING:
    from probebook.appliances import Appliance
    from probebook.cases.library import Library

__all__ = ["STARTS", "new_files", "new_folder"]

#: Names that ids and files may have on every system.
NAME = re.compile(r"[a-z][a-z0-9-]{0,39}")
DEVICES = re.compile(r"con|prn|aux|nul|(?:com|lpt)[0-9]")


def new_folder(name: str, here: Path, trade: Path) -> dict[Path, str]:
    """The files of a folder of one's own: path → text; nothing is written.

    Parameters
    ----------
    name
        Of the folder, made in ``here``.
    here, trade
        Where it is made, and a folder of scenario files that has the starts.

    Raises
    ------
    UsageError
        The name cannot be used, or something of that name is there.
    """
    _fit_name(name)
    target = here / name
    if target.exists():
        raise UsageError(f"there is something called '{name}' here already", where=str(here), remedy="choose another")
    return {target / "scenarios" / MARKER: _start(trade, "folder", {"NAME": name})}


def new_files(kind: str, name: str, library: Library, appliance: str = "") -> dict[Path, str]:
    """The files that a start of a kind writes into the library's folder: path → text; nothing is written.

    Parameters
    ----------
    kind
        One of :data:`STARTS`.
    name
        The id of what is started.
    library
        The trade, whose folder has to be somebody's own.
    appliance
        What a fault or a workbook is about; the only own appliance where none is named.

    Raises
    ------
    UsageError
        The folder is nobody's own, the name cannot be used or is taken, or it is not said which appliance is meant.
    """
    _fit_name(name)
    if own_folder(library.folder) is None:
        raise UsageError(
            "this folder of scenario files is not your own",
            where=str(library.folder),
            remedy="run 'probebook new folder NAME', go into that folder, and try again",
        )
    return STARTS[kind](name, library, appliance)


def _fit_name(name: str) -> None:
    if NAME.fullmatch(name) and not DEVICES.fullmatch(name):
        return
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-0123456789")[:40].strip("-")
    fits = bool(NAME.fullmatch(plain)) and not DEVICES.fullmatch(plain)
    raise UsageError(
        f"'{name[:60]}' cannot be a name",
        remedy=f"write '{plain}'" if fits else "write small letters, digits and hyphens, a letter first",
    )


def _start(folder: Path, name: str, holes: Mapping[str, str]) -> str:
    text = file_text(file_in(folder, f"text/en/starts/{name}.txt"))
    for hole, value in holes.items():
        text = text.replace(f"@{hole}@", value)
    return text


def _title(name: str) -> str:
    words = name.replace("-", " ")
    return words[:1].upper() + words[1:]


def _free(name: str, taken: Iterable[str], what: str) -> None:
    if name in taken:
        raise UsageError(f"there is {what} '{name}' already", remedy="choose another name")


def _added(path: Path, text: str) -> str:
    """A file of one's own with a start at its end; the start alone where there is none yet."""
    before = file_text(path) if path.is_file() else ""
    return f"{before.rstrip()}\n\n{text}" if before.strip() else text


# ---------------------------------------------------------------- kinds


def _appliance(name: str, library: Library, _: str) -> dict[Path, str]:
    _free(name, library.appliance_ids, "an appliance")
    holes = {"NAME": name, "TITLE": name.replace("-", " ")}
    manner = library.folder / "text" / "en" / "kitchen.toml"
    return {
        library.folder / "appliances" / f"{name}.toml": _start(library.folder, "appliance", holes),
        manner: _added(manner, _start(library.folder, "manner", holes)),
    }


def _fault(name: str, library: Library, appliance: str) -> dict[Path, str]:
    found = _meant(library, appliance)
    _free(name, [fault.id for fault in found.faults], "a fault")
    path = library.folder / "appliances" / f"{found.id}.toml"
    text = _start(library.folder, "fault", {"NAME": name, "WIRE": _free_wire(found)})
    if not path.is_file():
        text = f"{_start(library.folder, 'joined', {})}\n{text}"
    return {path: _added(path, text)}


def _slip(name: str, library: Library, _: str) -> dict[Path, str]:
    _free(name, library.slips, "a slip")
    path = library.folder / "text" / "en" / "slips.toml"
    return {path: _added(path, _start(library.folder, "slip", {"NAME": name, "TITLE": name.replace("-", " ")}))}


def _workbook(name: str, library: Library, appliance: str) -> dict[Path, str]:
    path = library.folder / PLANS / f"{name}.toml"
    if joined_files(path):
        raise UsageError(f"there is a workbook '{name}' already", remedy="choose another name")
    found = _meant(library, appliance)
    number = max((plan.number for plan in load_plans(library.folder, library.words)), default=0) + 1
    holes = {
        "NAME": name,
        "TITLE": _title(name),
        "NUMBER": str(number),
        "APPLIANCE": found.id,
        "THING": library.words.noun(found.title).text,
    }
    return {path: _start(library.folder, "workbook", holes)}


def _meant(library: Library, appliance: str) -> Appliance:
    """The appliance of that id, or the only one in the folder."""
    if not appliance:
        own = sorted(path.stem for path in (library.folder / "appliances").glob("*.toml"))
        if len(own) != 1:
            raise UsageError(
                "it is not said which appliance this is about",
                remedy=f"add --appliance and one of {', '.join(own or library.appliance_ids)}",
            )
        appliance = own[0]
    elif appliance not in library.appliance_ids:
        raise UsageError(
            f"there is no appliance '{appliance}'",
            where="--appliance",
            remedy=choose_one(appliance, library.appliance_ids),
        )
    return library.appliance(appliance)


def _free_wire(appliance: Appliance) -> str:
    """A live wire that no fault sits on yet; the first live one where all have one."""
    live = [wire.mark for wire in appliance.wires if not wire.is_earth]
    taken = {fault.target for fault in appliance.faults}
    return next((mark for mark in live if mark not in taken), live[0])


#: What can be started in a folder of one's own, and what writes it.
STARTS: Mapping[str, Callable[[str, Library, str], dict[Path, str]]] = {
    "appliance": _appliance,
    "fault": _fault,
    "slip": _slip,
    "workbook": _workbook,
}
