"""What builds made before, kept outside of what is built, so that only what has changed is made again.

A workbook is named after everything it depends on: this package's code, the libraries and the Python beside it, all
scenario files but the plans of other workbooks, language, region, and its own plan. So nothing that is kept can be out
of date; where in doubt it is made again. Only the fingerprint of the whole scenarios folder is put in afresh, and what
that is hashed into. What is kept is text with its own hash: a file that was damaged counts as none.
"""

from __future__ import annotations

import hashlib
import json
import os
import platform
import sys
from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.errors import ProbebookError
from probebook.files import write_atomic
from probebook.scenario_folder import DIGITS
from probebook.scenario_layers import file_in, layers, own_files
from probebook.workbook.build.plan import PLANS, load_plan

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.workbook.build.plan import Plan

__all__ = ["ENVIRONMENT", "OFF", "Kept", "kept_builds"]

#: Names the folder, or says that there is none.
ENVIRONMENT = "PROBEBOOK_CACHE"
OFF = "off"
#: Format of what is kept.
FORMAT = 1
#: So many files at most, and none longer (bytes); the ones that were not used for longest go first.
MOST, LONGEST = 200, 32_000_000
#: Settings of the libraries that reckon: another one is another build, though it is to give the same bytes.
_SETTINGS = ("NPY_", "OPENBLAS_", "OMP_", "MKL_", "BLIS_", "PYTHONHASHSEED", "LC_", "LANG", "TZ")

#: What stands behind the questions in a key.
_END = "\n}\n"

Files = dict[str, str]


def kept_builds() -> Kept | None:
    """What is kept for this user; None where nothing may be, or where somebody else could write there."""
    named = os.environ.get(ENVIRONMENT, "")
    if named.lower() == OFF:
        return None
    try:
        base = Path(named) if named else Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "probebook"
        folder = base / "builds"
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        found = folder.stat()
    except (OSError, RuntimeError, ValueError):
        return None
    if os.name == "posix" and (found.st_uid != os.geteuid() or found.st_mode & 0o022):
        return None
    return Kept(folder)


