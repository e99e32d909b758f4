"""A tutor's own folder of scenario files, laid over another one by id.

A folder that holds a file ``probebook.toml`` is somebody's own: it holds what is different from its base, which is the
trade that came with the package unless the file names another folder. A file of its own in ``appliances/``,
``meters/``, ``workbooks/`` ... stands for the one of that name in the base; of a file that is a list (``slips.toml``,
``kitchen.toml`` ...) it holds the rows it adds or changes, of a file of sentences the sentences it changes. Nothing of
the base is copied, so that an own folder has what a newer package brings.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.errors import ScenarioError, choose_one
from probebook.textfiles import Translation, file_text, load_data, parse_toml
from probebook.textoverlays import NAMES

if TYPE_CHECKING:
    from typing import TypeVar

    from pydantic import BaseModel

    M = TypeVar("M", bound=BaseModel)

__all__ = [
    "ALL",
    "MARKER",
    "OWN",
    "OwnFolder",
    "file_in",
    "files_in",
    "has_tables",
    "home_of",
    "is_scenarios",
    "joined_data",
    "joined_files",
    "languages_in",
    "layers",
    "load_joined",
    "own_files",
    "own_folder",
    "packaged",
    "whole_data",
]

#: The file that makes a folder somebody's own.
MARKER = "probebook.toml"
#: What the marker's ``base`` says of the trade that came with the package.
PACKAGE = "package"
#: What its ``workbooks`` may say: build those of this folder, or those of the base as well.
OWN, ALL = "own", "all"
#: An own folder over an own folder over ... this many at most.
MOST_LAYERS = 8
_KEYS = ("name", "base", "workbooks")

Rows = Sequence[Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class OwnFolder:
    """What the marker of an own folder says.

    Attributes
    ----------
    name
        What its tutor calls it.
    base
        The folder that it lies over.
    workbooks
        Which are built: ``own``, or ``all``.
    """

    name: str
    base: Path
    workbooks: str


def packaged() -> tuple[Path, Path]:
    """Where the trade that came with the package may lie: in an installed package, in a source tree."""
    package = Path(__file__).resolve().parent
    return package / "_scenarios", package.parents[1] / "scenarios"


def is_scenarios(folder: Path) -> bool:
    """Whether a folder is one of scenario files: a whole one, or somebody's own."""
    try:
        return (folder / "appliances").is_dir() or (folder / MARKER).is_file()
    except (OSError, ValueError):  # no system has a folder of such a name
        return False


def own_folder(folder: Path) -> OwnFolder | None:
    """What the marker of a folder says; None where there is none.

    Raises
    ------
    ScenarioError
        The marker is bad, or names a base that is no folder of scenario files.
    """
    path = Path(folder) / MARKER
    try:
        stamp = path.stat().st_mtime_ns
    except (OSError, ValueError):
        return None
    return _own_folder(path, stamp)


@lru_cache(maxsize=32)
def _own_folder(path: Path, stamp: int) -> OwnFolder:
    del stamp
    data = parse_toml(file_text(path), MARKER)
    for key, value in data.items():
        if key not in _KEYS:
            raise ScenarioError("this key is not known here", where=f"{MARKER}: {key}", remedy=choose_one(key, _KEYS))
        if not isinstance(value, str) or not value.strip():
            raise ScenarioError("this is no text", where=f"{MARKER}: {key}", remedy="write it in quotation marks")
    workbooks = data.get("workbooks", OWN)
    if workbooks not in (OWN, ALL):
        raise ScenarioError(
            f'"{workbooks}" is not one of the choices', where=f"{MARKER}: workbooks", remedy=f'write "{OWN}" or "{ALL}"'
        )
    return OwnFolder(data.get("name", path.parent.name), _base(path, data.get("base", PACKAGE)), workbooks)


def _base(path: Path, named: str) -> Path:
    if named == PACKAGE:
        places: Sequence[Path] = packaged()
    else:
        places = (path.parent / named,)
    for place in places:
        if is_scenarios(place):
            return place
    raise ScenarioError(
        f'there are no scenario files in "{named}"',
        where=f"{MARKER}: base",
        remedy=f'write base = "{PACKAGE}", or the path of a scenarios folder as seen from here',
    )


def layers(folder: Path) -> tuple[Path, ...]:
    """The folders that a folder of scenario files is made of: itself first, what it lies over after it.

    Raises
    ------
    ScenarioError
        A marker is bad, or the folders lie over each other in a circle.
    """
    found = [Path(folder)]
    while (own := own_folder(found[-1])) is not None:
        found.append(own.base)
        if len(found) > MOST_LAYERS:
            raise ScenarioError(
                "the folders lie over each other without end",
                where=f"{found[0] / MARKER}: base",
                remedy=f'write base = "{PACKAGE}"',
            )
    return tuple(found)


def file_in(folder: Path, name: str) -> Path:
    """The file of that name (relative, with slashes): one's own, else that of the base, else where one's own goes."""
    found = [layer / name for layer in layers(folder)]
    return next((path for path in found if path.is_file()), found[0])


