"""Colours of conductors and of our own drawing, with the letter codes that make colour never the only sign.

Colour names follow IEC 60445 (line brown, black or grey; neutral blue; protective conductor green-and-yellow), letter
codes follow IEC 60757 (BN, BU, GNYE …). The shades are our own.
"""

from __future__ import annotations

from dataclasses import dataclass

#: Ink of symbols, outlines and text; ground of every drawing, so that it reads on white and dark pages alike.
INK = "#1b2026"
GROUND = "#fcfcf8"
#: Quieter ink: outlines of parts, dashed links, secondary text (7:1 on the ground).
SOFT = "#4a5560"
#: Fill of bodies that stand on the ground.
PAPER = "#ffffff"


@dataclass(frozen=True, slots=True)
class ConductorColour:
    """A conductor colour: its word, letter code (IEC 60757), shade, and the second shade of a striped one."""

    word: str
    code: str
    shade: str
    stripe: str = ""


_COLOURS = {
    colour.word: colour
    for colour in (
        ConductorColour("black", "BK", "#14171a"),
        ConductorColour("brown", "BN", "#8a4b1c"),
        ConductorColour("red", "RD", "#c8281e"),
        ConductorColour("orange", "OG", "#ee8a12"),
        ConductorColour("yellow", "YE", "#f4d923"),
        ConductorColour("green", "GN", "#2f8f3a"),
        ConductorColour("blue", "BU", "#2f7fd6"),
        ConductorColour("violet", "VT", "#7d4bb0"),
        ConductorColour("grey", "GY", "#9aa2ab"),
        ConductorColour("white", "WH", "#ffffff"),
        ConductorColour("pink", "PK", "#f3a3bb"),
        ConductorColour("turquoise", "TQ", "#2fb5b0"),
        ConductorColour("green-yellow", "GNYE", "#2f8f3a", "#f4d923"),
    )
}


def conductor_colour(word: str) -> ConductorColour:
    """The colour of that name; one that the standard does not list is drawn grey with its first letters as code."""
    known = _COLOURS.get(word.strip().lower().replace(" ", "-").replace("-and-", "-"))
    return known or ConductorColour(word, word.strip().upper()[:4], "#9aa2ab")


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours written ``#rrggbb`` (WCAG 2.2, relative luminance), from 1 to 21."""
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
