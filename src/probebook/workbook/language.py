"""The words that a marking sheet carries, so that a workbook is marked in the language it was built in.

A sheet holds the sentences of marking and of the forms as they were read when it was built: a kernel says them without
reading a text file. A sheet of an older build holds none; English is then read from the scenarios.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.errors import ScenarioError, UsageError
from probebook.regions import DEFAULT_REGION
from probebook.scenario_folder import folder_of_build, scenarios_dir
from probebook.words import Words
from probebook.words.words import ENGLISH

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.codec import Sheet

__all__ = ["CARRIED", "carried_words", "sheet_library", "sheet_words"]

#: Files of sentences that travel with a sheet, in ``text/<language>``.
CARRIED = ("questions/marking", "workbook/forms", "workbook/hints", "workbook/player")


def carried_words(words: Words) -> dict[str, Any]:
    """What a marking sheet carries of a language, as plain JSON data."""
    return words.subset(group for file in CARRIED for group in words.groups(file))


def sheet_words(sheet: Sheet) -> Words:
    """The words a sheet carries; English from the scenarios where it carries none.

    Raises
    ------
    ScenarioError
        What the sheet carries are no words.
    """
    carried = sheet.meta.get("words")
    if not isinstance(carried, dict):
        return Words(scenarios_dir())
    try:
        return Words.restored(carried)
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise ScenarioError(
            "the sentences in the marking sheet cannot be read", where="meta.words", remedy="build the workbook again"
        ) from error


def sheet_library(sheet: Sheet, here: Path) -> Library:
    """The trade that a sheet was built from, in its region and its language.

    Parameters
    ----------
    sheet, here
        The marking sheet, and the folder of the notebook it belongs to. A sheet of an older build does not say what it
        was built from: the scenarios in force are taken.

    Raises
    ------
    OtherScenariosError
        The scenarios it was built from are not to be found, or have been changed since.
    """
    from probebook.cases.library import library
    from probebook.workbook.finding import OtherScenariosError, key_folder

    region, language, wanted = (sheet.meta.get(key) for key in ("region", "language", "scenarios"))
    try:
        folder = folder_of_build(str(wanted), key_folder(here)) if wanted else None
    except UsageError as error:
        raise OtherScenariosError(error.message, where=error.where, remedy=error.remedy) from error
    return library(folder, str(region or DEFAULT_REGION), str(language or ENGLISH))
