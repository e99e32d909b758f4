"""Text on the schematic: marks of terminals and parts, title, parts list and the key of colours."""

from __future__ import annotations

from probebook.appliances.model import Appliance, Part, PartKind
from probebook.drawings.colours import SOFT, conductor_colour
from probebook.drawings.describe import load_name
from probebook.drawings.layout import Layout
from probebook.drawings.paths import LOADS
from probebook.drawings.svg import LARGE, NORMAL, Box, Label, polyline, wrapped
from probebook.drawings.units import INSET, Unit, short_watts


def marks(appliance: Appliance, plan: Layout) -> list[Label]:
    """Marks of terminals, parts, sections and contacts."""
    found: list[Label] = []
    for item in plan.units:
        unit, x, y = item.unit, item.x, item.y
        for terminal, (dx, dy) in unit.ports.items():
            found.append(_terminal_label(unit, terminal, x + dx, y + dy))
        for terminal, letter in ((appliance.line, "L"), (appliance.neutral, "N")):
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
                low = 29 if unit.part.kind in (PartKind.MOTOR, PartKind.LAMP, PartKind.NEON) else 25
                found.append(Label(caption, x + unit.width / 2, y + low, NORMAL, "middle", bold=True))
    return found


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


def surround(appliance: Appliance, plan: Layout, heading: str, setting: str) -> tuple[Box, list[str]]:
    """Title above, parts list and colour key below; the view box round it all."""
    view = plan.view
    width = max(view.right - view.left, 640.0)
    view = Box(view.left, view.top, view.left + width, view.bottom)
    left, right = view.left + 24, view.right - 24
    supply = f"{appliance.supply.volts:g} V ~  {appliance.plate.hertz:g} Hz"
    labels = [
        Label(heading, left, view.top - 22, LARGE, bold=True),
        Label(setting, left, view.top - 2, 15),
        Label(supply, right, view.top - 22, NORMAL, "end"),
    ]
    columns = 2 if width > 820 else 1
    column_width = (right - left) / columns - 20
    entries = [_listing(appliance, part, column_width) for part in appliance.parts]
    keys = sorted({conductor_colour(w.colour) for w in appliance.wires}, key=lambda c: c.code)
    colours = " · ".join(f"{c.code} {c.word.replace('-', '-and-')}" for c in keys)
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
    labels.append(Label(f"Conductors: {colours}", left, deepest + 8, NORMAL))
    rule = polyline([(left, view.bottom - 4), (right, view.bottom - 4)], SOFT, 1)
    full = Box(view.left, view.top - 48, view.right, deepest + 24)
    return full, [rule, *(label.svg() for label in labels)]


def _listing(appliance: Appliance, part: Part, width: float) -> tuple[str, list[str]]:
    """An entry of the parts list: mark, and its lines of text."""
    loads = [b for b in appliance.branches if b.part == part.mark and b.kind in LOADS and b.watts]
    words = part.title
    if len(loads) == 1:
        words = load_name(appliance, loads[0])[len(part.mark) + 1 :]
    elif loads:
        words += ": " + ", ".join(f"{b.name.partition('.')[2]} {short_watts(b.watts)}" for b in loads)
    return part.mark, wrapped(words, width - 50, NORMAL)
