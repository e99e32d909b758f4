"""The page put together: rating plate, the circuit in each position, the harness, the tables of other modules."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from probebook.appliances import Appliance, Wire
from probebook.drawings import carrying, describe, harness, plate, schematic
from probebook.drawings.colours import conductor_colour
from probebook.words import Words
from probebook.workbook.markup import inline, safe
from probebook.workbook.preview import facts as told
from probebook.workbook.preview.faults import faults_html, findings_html
from probebook.workbook.preview.page import Section, figure, heads, page, table
from probebook.workbook.preview.parts import parts_html
from probebook.workbook.preview.reading_tables import readings_html
from probebook.workbook.preview.wiring import wiring_words

if TYPE_CHECKING:
    from probebook.appliances.checking import Finding
    from probebook.cases.library import Library

__all__ = ["preview"]


def preview(appliance: Appliance, library: Library, findings: Sequence[Finding] = ()) -> str:
    """The page as HTML.

    Parameters
    ----------
    appliance, library
        What to show, and the trade whose instruments read it and whose language the page is in.
    findings
        What checking its file found.
    """
    words = library.words
    sections = (
        Section("circuit", _circuit(appliance, words)),
        Section("harness", _harness(appliance, words)),
        Section("parts", parts_html(appliance, words)),
        Section("healthy", readings_html(appliance, library)),
        Section("faults", faults_html(appliance, words)),
        Section("check", findings_html(findings, words)),
    )
    return page(appliance.title, _lead(appliance, words), sections, words)


def _lead(appliance: Appliance, words: Words) -> str:
    supply = appliance.supply
    counts = told.CountFacts(
        len(appliance.parts), len(appliance.wires), len(appliance.positions), len(appliance.faults)
    )
    fed = told.SupplyFacts(
        "plug" if supply.kind == "plug" else "fixed",
        supply.between_lines or supply.volts,
        supply.breaker_amps,
        supply.fuse_amps,
        supply.residual_amps * 1000,
    )
    coloured = " ".join(wiring_words(appliance, words))
    wiring = f"<p>{safe(coloured)}</p>\n" if coloured else ""
    source = told.SourceFacts(appliance.source.strip().removesuffix("."))
    return (
        f'<div class="plate">{plate(words, appliance, id_prefix="plate-")}</div>\n'
        f'<p class="lead">{safe(words.say(counts, "counts"))}</p>\n'
        f"<p>{safe(words.say(fed, 'supply-fused' if supply.fuse_amps else 'supply'))}</p>\n"
        f"{wiring}"
        f'<p class="lead">{safe(words.say(source, "source"))}</p>\n'
        f'<p class="caution">{inline(words.say(told.LeadTexts(), "caution"))}</p>\n'
    )


def _circuit(appliance: Appliance, words: Words) -> str:
    parts = [f"<p>{safe(words.say(told.CircuitTexts(), 'drawn'))}</p>"]
    summary = words.say(told.PageTexts(), "in-words")
    for number, position in enumerate(appliance.positions, start=1):
        live = carrying(appliance, position.name)
        drawn = schematic(words, appliance, position.name, highlight_live=live, id_prefix=f"s{number}-")
        here = told.PositionFacts(number, len(appliance.positions), position.title)
        parts.append(f'<h3 id="position-{number}">{safe(words.say(here, "heading"))}</h3>')
        parts.append(figure(drawn, words.say(here, "caption"), summary, describe(words, appliance, position.name)))
    return "\n".join(parts)


def _harness(appliance: Appliance, words: Words) -> str:
    texts = told.HarnessTexts()
    noted = any(wire.note for wire in appliance.wires)
    keys = ["wire", "from", "to", "colour", "#area", "#length", *(["note"] if noted else [])]
    rows = [[*_wire(wire, words), *([safe(wire.note)] if noted else [])] for wire in appliance.wires]
    drawn = figure(harness(words, appliance, id_prefix="h-"), words.say(texts, "drawing"))
    return drawn + table(words.say(texts, "caption"), heads(words, texts, *keys), rows)


def _wire(wire: Wire, words: Words) -> list[str]:
    colour = conductor_colour(wire.colour)
    ground = (
        f"repeating-linear-gradient(45deg, {colour.shade} 0 4px, {colour.stripe} 4px 8px)"
        if colour.stripe
        else colour.shade
    )
    swatch = f'<span class="swatch" style="background:{ground}" aria-hidden="true"></span>'
    facts = told.WireFacts(words.noun(colour.word), colour.code, wire.area * 1e6, wire.length)
    return [
        safe(wire.mark),
        safe(wire.start),
        safe(wire.end),
        f'<span class="keep">{swatch}{safe(words.say(facts, "colour-cell"))}</span>',
        safe(words.say(facts, "area-cell")),
        safe(words.say(facts, "length-cell")),
    ]
