"""Workbooks and benches as a static folder: files made, and put in place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["write_site"]


def write_site(
    folder: Path, library: Library, *, seed: str, benches: int, done: Callable[[str], object] | None = None
) -> int:
    """Write owner workbooks and benches as plain pages into a folder; return how many pages there are.

    Parameters
    ----------
    folder
        Made where it is missing; one that an earlier call wrote is replaced, any other must be empty.
    library
        The trade, its language and its region.
    seed
        Names the cases of the benches: the same seed gives the same bytes.
    benches
        How many benches.
    done
        Called with the name of each page's matter when it is made.

    Raises
    ------
    UsageError
        The folder holds something else, or cannot be written.
    ScenarioError
        A plan or a case cannot be built.
    """
    from probebook.site.folder import put, site_files

    files = site_files(library, seed=seed, benches=benches, done=done)
    put(files, folder)
    return sum(name.endswith(".html") for name in files)
