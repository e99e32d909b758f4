"""Commented starts of one's own scenario files, written where they belong."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from probebook.files import write_all
from probebook.workbook.starts import STARTS, new_files, new_folder

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["FOLDER", "KINDS", "start"]

FOLDER = "folder"
#: What can be started.
KINDS = (FOLDER, *STARTS)


def start(kind: str, name: str, library: Library, *, appliance: str = "", here: Path | None = None) -> list[Path]:
    """Write a commented start that passes ``probebook check`` and builds as it stands; return the files written.

    Parameters
    ----------
    kind
        One of :data:`KINDS`.
    name
        What it is called: small letters, digits and hyphens.
    library
        The trade; for all but a folder, that of a folder of one's own.
    appliance
        What a fault or a workbook is about; the only own appliance where none is named.
    here
        Where a folder is made; the current folder when None.

    Raises
    ------
    UsageError
        The name cannot be used or is taken, the folder is nobody's own, or a file cannot be written.
    """
    if kind == FOLDER:
        files = new_folder(name, here or Path(), library.folder)
    else:
        files = new_files(kind, name, library, appliance)
    write_all(files)
    return list(files)