def files_in(folder: Path, name: str) -> list[Path]:
    """The files in a part of the folder (``appliances`` ...), in order of name, own ones over those of the base."""
    found: dict[str, Path] = {}
    for layer in layers(folder):
        for path in (layer / name).glob("*.toml"):
            found.setdefault(path.name, path)
    return [found[key] for key in sorted(found)]


def has_tables(path: Path) -> bool:
    """Whether the folder that an appliance's file lies in, or what that lies over, has the tables to read it with."""
    return file_in(path.resolve().parent.parent, "alloys.toml").is_file()


def own_files(folder: Path) -> list[Path]:
    """Every scenario file in a folder itself, in order of name; what makes it somebody's own is none."""
    found = (path for path in folder.rglob("*.toml") if path != folder / MARKER)
    return sorted(found, key=lambda each: each.relative_to(folder).as_posix())


def languages_in(folder: Path) -> list[str]:
    """The languages that a folder of scenario files has sentences in, in order of name."""
    return sorted({path.parent.name for layer in layers(folder) for path in (layer / "text").glob("*/language.toml")})


def home_of(path: Path) -> Path:
    """The scenarios folder that a file lies in: the nearest that is one, or else the one above its own folder."""
    folders = Path(path).resolve().parents
    return next((folder for folder in folders if is_scenarios(folder)), folders[min(1, len(folders) - 1)])


def joined_data(path: Path, where: str = "") -> dict[str, Any]:
    """The tables of a file that is a list or a file of figures, with an own folder's rows joined to those of the base.

    Parameters
    ----------
    path
        The file in the folder that is in force; it need not be there where the base has it.
    where
        What errors call it; by its name where empty.

    Raises
    ------
    ScenarioError
        There is none, or one cannot be read.
    """
    there = joined_files(path) or [Path(path)]
    found = parse_toml(file_text(there[-1]), where or there[-1].name)
    for over in reversed(there[:-1]):
        found = _joined(found, parse_toml(file_text(over), where or over.name))
    return found


def joined_files(path: Path) -> list[Path]:
    """The files that are joined in one: that of the folder in force, then those of what it lies over."""
    home = next((folder for folder in Path(path).parents if (folder / MARKER).is_file()), None)
    if home is None:
        return [Path(path)] if Path(path).is_file() else []
    name = Path(path).relative_to(home)
    return [layer / name for layer in layers(home) if (layer / name).is_file()]


def whole_data(path: Path) -> dict[str, Any]:
    """The tables of a file that stands for that of the base; with ``joined = true`` in it, rows added to those.

    Raises
    ------
    ScenarioError
        There is no such file, it cannot be read, or there is nothing of its name to join.
    """
    data = parse_toml(file_text(path), Path(path).name)
    if data.get("joined") is not True:
        return data
    there = joined_files(path)
    if len(there) < 2:
        raise ScenarioError(
            "there is nothing of this name that it could be joined to",
            where=f"{Path(path).name}: joined",
            remedy="take the line out, or name the file after one of what this folder lies over",
        )
    return _joined(whole_data(there[1]), data, _in_place)


def _joined(
    base: Mapping[str, Any], own: Mapping[str, Any], rows: Callable[[Rows, Rows], Rows] | None = None
) -> dict[str, Any]:
    """Tables key by key, rows of lists by what names them; anything else of one's own takes the place of the base's.

    ``rows`` joins two lists, own rows first unless given.
    """
    found = dict(base)
    for key, value in own.items():
        before = base.get(key)
        if before is None:
            found[key] = value
        elif isinstance(before, Mapping) and isinstance(value, Mapping):
            found[key] = _joined(before, value, rows)
        elif _is_rows(before) and _is_rows(value):
            found[key] = (rows or _own_first)(before, value)
        else:
            found[key] = value
    return found


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(row, Mapping) for row in value)


def _in_place(base: Rows, own: Rows) -> Rows:
    """Rows in the order of the base, where order means something: own ones in place of theirs, then new ones."""
    new = {repr(_name_of(row)): row for row in own}
    kept = [new.pop(repr(_name_of(row)), row) for row in base]
    return [*kept, *new.values()]


def _own_first(base: Rows, own: Rows) -> Rows:
    """Own rows first, numbered as their file has them, so that what is wrong with one is placed where it stands."""
    taken = [_name_of(row) for row in own]
    return [*own, *(row for row in base if _name_of(row) not in taken)]


def _name_of(row: Mapping[str, Any]) -> object:
    """What a row goes by: its id or the like, or else all that it says in a word (of a phrase: who does what, how)."""
    name = next((name for name in NAMES if name in row), "")
    return (name, row[name]) if name else sorted(item for item in row.items() if isinstance(item[1], str)) or row


def load_joined(path: Path, model: type[M], words: Translation | None = None) -> M:
    """Read a list or figures of the folder in force, own rows and those of the base; as ``load_text`` otherwise."""
    return load_data(joined_data(path), Path(path), model, words)
