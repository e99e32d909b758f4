"""A case as reading matter: job card, rating plate, schematic, table of readings; and drawings by themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from probebook.cases import words
from probebook.diagnosis import Complaint, Measured, Ran, Seen, Tripped
from probebook.unit_format import format_quantity
from probebook.workbook.pages import Page, picture

if TYPE_CHECKING:
    from probebook.appliances import Appliance
    from probebook.cases.library import Library
    from probebook.cases.model import Case

__all__ = ["case_page", "drawing_page", "plate_table", "readings_table"]


def case_page(case: Case, library: Library, *, number: int) -> Page:
    """The page of a case: everything that its questions may be answered from."""
    from probebook.drawings.schematic import schematic

    appliance = library.appliance(case.appliance)
    name = f"case-{number}.svg"
    drawn = picture(name, schematic(appliance, id_prefix=f"c{number}-"), _alternative(appliance))
    parts = [
        f"## Case {number} · {appliance.title}",
        _card(case),
        "**Rating plate**",
        plate_table(appliance),
        "**Circuit**, controls at rest",
        drawn.text,
        f"**What was recorded**, in order. {_how_taken(case, appliance)}",
        readings_table(case, appliance),
        _instruments(case, library),
    ]
    return Page("\n\n".join(parts), dict(drawn.pictures))


def _card(case: Case) -> str:
    card = case.card
    rows = [("job", f"{card.number}, {card.time}" if card.time else card.number)]
    rows += [("customer", card.customer), ("premises", card.premises), ("reported", f"“{card.reported}”")]
    if card.found:
        rows.append(("controls as found", card.found))
    if card.note:
        rows.append(("note", card.note))
    return "\n".join(["| job card | |", "| --- | --- |", *(f"| {key} | {_cell(value)} |" for key, value in rows)])


def _how_taken(case: Case, appliance: Appliance) -> str:
    """In which state the readings were taken, and the functional runs where there are any."""
    said = f"The appliance was {_safe(appliance)} before every reading"
    if not any(isinstance(item, Ran) for item in case.evidence):
        return f"{said}."
    return f"{said}; for a functional run everything was back in its place, tested, and the supply on again."


def _safe(appliance: Appliance) -> str:
    return "unplugged and proved dead" if appliance.supply.kind == "plug" else "isolated, locked off and proved dead"


def plate_table(appliance: Appliance) -> str:
    """The rating plate, and the rating of each load as the parts list gives it."""
    plate = appliance.plate
    rows = [
        ("maker", f"{plate.maker} {plate.designation}"),
        ("rating", f"{plate.volts:g} V ~ {plate.hertz:g} Hz, {_watts(plate.watts)}, {plate.protection}"),
    ]
    rows += [
        (words.load_words(appliance, branch.name), f"{_watts(branch.watts)} at {plate.volts:g} V")
        for branch in appliance.branches
        if branch.watts > 0
    ]
    return "\n".join(["| plate | |", "| --- | --- |", *(f"| {key} | {_cell(value)} |" for key, value in rows)])


def _watts(value: float) -> str:
    return f"{value:.4g} W"


def readings_table(case: Case, appliance: Appliance) -> str:
    """The observations after the complaint as a table, numbered from 1 as the questions number them."""
    lines = [
        "| # | controls | wires off | probes | function | the meter shows |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for number, item in enumerate(case.evidence):
        if isinstance(item, Complaint):
            continue
        lines.append("| " + " | ".join(_cell(text) for text in (str(number), *_row(appliance, item))) + " |")
    return "\n".join(lines)


def _row(appliance: Appliance, item: Measured | Ran | Seen | Tripped) -> tuple[str, str, str, str, str]:
    if isinstance(item, Measured):
        trial = item.trial
        return (
            words.controls(appliance, trial),
            words.wires_off(trial),
            words.probes(appliance, *trial.probes),
            words.function_words(item),
            f"**{item.display}**",
        )
    if isinstance(item, Ran):
        title = appliance.position(item.position).title
        return title, "–", "functional run, supply restored", "–", words.run_words(appliance, item)
    if isinstance(item, Seen):
        return "–", "–", f"a look at {item.at}", "–", item.what or "nothing to see"
    return appliance.position(item.position).title, "–", "protective device", "–", item.how


def _instruments(case: Case, library: Library) -> str:
    from probebook.cases.generate import case_meters
    from probebook.meters import Function

    tester, meter = case_meters(case, library)
    used = {item.trial.function for item in case.evidence if isinstance(item, Measured)}
    lines = [f"Ohms were read with the {meter.title}" + ("." if meter.can_null else _leads(meter.lead_ohms))]
    if used - {Function.OHMS}:
        lines.append(f"Insulation and earth continuity were read with the {tester.title}.")
    return " ".join(lines) + " OL means more than the meter can show."


def _leads(ohms: float) -> str:
    return f", which cannot null its leads ({format_quantity(ohms, 'ohm', 2)} with the probes together)."


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def _alternative(appliance: Appliance) -> str:
    from probebook.drawings.describe import describe

    return f"Wiring diagram of the {appliance.title}, controls at rest. In words: {describe(appliance)}"


def drawing_page(appliance: Appliance, what: str, position: str = "") -> Page:
    """A drawing by itself.

    Parameters
    ----------
    appliance
        What to draw.
    what
        ``schematic``, ``harness`` or ``plate``.
    position
        Position of the controls; at rest when empty.

    Raises
    ------
    ScenarioError
        There is no such drawing, position or heat-up model.
    """
    from probebook.errors import ScenarioError

    if position and position not in {p.name for p in appliance.positions}:
        raise ScenarioError(
            f"the {appliance.title} has no position '{position}'",
            where="position",
            remedy=f"choose one of {', '.join(p.name for p in appliance.positions)}",
        )
    name = f"{appliance.id}-{what}-{position or 'rest'}.svg"
    if what == "schematic":
        from probebook.drawings.describe import describe
        from probebook.drawings.schematic import schematic

        return picture(name, schematic(appliance, position or None), describe(appliance, position or None))
    if what == "harness":
        from probebook.drawings.harness import harness, wire_table

        drawn = picture(name, harness(appliance), f"harness of the {appliance.title}; the table below lists every wire")
        return Page(f"{drawn.text}\n\n{wire_table(appliance)}", drawn.pictures)
    if what == "plate":
        from probebook.drawings.plate import plate

        drawn = picture(name, plate(appliance), f"rating plate of the {appliance.title}; the table below says the same")
        return Page(f"{drawn.text}\n\n{plate_table(appliance)}", drawn.pictures)
    if what == "heat-up":
        return _heat_up(appliance, name, position)
    raise ScenarioError(
        f"there is no drawing '{what}' of the {appliance.title}",
        where="show",
        remedy="write schematic, harness, plate or heat-up",
    )


def _heat_up(appliance: Appliance, name: str, position: str) -> Page:
    """The heat-up record of the sound appliance in a position: the first that heats, when none is named."""
    from probebook.errors import ScenarioError
    from probebook.heating.installed import heated, record_of
    from probebook.heating.plots import record_svg, summary

    if not heated(appliance):
        raise ScenarioError(
            f"the file of the {appliance.title} says nothing of how it heats",
            where="show",
            remedy="ask for the heat-up of an appliance with a [heat] table",
        )
    where = position or next(p.name for p in appliance.positions if p.heats)
    record = record_of(appliance, where)
    title = f"Heat-up record: {appliance.title}, {appliance.position(where).title}"
    return picture(name, record_svg(record, title=title), summary(record))
