"""The face of the bench meter: its display, its dial turned to a function, and where its leads are."""

from __future__ import annotations

import math
from dataclasses import dataclass

from probebook.drawings.colours import GROUND, INK, PAPER
from probebook.drawings.svg import NORMAL, SMALL, Box, Label, document, num, polyline, text_width
from probebook.meters import Function
from probebook.words import Facts, Noun, Words

_BODY, _GLASS = "#2c3a47", "#dfe6d2"
#: Functions round the dial, with what is printed for each; None is off.
DIAL: tuple[tuple[Function | None, str], ...] = (
    (None, "OFF"),
    (Function.AC_VOLTS, "V ~"),
    (Function.OHMS, "Ω"),
    (Function.CONTINUITY, "Ω •)))"),
    (Function.INSULATION, "MΩ"),
    (Function.CLAMP, "A ~"),
)
#: Shades of the two leads.
RED, BLACK = "#c8281e", "#14171a"


@dataclass(frozen=True)
class MeterFacts(
    Facts,
    group="drawings/meter",
    says=("title", "description", "description-free", "red", "red-free", "black", "black-free"),
):
    """A meter set to a function, what it shows, and what its leads touch."""

    function: Noun
    display: str
    red: str
    black: str


def meter_face(
    words: Words,
    display: str,
    function: Function,
    leads: tuple[str, str] = ("", ""),
    *,
    said: str = "",
    id_prefix: str = "",
) -> str:
    """Draw the meter with ``display`` as it reads and its dial at ``function``.

    ``leads`` are the terminals that the red and black leads touch; ``said`` is what the function is called, where its
    own name does not do.
    """
    named = words.noun(function) if not said else Noun(said, said)
    facts = MeterFacts(named, display, *leads)
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
        Label(named.text, 66, 56, NORMAL),
    ]
    chosen = [each for each, _ in DIAL].index(function)
    for i, (_, printed) in enumerate(DIAL):
        angle = math.radians(190 + i * 160 / (len(DIAL) - 1))
        x, y = 180 + 76 * math.cos(angle), 240 + 66 * math.sin(angle)
        anchor = "end" if math.cos(angle) < -0.35 else "start" if math.cos(angle) > 0.35 else "middle"
        labels.append(Label(printed, x, y + 4, NORMAL, anchor, bold=i == chosen, fill=PAPER))
        if i == chosen:
            tip = (180 + 40 * math.cos(angle), 240 + 40 * math.sin(angle))
            tail = (180 - 24 * math.cos(angle), 240 - 24 * math.sin(angle))
            shapes.append(polyline([tail, tip], INK, 7))
            shapes.append(f'<circle cx="{num(tip[0])}" cy="{num(tip[1])}" r="2.5" fill="{PAPER}"/>')
    for x, shade, lead, at in ((120.0, RED, "red", leads[0]), (240.0, BLACK, "black", leads[1])):
        shapes.append(polyline([(x, 338), (x, 400)], INK, 7))
        shapes.append(polyline([(x, 338), (x, 400)], shade, 4))
        shapes.append(
            f'<circle cx="{num(x)}" cy="338" r="11" fill="{GROUND}" stroke="{INK}" stroke-width="2"/>'
            f'<circle cx="{num(x)}" cy="338" r="5" fill="{shade}"/>'
        )
        labels.append(Label(words.say(facts, lead if at else f"{lead}-free"), x, 418, NORMAL, "middle"))
    labels += [
        Label("V Ω", 120, 318, SMALL, "middle", fill=PAPER),
        Label("COM", 240, 318, SMALL, "middle", fill=PAPER),
    ]
    told = words.say(facts, "description" if all(leads) else "description-free")
    body = [*shapes, *(label.svg() for label in labels)]
    return document(Box(0, 0, width, height), words.say(facts, "title"), told, body, prefix=id_prefix)


__all__ = ["DIAL", "meter_face"]
