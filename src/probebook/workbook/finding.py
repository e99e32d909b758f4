"""Where the answer key of a workbook lies, and how a notebook is told of what is missing."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from probebook.errors import UsageError

__all__ = ["COMING", "NotebookError", "OtherScenariosError", "belongs", "find_sheet", "key_folder", "key_of"]

#: Ending of a key that has not taken its place yet: its notebook goes first, and is never without the key of its build.
COMING = ".coming"

#: A notebook larger than this (bytes) is not looked into; the largest of ours has 1.3 MB.
LONGEST_NOTEBOOK = 20_000_000


class NotebookError(UsageError):
    """An error that a notebook shows as its one sentence, without the traceback."""

    def _render_traceback_(self) -> list[str]:
        return [str(self)]


class OtherScenariosError(NotebookError):
    """The scenarios that a workbook was built from are not to be found: nothing can be measured on them."""


def key_folder(here: Path) -> Path:
    """The folder of answer keys that goes with a notebook's folder ``here``; ``here`` itself where there is none."""
    return next((place for place in _places(here) if place.is_dir()), here)


def _places(here: Path) -> tuple[Path, ...]:
    return here.parent / "answer_keys", here / "answer_keys", here


def find_sheet(name: str, here: Path) -> Path:
    """The answer key of a workbook, looked for round the folder ``here``; UsageError when there is none."""
    for place in _places(here):
        path = key_of(place / f"{name}.json", here / f"{name}.ipynb")
        if path.is_file():
            return path
    raise NotebookError(
        f"there is no answer key {name}.json near this notebook",
        where=str(here),
        remedy="put it into the folder answer_keys beside the notebook's own folder",
    )


def key_of(key: Path, notebook: Path) -> Path:
    """The file that holds the key of the build that a notebook is of: ``key``, or the one that is to take its place.

    A build that was killed while it put its files in place leaves both.
    """
    coming = key.with_name(f"{key.name}{COMING}")
    try:
        if not coming.is_file() or notebook.stat().st_size > LONGEST_NOTEBOOK:
            return key
        build = json.loads(notebook.read_bytes())["metadata"]["probebook"]["build"]
        return coming if json.loads(coming.read_bytes())["meta"]["build"] == build else key
    except (OSError, ValueError, RecursionError, LookupError, TypeError):
        return key


def belongs(meta: Mapping[str, Any], notebook: Path) -> None:
    """Make sure that a notebook and its answer key are of one build.

    A notebook that does not lie there, cannot be read or names no build is taken as it is: it may have been renamed.

    Parameters
    ----------
    meta
        What the answer key says of itself.
    notebook
        The file that the learner has before them.

    Raises
    ------
    NotebookError
        Each names a build, and they are not the same.
    """
    try:
        if not notebook.is_file() or notebook.stat().st_size > LONGEST_NOTEBOOK:
            return
        mark = json.loads(notebook.read_bytes())["metadata"]["probebook"]
        here, there = mark.get("build"), meta.get("build")
    except (OSError, ValueError, RecursionError, LookupError, TypeError, AttributeError):
        return
    if here and there and here != there:
        raise NotebookError(
            "this notebook and its answer key come from different builds, so nothing is marked",
            where=notebook.stem,
            remedy="run 'probebook build', or fetch notebook and answer key together, and open the notebook again",
        )
