"""A case as reading matter: job card, rating plate, schematic, table of readings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from probebook.cases import wording
from probebook.diagnosis import Complaint, Measured, Ran, Seen, Tripped
from probebook.words import Noun, Phrase, Words
from probebook.workbook.pages.case_facts import (
    CardHeads,
    CardNumber,
    CaseHead,
    CaseHeads,
    HowTaken,
    Instrument,
    InstrumentLeads,
    LookedAt,
    OverloadNote,
    Recorded,
    Reported,
    TableHeads,
    TesterUsed,
    WorkedHead,
)
from probebook.workbook.pages.drawing import circuit_page
from probebook.workbook.pages.prompts import Page
from probebook.workbook.pages.tables import cell, plate_table, two_columns

if TYPE_CHECKING:
    from probebook.appliances import Appliance
    from probebook.cases.library import Library
    from probebook.cases.model import Case

__all__ = ["case_page", "readings_table"]


def case_page(case: Case, library: Library, *, number: int) -> Page:
    """The page of a case: everything that its questions may be answered from; 0 is the one worked aloud."""
    appliance, words = library.appliance(case.appliance), library.words
    drawn = circuit_page(appliance, words, f"case-{number}.svg", id_prefix=f"c{number}-")
    parts = [
        _head(words, number, words.noun(appliance.title)),
        _card(case, words),
        plate_table(appliance, words),
        words.say(CaseHeads(), "circuit"),
        drawn.text,
        words.say(Recorded(_how_taken(case, appliance, words)), "recorded"),
        readings_table(case, appliance, words),
        _instruments(case, library),
    ]
    return Page("\n\n".join(parts), dict(drawn.pictures))


def _head(words: Words, number: int, appliance: Noun) -> Phrase:
    if not number:
        return words.say(WorkedHead(appliance), "worked")
    return words.say(CaseHead(number, appliance), "head")


def _card(case: Case, words: Words) -> str:
    card = case.card
    number = words.say(CardNumber(card.number, card.time), "number-and-time") if card.time else card.number
    rows = [
        ("job", number),
        ("customer", card.customer),
        ("premises", card.premises),
        ("reported", words.say(Reported(Phrase(card.reported)), "quoted")),
        ("found", card.found),
        ("note", card.note),
    ]
    head = words.say(CardHeads(), "head")
    return two_columns(head, [(words.say(CardHeads(), key), value) for key, value in rows if value])


def _how_taken(case: Case, appliance: Appliance, words: Words) -> Phrase:
    """In which state the readings were taken, and the functional runs where there are any."""
    way = "plug" if appliance.supply.kind == "plug" else "fixed"
    return words.say(HowTaken(), f"{way}-runs" if any(isinstance(o, Ran) for o in case.evidence) else way)


def readings_table(case: Case, appliance: Appliance, words: Words) -> str:
    """The observations after the complaint as a table, numbered from 1 as the questions number them."""
    heads = [words.say(TableHeads(), key) for key in ("controls", "wires", "probes", "function", "shows")]
    lines = [f"| # | {' | '.join(heads)} |", f"|{' --- |' * (len(heads) + 1)}"]
    for number, item in enumerate(case.evidence):
        if isinstance(item, Complaint):
            continue
        cells = (str(number), *_row(appliance, item, words))
        lines.append("| " + " | ".join(cell(text) for text in cells) + " |")
    return "\n".join(lines)


def _row(appliance: Appliance, item: Measured | Ran | Seen | Tripped, words: Words) -> tuple[str, str, str, str, str]:
    if isinstance(item, Measured):
        trial = item.trial
        return (
            wording.controls(appliance, trial, words),
            wording.wires_off(trial, words),
            wording.probes(appliance, *trial.probes, words),
            wording.function_words(appliance, item, words),
            f"**{item.display}**",
        )
    if isinstance(item, Seen):
        seen = str(words.noun(item.what)) if item.what else words.say(TableHeads(), "nothing")
        return "–", "–", words.say(LookedAt(item.at), "look"), "–", seen
    title = str(words.noun(appliance.position(item.position).title))
    if isinstance(item, Ran):
        return title, "–", words.say(TableHeads(), "run"), "–", wording.run_words(appliance, item, words)
    return title, "–", words.say(TableHeads(), "device"), "–", item.how


def _instruments(case: Case, library: Library) -> str:
    from probebook.cases.generate import case_meters
    from probebook.meters import Function

    words = library.words
    tester, meter = case_meters(case, library)
    used = {item.trial.function for item in case.evidence if isinstance(item, Measured)}
    title = words.noun(meter.title)
    ohms = Instrument(title) if meter.can_null else InstrumentLeads(title, meter.lead_ohms)
    lines = [words.say(ohms, "ohms" if meter.can_null else "ohms-leads")]
    if used - {Function.OHMS}:
        lines.append(words.say(TesterUsed(words.noun(tester.title)), "tester"))
    return " ".join([*lines, words.say(OverloadNote(), "overload")])
