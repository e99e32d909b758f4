"""Text on the schematic: marks of terminals and parts, title, parts list and the key of colours."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances.model import Appliance, BranchKind, Part, PartKind
from probebook.appliances.naming import supply_key
from probebook.drawings import symbols
from probebook.drawings.colours import SOFT
from probebook.drawings.layout import Layout
from probebook.drawings.paths import LOADS
from probebook.drawings.saying import TitleFacts, colours_said, own_noun
from probebook.drawings.svg import LARGE, NORMAL, Box, Label, polyline, text_width, wrapped
from probebook.drawings.units import INSET, Unit
from probebook.words import Facts, Noun, Phrase, Words

#: Branches whose symbol is taller than an element's, so that their name stands lower.
_TALL = (BranchKind.MOTOR, BranchKind.LAMP, BranchKind.NEON, BranchKind.COIL)


@dataclass(frozen=True)
class Listing(Facts, group="drawings/listing", says=("plain", "watts", "several", "load")):
    """An entry of the parts list: a part by title, and what it takes; ``own`` is one of its sections."""

    title: Noun
    own: Noun
    watts: Annotated[float, "W"]
    loads: tuple[Phrase, ...]


@dataclass(frozen=True)
class ContactKey(Facts, group="drawings/contact-key", says=("closed", "open", "heat-closed", "heat-open")):
    """What stands beside the symbols of a closed and of an open contact."""


def marks(appliance: Appliance, plan: Layout) -> list[Label]:
    """Marks of terminals, parts, sections and contacts."""
    found: list[Label] = []
    for item in plan.units:
        unit, x, y = item.unit, item.x, item.y
        for terminal, (dx, dy) in unit.ports.items():
            found.append(_terminal_label(unit, terminal, x + dx, y + dy))
        for terminal, letter in supply_letters(appliance):
            if terminal in unit.ports:
                found.append(Label(letter, x, y - 27, NORMAL, "middle", bold=True))
        if unit.framed:
            found.append(Label(unit.part.mark, x + INSET, y - 33, NORMAL, bold=True))
            middle = x + sum(unit.body) / 2
            heaters = unit.part.kind is PartKind.ELEMENT
            for row in unit.rows:
                if heaters:
                    found.append(Label(row.caption, middle, y + row.y + 22, anchor="middle"))
                else:
                    found.append(Label(row.caption, middle + 6, y + row.y + 16))
        elif unit.rows:
            caption = unit.rows[0].caption
            if unit.turn in (90, 270):
                found.append(Label(caption, x - 20, y + unit.body[1] / 2 + 4, NORMAL, "end", bold=True))
            else:
                low = 29 if unit.rows[0].branch.kind in _TALL else 25
                found.append(Label(caption, x + unit.width / 2, y + low, NORMAL, "middle", bold=True))
    return found


def supply_letters(appliance: Appliance) -> list[tuple[str, str]]:
    """The terminals of the live conductors with the letters that stand over them: L and N, or L1, L2, L3 and N."""
    lines = appliance.lines
    letters = ["L"] if len(lines) == 1 else [line.partition(".")[2] for line in lines]
    return [*zip(lines, letters, strict=True), *([(appliance.neutral, "N")] if appliance.neutral else [])]


def _terminal_label(unit: Unit, terminal: str, x: float, y: float) -> Label:
    if not unit.rows and unit.turn == 90:
        return Label(terminal, x - 10, y + 4, anchor="end")
    if not unit.rows:
        return Label(terminal, x, y - 12, anchor="middle")
    if unit.turn in (90, 270) and not unit.framed:
        first = unit.ports[terminal][1] == 0
        return Label(terminal, x - 9, y + (16 if first else -8), anchor="end")
    inset = INSET + 4 if unit.framed else 7.0
    if unit.side[terminal] < 0:
        return Label(terminal, x + inset, y - 12)
    return Label(terminal, x - inset, y - 12, anchor="end")


def surround(words: Words, appliance: Appliance, plan: Layout, said: TitleFacts) -> tuple[Box, list[str]]:
    """Title above, parts list and colour key below; the view box round it all."""
    view = plan.view
    width = max(view.right - view.left, 640.0)
    view = Box(view.left, view.top, view.left + width, view.bottom)
    left, right = view.left + 24, view.right - 24
    heading = f"{said.appliance.text[:1].upper()}{said.appliance.text[1:]}"
    labels = [
        Label(heading, left, view.top - 22, LARGE, bold=True),
        Label(said.setting.text, left, view.top - 2, 15),
        Label(words.say(said, supply_key(appliance)), right, view.top - 22, NORMAL, "end"),
    ]
    columns = 2 if width > 820 else 1
    column_width = (right - left) / columns - 20
    entries = [_listing(words, appliance, part, column_width) for part in appliance.parts]
    top = view.bottom + 16
    half = -(-sum(len(lines) for _, lines in entries) // columns)
    y, column, used, deepest = top, 0, 0, top
    for mark, lines in entries:
        if column + 1 < columns and used >= half:
            column, used, y = column + 1, 0, top
        labels.append(Label(mark, left + column * (column_width + 40), y, NORMAL, bold=True))
        for line in lines:
            labels.append(Label(line, left + column * (column_width + 40) + 44, y, NORMAL))
            y += 18
        used += len(lines)
        deepest = max(deepest, y)
    labels.append(Label(colours_said(words, appliance), left, deepest + 8, NORMAL))
    signs, deepest = _contact_key(words, appliance, left, right, deepest + 40)
    rule = polyline([(left, view.bottom - 4), (right, view.bottom - 4)], SOFT, 1)
    full = Box(view.left, view.top - 48, view.right, deepest + 24)
    return full, [rule, *(label.svg() for label in labels), *signs]


def _contact_key(words: Words, appliance: Appliance, left: float, right: float, y: float) -> tuple[list[str], float]:
    """What an open and a closed contact look like, of the sorts that the appliance has, in rows; where they end."""
    contacts = [b for b in appliance.branches if b.kind is BranchKind.CONTACT]
    heat = [b for b in contacts if appliance.part(b.part).kind in (PartKind.THERMOSTAT, PartKind.CUT_OUT)]
    breaks = [b for b in heat if not math.isinf(b.cold_ohms)]
    makes = [b for b in contacts if b not in breaks]
    shapes: list[str] = []
    x = left
    for sort, found, of in ((symbols.contact, makes, ""), (symbols.break_contact, breaks, "heat-")):
        for closed in (True, False) if found else ():
            said = words.say(ContactKey(), f"{of}{'closed' if closed else 'open'}")
            if x + 58 + text_width(said, NORMAL) > right:
                x, y = left, y + 32
            shapes.append(sort((x, y - 4), span=50, closed=closed).svg)
            shapes.append(Label(said, x + 58, y, NORMAL).svg())
            x += 58 + text_width(said, NORMAL) + 18
    return shapes, y


def _listing(words: Words, appliance: Appliance, part: Part, width: float) -> tuple[str, list[str]]:
    """An entry of the parts list: mark, and its lines of text."""
    loads = [b for b in appliance.branches if b.part == part.mark and b.kind in LOADS and b.watts]
    title = words.noun(part.title)
    said = tuple(words.say(Listing(title, own_noun(words, b), b.watts, ()), "load") for b in loads)
    facts = Listing(title, Noun("", ""), loads[0].watts if loads else 0.0, said)
    key = "several" if len(loads) > 1 else "watts" if loads else "plain"
    return part.mark, wrapped(words.say(facts, key), width - 50, NORMAL)
