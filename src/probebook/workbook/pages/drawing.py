"""Drawings of an appliance as pages by themselves: circuit, harness, rating plate, heat-up record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from probebook.errors import ScenarioError
from probebook.questions.trace.figures import figures_of
from probebook.words import Phrase, Words
from probebook.workbook.pages.case_facts import CircuitDrawing, HeatUpDrawing, PartDrawing
from probebook.workbook.pages.prompts import Page, picture

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from probebook.appliances import Appliance

__all__ = ["circuit_page", "drawing_page"]


def circuit_page(appliance: Appliance, words: Words, name: str, *, id_prefix: str) -> Page:
    """The circuit with the controls at rest, told in words as well."""
    from probebook.drawings import describe_branches, schematic

    told = CircuitDrawing(words.noun(appliance.title), Phrase(describe_branches(words, appliance)))
    return picture(name, schematic(words, appliance, id_prefix=id_prefix), words.say(told, "circuit"))


def drawing_page(appliance: Appliance, what: str, words: Words, position: str = "", paths: Sequence[str] = ()) -> Page:
    """A drawing by itself.

    Parameters
    ----------
    appliance
        What to draw.
    what
        ``schematic``, ``harness``, ``plate`` or ``heat-up``.
    words
        The language of its text alternative.
    position
        Position of the controls; at rest when empty. On a schematic the path of the current is then drawn heavy.
    paths
        Further positions of a schematic whose path a page shows when they are chosen.

    Raises
    ------
    ScenarioError
        There is no such drawing, position or heat-up model.
    """
    known = {p.name for p in appliance.positions}
    for where, name in (("position", position), *(("paths", name) for name in paths)):
        if not name or name in known:
            continue
        raise ScenarioError(
            f"the {appliance.title} has no position '{name}'",
            where=where,
            remedy=f"choose one of {', '.join(p.name for p in appliance.positions)}",
        )
    if what != "schematic" and what not in _DRAWERS:
        raise ScenarioError(
            f"there is no drawing '{what}' of the {appliance.title}",
            where="show",
            remedy=f"write {', '.join(('schematic', *_DRAWERS))}",
        )
    name = f"{appliance.id}-{what}-{position or 'rest'}.svg"
    if what == "schematic":
        return _schematic(appliance, words, name, position, paths)
    return _DRAWERS[what](appliance, words, name, position)


def _schematic(appliance: Appliance, words: Words, name: str, position: str, paths: Sequence[str]) -> Page:
    from probebook.drawings import describe, describe_branches, readings_of, schematic

    least = figures_of(appliance).carrying
    readings = readings_of(appliance, dict.fromkeys(filter(None, (position, *paths))), least)
    flow = readings[0].flow if position else {}
    drawn = schematic(words, appliance, position or None, highlight_live=flow, readings=readings)
    told = describe(words, appliance, position) if position else describe_branches(words, appliance)
    return picture(name, drawn, told)


def _harness(appliance: Appliance, words: Words, name: str, _: str) -> Page:
    from probebook.drawings import harness, wire_table

    told = words.say(PartDrawing(words.noun(appliance.title)), "harness")
    drawn = picture(name, harness(words, appliance), told)
    return Page(f"{drawn.text}\n\n{wire_table(words, appliance)}", drawn.pictures)


def _plate(appliance: Appliance, words: Words, name: str, _: str) -> Page:
    from probebook.drawings import plate
    from probebook.workbook.pages.tables import plate_table

    drawn = picture(name, plate(words, appliance), words.say(PartDrawing(words.noun(appliance.title)), "plate"))
    return Page(f"{drawn.text}\n\n{plate_table(appliance, words)}", drawn.pictures)


def _heat_up(appliance: Appliance, words: Words, name: str, position: str) -> Page:
    """The heat-up record of the sound appliance in a position: the first that heats, when none is named."""
    from probebook.heating.installed import heated, record_of
    from probebook.heating.plots import record_svg
    from probebook.heating.saying import summary

    if not heated(appliance):
        raise ScenarioError(
            f"the file of the {appliance.title} says nothing of how it heats",
            where="show",
            remedy="ask for the heat-up of an appliance with a [heat] table",
        )
    where = position or next(p.name for p in appliance.positions if p.heats)
    record = record_of(appliance, where)
    told = HeatUpDrawing(words.noun(appliance.title), words.noun(appliance.position(where).title))
    return picture(name, record_svg(words, record, title=words.say(told, "heat-up")), summary(words, record))


_DRAWERS: Mapping[str, Callable[[Appliance, Words, str, str], Page]] = {
    "harness": _harness,
    "plate": _plate,
    "heat-up": _heat_up,
}
