"""The trade: a library of scenario files in a language and a region, and the appliances in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from probebook.appliances import Appliance
from probebook.appliances import load_appliance as read_appliance
from probebook.cases.library import library
from probebook.errors import UsageError
from probebook.regions import DEFAULT_REGION
from probebook.scenario_folder import scenarios_dir
from probebook.scenario_layers import has_tables, languages_in
from probebook.words.pseudo import PSEUDO
from probebook.words.words import ENGLISH

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["load_appliance", "load_library"]


def load_library(scenarios: Path | None = None, *, language: str = ENGLISH, region: str = DEFAULT_REGION) -> Library:
    """Return the library of a folder of scenario files; files are read once, when first needed.

    Parameters
    ----------
    scenarios
        The folder; ``./scenarios``, or else the files that came with the package, when None.
    language
        Language of every sentence: a folder in ``text/``, or ``qps`` for English with every word marked.
    region
        Country whose supply, rules, devices and words hold: a file in ``regions/``.

    Returns
    -------
    Library
        Appliances, meters, slips and outcomes by id, words, region and assumptions.

    Raises
    ------
    UsageError
        There is no such folder, language or region.

    Examples
    --------
    >>> from probebook import load_library
    >>> load_library().region.title
    'Great Britain'
    >>> load_library(region="au").region.supply.nominal
    230.0
    """
    folder = scenarios_dir(scenarios)
    known = languages_in(folder)
    if language not in (*known, ENGLISH, PSEUDO):
        raise UsageError(
            f"there is no language '{language}'",
            where=str(folder / "text"),
            remedy=f"choose one of {', '.join([*known, PSEUDO])}, or add a folder with a language.toml",
        )
    found = library(scenarios, region, language)
    _ = found.region  # an unknown region is refused before any work is done
    return found


def load_appliance(appliance: str | Path, library: Library | None = None) -> Appliance:
    """Return an appliance of the library, or one whose file is being written.

    Parameters
    ----------
    appliance
        An id (``conventional-oven``) or a part that no other id has, or the path of a ``.toml`` file, which is read
        anew each time.
    library
        Where it stands, and in whose language it is titled; :func:`load_library` when None.

    Returns
    -------
    Appliance
        Parts, wires, positions, branches and faults. Resistances are in ohms, powers in watts, lengths in metres.

    Raises
    ------
    UsageError
        There is no appliance of that id.
    ScenarioError
        Its file cannot be used; one sentence names file, key and remedy.

    Examples
    --------
    >>> from probebook import load_appliance
    >>> oven = load_appliance("conventional-oven")
    >>> [position.name for position in oven.positions]
    ['off', 'lamp', 'oven', 'grill', 'half-grill']
    """
    library = library or load_library()
    if Path(appliance).suffix != ".toml":
        name = str(appliance)
        meant = [each for each in library.appliance_ids if name and name.casefold() in each]
        is_part = name not in library.appliance_ids and len(meant) == 1
        return library.appliance(meant[0] if is_part else name)
    path = Path(appliance)
    own = has_tables(path)
    return read_appliance(path, library.words, scenarios=None if own else library.folder, region=library.region)
