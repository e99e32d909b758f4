"""Tables of the reading matter: cells, tables of two columns, the rating plate."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from probebook.appliances.naming import supply_key
from probebook.cases import wording
from probebook.words import Words
from probebook.workbook.pages.case_facts import PlateHeads, PlateLoad, PlateMaker, PlateRating

if TYPE_CHECKING:
    from probebook.appliances import Appliance

__all__ = ["cell", "plate_table", "two_columns"]


def cell(text: str) -> str:
    """Text as the cell of a Markdown table."""
    return text.replace("|", "\\|").replace("\n", " ")


def two_columns(head: str, rows: Sequence[tuple[str, str]]) -> str:
    """A table of two columns, the head over the first."""
    return "\n".join([f"| {head} | |", "| --- | --- |", *(f"| {key} | {cell(value)} |" for key, value in rows)])


def plate_table(appliance: Appliance, words: Words) -> str:
    """The rating plate, and the rating of each load as the parts list gives it."""
    plate = appliance.plate
    whole = PlateRating(plate.between_lines or plate.volts, plate.hertz, plate.watts, words.noun(plate.protection))
    rows = [
        (str(words.say(PlateHeads(), "maker")), words.say(PlateMaker(plate.maker, plate.designation), "made-by")),
        (str(words.say(PlateHeads(), "rating")), words.say(whole, supply_key(appliance, "rated"))),
    ]
    rows += [
        (
            wording.load_words(appliance, branch.name, words),
            words.say(PlateLoad(branch.watts, appliance.rated_volts(branch, plate.volts)), "load"),
        )
        for branch in appliance.branches
        if branch.watts > 0
    ]
    return two_columns(words.say(PlateHeads(), "head"), rows)