class Kept:
    """Workbooks and answer keys of earlier builds.

    Parameters
    ----------
    folder
        Holds them, one file each.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._trades: dict[tuple[Path, str, str], str] = {}

    def find(self, plan: Plan, library: Library) -> Files | None:
        """The two files of a workbook as this build would make them; None where they have to be made."""
        path = self._path(plan, library)
        data = self._read(path)
        if data is None:
            return None
        old, new = (
            (data["build"], data["scenarios"]),
            (
                _build(plan, library, library.fingerprint, data["key"]),
                library.fingerprint,
            ),
        )
        with suppress(OSError):
            os.utime(path)
        return {
            f"workbooks/{plan.stem}.ipynb": _replaced(data["notebook"], old, new),
            f"answer_keys/{plan.stem}.json": _replaced(data["key"], old, new),
        }

    def keep(self, plan: Plan, library: Library, files: Mapping[str, str]) -> None:
        """Keep what was made; nothing is said where that cannot be done, or where a file was changed meanwhile."""
        path = self._path(plan, library)
        if Kept(self.folder)._path(plan, library) != path:
            return
        notebook, key = files[f"workbooks/{plan.stem}.ipynb"], files[f"answer_keys/{plan.stem}.json"]
        build = _build(plan, library, library.fingerprint, key)
        is_sound = (notebook.count(build), key.count(build), key.count(library.fingerprint)) == (1, 1, 1)
        if not is_sound or library.fingerprint in notebook:
            return
        self.write(path, build=build, scenarios=library.fingerprint, notebook=notebook, key=key)

    def found(self, name: str, library: Library) -> dict[str, Any] | None:
        """What was worked out from a whole folder of scenario files, by its name."""
        return self._read(self._whole(name, library))

    def work_out(self, name: str, library: Library, data: Mapping[str, Any]) -> None:
        """Keep what was worked out from a whole folder of scenario files, unless one was changed meanwhile."""
        if Kept(self.folder)._whole(name, library) != self._whole(name, library):
            return
        self.write(self._whole(name, library), **data)

    def write(self, path: Path, **data: Any) -> None:
        """Write plain data with their hash; leave no more files than may be kept."""
        text = json.dumps(data, ensure_ascii=False, sort_keys=True)
        with suppress(ProbebookError, OSError):
            write_atomic(path, f"{hashlib.sha256(text.encode()).hexdigest()}\n{text}")
            files = sorted(self.folder.glob("*.json"), key=lambda each: each.stat().st_mtime_ns, reverse=True)
            for old in files[MOST:]:
                old.unlink(missing_ok=True)

    def _read(self, path: Path) -> dict[str, Any] | None:
        try:
            if path.stat().st_size > LONGEST:
                return None
            digest, _, text = path.read_bytes().partition(b"\n")
            if hashlib.sha256(text).hexdigest().encode() != digest:
                return None
            found: dict[str, Any] = json.loads(text)
        except (OSError, ValueError):
            return None
        return found

    def _path(self, plan: Plan, library: Library) -> Path:
        before = [load_plan(file_in(library.folder, f"{PLANS}/{name}.toml"), library.words) for name in plan.after]
        return self._named(repr((self._trade(library), plan, before)))

    def _whole(self, name: str, library: Library) -> Path:
        return self._named(repr((self._trade(library), name, library.fingerprint)))

    def _named(self, depends_on: str) -> Path:
        return self.folder / f"{hashlib.sha256(depends_on.encode()).hexdigest()}.json"

    def _trade(self, library: Library) -> str:
        """The digest of what every workbook depends on."""
        which = (library.folder.resolve(), library.language, library.region.id)
        if which not in self._trades:
            found = hashlib.sha256(repr((FORMAT, _code(), _around(), which[1:])).encode())
            for layer in layers(which[0]):
                files = [path for path in own_files(layer) if path.relative_to(layer).parts[0] != PLANS]
                _take_in(found, layer, files)
            self._trades[which] = found.hexdigest()
        return self._trades[which]


def _build(plan: Plan, library: Library, scenarios: str, key: str) -> str:
    """The fingerprint of a build (:attr:`probebook.workbook.build.compiling.Compiled.fingerprint`) from its key."""
    _, _, questions = key.partition('\n "questions": ')
    names = "".join(f" {json.dumps(name, ensure_ascii=False)},\n" for name in (plan.stem, library.words.id, scenarios))
    made_of = f"[\n{names} {questions.removesuffix(_END)}\n]\n"
    return hashlib.sha256(made_of.encode()).hexdigest()[:DIGITS]


def _replaced(text: str, old: tuple[str, ...], new: tuple[str, ...]) -> str:
    for before, after in zip(old, new, strict=True):
        text = text.replace(f'"{before}"', f'"{after}"')
    return text


def _code() -> str:
    """The digest of this package."""
    package = Path(__file__).resolve().parents[2]
    found = hashlib.sha256()
    _take_in(found, package, _files_of(package))
    return found.hexdigest()


def _files_of(package: Path) -> Iterator[Path]:
    for path in sorted(package.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".pyc":
            yield path


def _take_in(found: Any, folder: Path, files: Any) -> None:
    for path in files:
        content = path.read_bytes()
        found.update(f"\0{path.relative_to(folder).as_posix()}\0{len(content)}\0".encode())
        found.update(content)


@cache
def _around() -> str:
    """What this package runs on: Python, the libraries that are installed, the machine, settings."""
    installed = {
        path.name for place in sys.path if place and Path(place).is_dir() for path in Path(place).glob("*-info")
    }
    settings = {name: value for name, value in os.environ.items() if name.startswith(_SETTINGS)}
    return repr((sys.version, platform.uname()[:5], sorted(installed), sorted(settings.items())))
