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

from probebook.errors import UsageError

__all__ = ["DIGITS", "ENVIRONMENT", "PLACE", "fingerprint", "folder_of_build", "note_of_place", "scenarios_dir"]

#: Names a folder of scenario files for every command and every kernel started from here.
ENVIRONMENT = "PROBEBOOK_SCENARIOS"
#: Beside the answer keys: where their scenarios lie, when that is neither beside them nor in the package.
PLACE = "scenarios-folder.txt"
#: Hexadecimal digits of a fingerprint.
DIGITS = 16


def scenarios_dir(explicit: Path | None = None) -> Path:
    """Return the folder of scenario files.

    The first that holds ``appliances/``: ``explicit``; the one named by the environment variable PROBEBOOK_SCENARIOS;
    ``./scenarios``; the copy inside an installed package; ``scenarios/`` of the source tree.

    Raises
    ------
    UsageError
        ``explicit`` or the folder named by the environment does not hold ``appliances/``, or no folder was found.
    """
    named = explicit if explicit is not None else _named_by_environment()
    if named is not None:
        if not _is_scenarios(Path(named)):
            raise UsageError(
                "this folder holds no appliances/ folder",
                where=str(named) if explicit is not None else f"{ENVIRONMENT}={named}",
                remedy="name a scenarios folder, such as the one Probebook came with",
            )
        return Path(named)
    for candidate in (Path.cwd() / "scenarios", *_packaged()):
        if _is_scenarios(candidate):
            return candidate
    raise UsageError(
        "no scenarios folder was found",
        remedy="run in a folder that holds scenarios/, or install Probebook again",
    )


def fingerprint(folder: Path) -> str:
    """Sixteen hexadecimal digits that stand for every scenario file in a folder: names and content, not line ends."""
    found = hashlib.sha256()
    for path in sorted(folder.rglob("*.toml"), key=lambda each: each.relative_to(folder).as_posix()):
        name = path.relative_to(folder).as_posix()
        content = path.read_bytes().replace(b"\r\n", b"\n")
        found.update(f"{name}\0{len(content)}\0".encode())
        found.update(content)
    return found.hexdigest()[:DIGITS]


def note_of_place(scenarios: Path, out: Path) -> str:
    """What a build into ``out`` has to note of where its scenarios lie: nothing where they are found without."""
    places = (out / "scenarios", *_packaged())
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
        if _is_scenarios(folder) and fingerprint(folder.resolve()) == wanted:
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
    yield from (keys.parent / "scenarios", keys / "scenarios", Path.cwd() / "scenarios", *_packaged())


def _named_by_environment() -> Path | None:
    named = os.environ.get(ENVIRONMENT, "")
    return Path(named) if named else None


def _packaged() -> tuple[Path, Path]:
    package = Path(__file__).resolve().parent
    return package / "_scenarios", package.parents[1] / "scenarios"


def _is_scenarios(folder: Path) -> bool:
    return (folder / "appliances").is_dir()


def _same(one: Path, other: Path) -> bool:
    return one.resolve() == other.resolve()
