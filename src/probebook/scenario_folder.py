"""Which folder of scenario files is in force, and whether it is the one that a workbook was built from.

A build notes the fingerprint of its scenarios in every answer key. Whoever opens the workbook later, in whatever
folder, takes the scenarios that have this fingerprint, so that what is asked and what is measured come from one source;
where none has, that is said, and nothing is measured.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from probebook.errors import ScenarioError, UsageError
from probebook.scenario_layers import MARKER, is_scenarios, layers, own_files, packaged

__all__ = [
    "DIGITS",
    "ENVIRONMENT",
    "PLACE",
    "fingerprint",
    "folder_of_build",
    "here_or_packaged",
    "note_of_place",
    "scenarios_dir",
]

#: Names a folder of scenario files for every command and every kernel started from here.
ENVIRONMENT = "PROBEBOOK_SCENARIOS"
#: Beside the answer keys: where their scenarios lie, when that is neither beside them nor in the package.
PLACE = "scenarios-folder.txt"
#: Hexadecimal digits of a fingerprint.
DIGITS = 16


def scenarios_dir(explicit: Path | None = None) -> Path:
    """Return the folder of scenario files.

    The first that is one: ``explicit``; the one named by the environment variable PROBEBOOK_SCENARIOS; ``./scenarios``;
    somebody's own (:mod:`probebook.scenario_layers`) in this folder or one above it; the copy inside an installed
    package; ``scenarios/`` of the source tree.

    Raises
    ------
    UsageError
        ``explicit`` or the folder named by the environment is none, or none was found.
    ScenarioError
        What makes it somebody's own is bad.
    """
    named = explicit if explicit is not None else _named_by_environment()
    if named is not None:
        if not is_scenarios(Path(named)):
            raise UsageError(
                "this folder holds no appliances/ folder",
                where=str(named) if explicit is not None else f"{ENVIRONMENT}={named}",
                remedy="name a scenarios folder, such as the one Probebook came with, or make your own with "
                "'probebook new folder NAME'",
            )
        layers(Path(named))
        return Path(named)
    for candidate in (Path.cwd() / "scenarios", *_above(Path.cwd()), *packaged()):
        if is_scenarios(candidate):
            layers(candidate)
            return candidate
    raise UsageError(
        "no scenarios folder was found",
        remedy="run in a folder that holds scenarios/, or install Probebook again",
    )


def here_or_packaged(folder: Path) -> Path:
    """The folder, or where this machine has none of that name, the one that came with its Probebook.

    For jobs done on other machines; that both hold the same is for the caller to see, by :func:`fingerprint`.
    """
    return folder if is_scenarios(folder) else next((each for each in packaged() if is_scenarios(each)), folder)


def fingerprint(folder: Path) -> str:
    """Sixteen hexadecimal digits that stand for every scenario file in a folder and in what it lies over.

    Names and content count, line ends do not, nor what somebody calls a folder of their own.
    """
    found = hashlib.sha256()
    for number, layer in enumerate(reversed(layers(folder))):
        found.update(b"\0over\0" if number else b"")
        for path in own_files(layer):
            name = path.relative_to(layer).as_posix()
            content = path.read_bytes().replace(b"\r\n", b"\n")
            found.update(f"{name}\0{len(content)}\0".encode())
            found.update(content)
    return found.hexdigest()[:DIGITS]


def note_of_place(scenarios: Path, out: Path) -> str:
    """What a build into ``out`` has to note of where its scenarios lie: nothing where they are found without."""
    places = (out / "scenarios", *_above(out), *packaged())
    if any(_same(scenarios, place) for place in places):
        return ""
    return f"{scenarios.resolve()}\n"


def folder_of_build(wanted: str, keys: Path) -> Path:
    """Return the scenarios that a workbook was built from.

    Parameters
    ----------
    wanted
        The fingerprint in its answer key.
    keys
        Folder of the answer key.

    Raises
    ------
    UsageError
        No folder that could be meant holds these scenarios.
    """
    for folder in _candidates(keys):
        with suppress(ScenarioError):  # somebody's own whose marker is bad
            if is_scenarios(folder) and fingerprint(folder.resolve()) == wanted:
                return folder
    raise UsageError(
        "the scenario files are not those this workbook was built from",
        where=str(keys.parent),
        remedy=f"run 'probebook build' again, or name their folder in {ENVIRONMENT}",
    )


def _candidates(keys: Path) -> Iterator[Path]:
    if named := _named_by_environment():
        yield named
    with suppress(OSError, ValueError):  # no note, or one that somebody has edited
        yield Path((keys / PLACE).read_text(encoding="utf-8").strip())
    yield from (keys.parent / "scenarios", keys / "scenarios", Path.cwd() / "scenarios")
    yield from (*_above(keys), *_above(Path.cwd()), *packaged())


def _above(place: Path) -> Iterator[Path]:
    """Somebody's own folders of scenario files, in a folder or in one above it, the nearest first."""
    here = place.resolve()
    for folder in (here, *here.parents):
        yield from (each for each in (folder, folder / "scenarios") if (each / MARKER).is_file())


def _named_by_environment() -> Path | None:
    named = os.environ.get(ENVIRONMENT, "")
    return Path(named) if named else None


def _same(one: Path, other: Path) -> bool:
    return one.resolve() == other.resolve()
