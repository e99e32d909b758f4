"""The face of the bench meter: its display, its dial turned to a function, and where its leads are."""

from __future__ import annotations

import math

from probebook.drawings.colours import GROUND, INK, PAPER
from probebook.drawings.svg import NORMAL, SMALL, Box, Label, document, num, polyline, text_width

_BODY, _GLASS = "#2c3a47", "#dfe6d2"
#: Functions round the dial, with the word under which each is known and what is printed for it.
FUNCTIONS = (
    ("off", "OFF"),
    ("volts", "V ~"),
    ("ohms", "Ω"),
    ("continuity", "Ω •)))"),
    ("insulation", "MΩ"),
    ("amps", "A ~"),
)


def meter_face(display: str, function: str, leads: tuple[str, str] = ("", ""), *, id_prefix: str = "") -> str:
    """Draw the meter with ``display`` as it reads and its dial at ``function``.

    ``function`` is one of :data:`FUNCTIONS` or a text that contains one of their words ('AC volts', 'clamp amps');
    any other is shown on the display alone. ``leads`` are the terminals that the red and black leads touch.
    """
    width, height = 360.0, 430.0
    shapes = [
        f'<rect x="30" y="12" width="{num(width - 60)}" height="{num(height - 60)}" rx="26" fill="{_BODY}"/>',
        f'<rect x="54" y="36" width="{num(width - 108)}" height="104" rx="8" fill="{_GLASS}" stroke="{INK}"'
        ' stroke-width="2"/>',
        f'<circle cx="180" cy="240" r="46" fill="{PAPER}" stroke="{INK}" stroke-width="2"/>',
    ]
    size = 44.0
    while text_width(display, size, bold=True) > width - 140 and size > SMALL:
        size -= 2
    labels = [
        Label(display, 180, 108, size, "middle", bold=True),
        Label(function, 66, 56, NORMAL),
    ]
    chosen = _index(function)
    for i, (_, printed) in enumerate(FUNCTIONS):
        angle = math.radians(190 + i * 160 / (len(FUNCTIONS) - 1))
        x, y = 180 + 76 * math.cos(angle), 240 + 66 * math.sin(angle)
        anchor = "end" if math.cos(angle) < -0.35 else "start" if math.cos(angle) > 0.35 else "middle"
        labels.append(Label(printed, x, y + 4, NORMAL, anchor, bold=i == chosen, fill=PAPER))
        if i == chosen:
            tip = (180 + 40 * math.cos(angle), 240 + 40 * math.sin(angle))
            tail = (180 - 24 * math.cos(angle), 240 - 24 * math.sin(angle))
            shapes.append(polyline([tail, tip], INK, 7))
            shapes.append(f'<circle cx="{num(tip[0])}" cy="{num(tip[1])}" r="2.5" fill="{PAPER}"/>')
    for x, shade, name, at in ((120.0, "#c8281e", "red", leads[0]), (240.0, "#14171a", "black", leads[1])):
        shapes.append(polyline([(x, 338), (x, 400)], INK, 7))
        shapes.append(polyline([(x, 338), (x, 400)], shade, 4))
        shapes.append(
            f'<circle cx="{num(x)}" cy="338" r="11" fill="{GROUND}" stroke="{INK}" stroke-width="2"/>'
            f'<circle cx="{num(x)}" cy="338" r="5" fill="{shade}"/>'
        )
        labels.append(Label(f"{name}: {at or 'free'}", x, 418, NORMAL, "middle"))
    labels += [
        Label("V Ω", 120, 318, SMALL, "middle", fill=PAPER),
        Label("COM", 240, 318, SMALL, "middle", fill=PAPER),
    ]
    where = f"red lead on {leads[0]}, black lead on {leads[1]}" if all(leads) else "leads free"
    words = f"The meter is set to {function}, {where}. It shows {display}."
    body = [*shapes, *(label.svg() for label in labels)]
    return document(Box(0, 0, width, height), f"Meter: {function}", words, body, prefix=id_prefix)


def _index(function: str) -> int:
    words = function.lower()
    return next((i for i, (word, _) in enumerate(FUNCTIONS) if word in words), -1)


__all__ = ["FUNCTIONS", "meter_face"]
