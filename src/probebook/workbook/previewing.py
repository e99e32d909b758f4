"""One page that shows an appliance: for whoever writes an appliance file, and for a tutor who wants it on paper.

Everything on it is computed from the file: the drawings, what each fault changes, and what the meters show on a healthy
one. The same file gives the same bytes.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from probebook.appliances import Appliance, BranchKind, Change, Fault, Part, PartKind
from probebook.cases.words import load_words
from probebook.diagnosis.trials import joined
from probebook.drawings import carrying, describe, harness, plate, schematic
from probebook.drawings.colours import conductor_colour
from probebook.unit_format import format_quantity
from probebook.workbook.markup import safe
from probebook.workbook.preview_page import Section, figure, page, table
from probebook.workbook.preview_readings import loads_of, readings_html, watts_words

if TYPE_CHECKING:
    from probebook.appliances.checking import Finding
    from probebook.cases.library import Library

__all__ = ["preview"]


def preview(appliance: Appliance, library: Library, findings: Sequence[Finding] = ()) -> str:
    """The page as HTML.

    Parameters
    ----------
    appliance, library
        What to show, and the trade whose instruments read it.
    findings
        What checking its file found.
    """
    sections = (
        Section("circuit", "The circuit in each position", _circuit(appliance)),
        Section("harness", "The harness as built", _harness(appliance)),
        Section("parts", "Parts", _parts(appliance)),
        Section("healthy", "What the meters show on a healthy one", readings_html(appliance, library)),
        Section("faults", "Faults", _faults(appliance)),
        Section("check", "Check of the file", _findings(findings)),
    )
    return page(appliance.title, _lead(appliance), sections)


# ---------------------------------------------------------------- head and drawings


def _lead(appliance: Appliance) -> str:
    supply = appliance.supply
    fed = {"fixed": "Fixed wiring", "plug": "Plug and socket"}.get(supply.kind, supply.kind)
    fuse = f", fuse {supply.fuse_amps:g} A" if supply.fuse_amps else ""
    counts = (
        f"{len(appliance.parts)} parts, {len(appliance.wires)} wires, {len(appliance.positions)} positions, "
        f"{len(appliance.faults)} faults"
    )
    return (
        f'<div class="plate">{plate(appliance, id_prefix="plate-")}</div>\n'
        f'<p class="lead">{safe(counts)}.</p>\n'
        f"<p>{safe(fed)}, {supply.volts:g} V, circuit breaker {supply.breaker_amps:g} A{fuse}, residual current device "
        f"{supply.residual_amps * 1000:g} mA.</p>\n"
        f'<p class="lead">{safe(_sentence(appliance.source))}</p>\n'
        '<p class="caution"><strong>Readings here are of a dead appliance:</strong> isolated, locked off and proved '
        "dead with a tester proved before and after. Local codes and licensed practice come first.</p>\n"
    )


def _circuit(appliance: Appliance) -> str:
    parts = ["<p>Contacts are drawn as they stand with every thermostat calling; what carries current is heavier.</p>"]
    for number, position in enumerate(appliance.positions, start=1):
        live = carrying(appliance, position.name)
        drawn = schematic(appliance, position.name, highlight_live=live, id_prefix=f"s{number}-")
        caption = f"Position {number} of {len(appliance.positions)}: {position.title}."
        parts.append(f'<h3 id="position-{number}">{safe(_capital(position.title))}</h3>')
        parts.append(figure(drawn, caption, describe(appliance, position.name)))
    return "\n".join(parts)


def _harness(appliance: Appliance) -> str:
    rows = []
    noted = any(wire.note for wire in appliance.wires)
    for wire in appliance.wires:
        colour = conductor_colour(wire.colour)
        ground = (
            f"repeating-linear-gradient(45deg, {colour.shade} 0 4px, {colour.stripe} 4px 8px)"
            if colour.stripe
            else colour.shade
        )
        swatch = f'<span class="swatch" style="background:{ground}" aria-hidden="true"></span>'
        row = [
            safe(wire.mark),
            safe(wire.start),
            safe(wire.end),
            f'<span class="keep">{swatch}{safe(colour.word)} ({colour.code})</span>',
            f"{wire.area * 1e6:g} mm²",
            f"{wire.length:g} m",
        ]
        rows.append([*row, safe(wire.note)] if noted else row)
    head = ["Wire", "From", "To", "Colour", "#Area", "#Length", *(["Note"] if noted else [])]
    return figure(harness(appliance, id_prefix="h-"), "Parts with their tags, and the wires between them.") + table(
        "Wires", head, rows
    )


# ---------------------------------------------------------------- parts


def _parts(appliance: Appliance) -> str:
    parts = table(
        "Parts list",
        ["Mark", "Part", "Kind", "Terminals", "Behind", "Figures"],
        (
            [
                safe(part.mark),
                safe(part.title),
                safe(str(part.kind) if part.kind is PartKind.CUT_OUT else part.kind.replace("-", " ")),
                safe(", ".join(name.partition(".")[2] for name in part.terminals)),
                safe(part.cover or "–"),
                safe("; ".join(_facts(part)) or "–"),
            ]
            for part in appliance.parts
        ),
    )
    loads = table(
        f"Loads, with their ratings at {appliance.plate.volts:g} V",
        ["Load", "Mark", "Heats", "#Rating", "#Cold", "#At work", "#Tolerance"],
        (
            [
                safe(load_words(appliance, load.name)),
                safe(load.name),
                safe(load.place or "–"),
                watts_words(load.watts),
                _ohms(load.cold_ohms),
                _ohms(load.hot_ohms),
                f"±{load.tolerance * 100:g} %" if load.tolerance else "–",
            ]
            for load in loads_of(appliance)
        ),
    )
    kinds = {load.kind for load in loads_of(appliance)}
    notes = "".join(f"<p>{safe(text)}</p>" for kind, text in _NOTES if kind in kinds)
    return parts + loads + notes


#: What a reader may take wrongly from the ohms of a load.
_NOTES = (
    (BranchKind.LAMP, "A lamp reads far lower cold than at work: its power does not follow from a cold reading."),
    (BranchKind.MOTOR, "A motor draws by more than the ohms of its winding: volts squared over ohms is not its power."),
    (BranchKind.NEON, "A neon does not conduct at a meter's voltage: it shows OL, sound or not."),
)


def _facts(part: Part) -> Iterator[str]:
    order = list(_FACTS)
    for key, value in sorted(part.facts, key=lambda fact: order.index(fact[0]) if fact[0] in order else len(order)):
        words = _FACTS.get(key, f"{key.replace('_', ' ')} {{}}")
        if isinstance(value, str):
            yield words.format(value)
        elif key in _TEMPERATURES:
            yield words.format(f"{value - 273.15:.0f} °C")
        else:
            yield words.format(f"{100 * value:g}" if key == "tolerance" else f"{value:g}")


#: Figures of a part in words, in reading order; those of :data:`_TEMPERATURES` are kelvins in the record.
_FACTS = {
    "rating": "{} A",
    "minimum": "from {}",
    "maximum": "to {}",
    "differential": "differential {} K",
    "opens_at": "opens at {}",
    "closes_at": "closes at {}",
    "reset": "reset: {}",
    "senses": "senses the {}",
    "alloy": "alloy {}",
    "tolerance": "tolerance ±{} %",
    "working": "works at {}",
}
_TEMPERATURES = ("closes_at", "maximum", "minimum", "opens_at", "working")


# ---------------------------------------------------------------- faults and findings


def _faults(appliance: Appliance) -> str:
    total = sum(fault.likelihood for fault in appliance.faults) or 1.0
    rows = []
    for fault in appliance.faults:
        share = fault.likelihood / total
        bar = f'<span class="bar" style="width:{share * 12:.2f}em" aria-hidden="true"></span>'
        rows.append(
            [
                safe(fault.title),
                safe("; ".join(_changes(appliance, fault)) or "nothing that a meter finds"),
                safe(fault.looks or "–"),
                f'<span class="keep">{bar}{share * 100:.1f} %</span>',
                safe(fault.mend or "–"),
            ]
        )
    bases = Counter(fault.basis for fault in appliance.faults)
    usual = max(bases, key=lambda basis: bases[basis], default="")
    said = f"<p>Likelihoods: {safe(usual)}{', unless told otherwise below' if len(bases) > 1 else ''}.</p>"
    for basis in bases:
        if basis != usual:
            names = [fault.title for fault in appliance.faults if fault.basis == basis]
            said += f"<p>Likelihood of {safe(joined(names))}: {safe(basis)}.</p>"
    return (
        table(
            "Faults in the order of the file, with their share of all calls",
            ["Fault", "What it changes", "What a careful eye sees", "Likelihood", "How it is mended"],
            rows,
        )
        + said
    )


def _changes(appliance: Appliance, fault: Fault) -> Iterator[str]:
    for change in fault.changes:
        yield _change_words(appliance, change)
    if fault.offset:
        yield f"{fault.target} opens {abs(fault.offset):g} K {'above' if fault.offset > 0 else 'below'} its setting"
    if fault.volts:
        yield f"the supply is {fault.volts:g} V"
    if fault.stops:
        yield f"{fault.stops} does not turn"
    if fault.setting:
        yield f"left at ‘{appliance.position(fault.setting).title}’"
    if fault.recovers:
        yield "gone after a drying run"


def _change_words(appliance: Appliance, change: Change) -> str:
    name = _branch_words(change.branch)
    kind = appliance.branches[appliance.branch(change.branch)].kind
    words = []
    if change.force is not None:
        if math.isinf(change.force):
            words.append("open")
        elif kind is BranchKind.WIRE:
            words.append("joined")
        elif kind is BranchKind.CONTACT:
            words.append(f"closed for good ({_ohms(change.force)})")
        else:
            words.append(_ohms(change.force))
        if change.force_hot is not None and change.force_hot != change.force:
            words.append(f"{'open' if math.isinf(change.force_hot) else _ohms(change.force_hot)} at work")
    if change.factor != 1.0:
        words.append(f"ohms × {change.factor:.3g}")
    if change.series:
        words.append(f"{_ohms(change.series)} more")
    return f"{name}: {', '.join(words) or 'as it was'}"


def _branch_words(name: str) -> str:
    """A branch as a reader may take it: a path to metalwork and a wire moved to another tag are spelt out."""
    if "~" in name:
        part, _, metal = name.partition("~")
        return f"{part} to {metal}"
    if ">" in name:
        wire, _, tag = name.partition(">")
        return f"{wire} on {tag}"
    return name


def _findings(findings: Sequence[Finding]) -> str:
    if not findings:
        return "<p>The file is sound: nothing was found.</p>"
    return "".join(
        f'<p class="finding"><strong>{safe(str(finding.severity))}</strong>: {safe(str(finding))}</p>\n'
        for finding in findings
    )


# ---------------------------------------------------------------- small things


def _ohms(value: float) -> str:
    return "open" if math.isinf(value) else format_quantity(value, "ohm", 3)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _sentence(text: str) -> str:
    said = _capital(text.strip())
    return said if said.endswith(".") else f"{said}."
