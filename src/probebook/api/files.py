"""Scenario files checked and appliances shown, for whoever writes them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from probebook.appliances.checking import check_appliance
from probebook.files import fits_sockets, scratch
from probebook.page.opening import RETURNED
from probebook.scenario_layers import file_in, has_tables
from probebook.workbook import filecheck

if TYPE_CHECKING:
    from probebook.appliances import Appliance
    from probebook.appliances.checking import Finding
    from probebook.cases.library import Library
    from probebook.workbook.build.kept import Kept

__all__ = ["RETURNED", "check_file", "fits_sockets", "preview_page", "scenario_files", "scratch"]


def scenario_files(library: Library) -> list[Path]:
    """Return every text file of a library, in order.

    Examples
    --------
    >>> from probebook import load_library, scenario_files
    >>> "alloys.toml" in [path.name for path in scenario_files(load_library())]
    True
    """
    return filecheck.scenario_files(library.folder)


def check_file(path: Path, library: Library, *, kept: Kept | None = None) -> list[Finding]:
    """Check a scenario file as strictly as a build reads it, and an appliance as a fitter would look at it.

    What the file is follows from its folder and name; one that stands elsewhere is taken for an appliance.

    Parameters
    ----------
    path
        An appliance, a meter, a plan, a region, a file of sentences, ...
    library
        The trade whose tables and region an appliance is looked at with.
    kept
        What builds made earlier (:func:`probebook.api.workbooks.kept_builds`): a plan of theirs is not compiled again.

    Returns
    -------
    list of Finding
        Gravest first; each names file, line and key, what is wrong, and the remedy.

    Raises
    ------
    UsageError
        There is no such file, or it is not a text file of the trade.

    Examples
    --------
    >>> from probebook import check_file, load_library
    >>> library = load_library()
    >>> check_file(library.folder / "appliances" / "kettle.toml", library)
    []
    """

    def plan(path: Path, library: Library) -> object:
        """A plan that was built before compiles."""
        from probebook.workbook.build.files import built
        from probebook.workbook.build.plan import load_plan

        return built(load_plan(path, library.words), library, kept)

    above = {"blueprints": _blueprint}
    return filecheck.check_file(Path(path), library, above if kept is None else {**above, "workbooks": plan})


def _blueprint(path: Path, library: Library) -> object:
    """Read a blueprint, and draw a paper of it."""
    from probebook.assessment.setting.blueprints import load_blueprint
    from probebook.assessment.setting.papers import check_blueprint

    blueprint = load_blueprint(path, library)
    check_blueprint(blueprint, library)
    return blueprint


def preview_page(appliance: Appliance, library: Library, path: Path | None = None) -> str:
    """Return one page that shows an appliance: drawings, plate, parts, healthy readings, faults.

    Parameters
    ----------
    appliance, library
        What to show; the page is in the language of the library.
    path
        Its file, to show what checking finds in it; that of the library when None.

    Returns
    -------
    str
        One HTML file for screen and print that asks for nothing.

    Examples
    --------
    >>> from probebook import load_appliance, load_library, preview_page
    >>> library = load_library()
    >>> preview_page(load_appliance("kettle", library), library).startswith("<!DOCTYPE html>")
    True
    """
    from probebook.workbook.preview import preview

    path = path or file_in(library.folder, f"appliances/{appliance.id}.toml")
    own = has_tables(path)
    findings = check_appliance(path, scenarios=None if own else library.folder, region=library.region)
    return preview(appliance, library, findings)
