"""SVG written directly as text: numbers, text and its measured boxes, and the document round a drawing.

Everything is written with presentation attributes, never with a style sheet, so that several drawings can stand in one
page without reaching into each other.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import escape

from probebook.drawings.colours import GROUND, INK

Point = tuple[float, float]

#: Face of all text. Widths are measured for the first; the margin in :func:`text_width` covers the others.
FACE = "Liberation Sans, Arial, Helvetica, sans-serif"
#: Smallest text that any drawing holds, in units of its view box.
SMALL = 12.0
NORMAL = 13.0
LARGE = 17.0

# Advance widths in thousandths of the size, from the published Adobe font metrics of Helvetica (from memory).
_WIDTHS = {
    222: "ijl'",
    278: " .,:;!/|It[]()·",
    333: "-r`",
    500: "cksvxyzJ",
    556: "abdeghnopqu0123456789L?_$",
    611: "FTZ",
    667: "ABEKPSVXY&",
    722: "CDHNRUw",
    778: "GOQ",
    833: "mM",
    944: "W",
}
_WIDTH_OF = {letter: width for width, letters in _WIDTHS.items() for letter in letters}


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in units of the view box."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box, clear: float = 0.0) -> bool:
        """Whether the two come closer than ``clear``."""
        return (
            self.left < other.right + clear
            and other.left < self.right + clear
            and self.top < other.bottom + clear
            and other.top < self.bottom + clear
        )

    def moved(self, dx: float, dy: float) -> Box:
        """The same box elsewhere."""
        return Box(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)


@dataclass(frozen=True, slots=True)
class Label:
    """A piece of text with its place: ``x`` is the start, middle or end, ``y`` the base line."""

    text: str
    x: float
    y: float
    size: float = SMALL
    anchor: str = "start"
    bold: bool = False
    fill: str = INK

    @property
    def box(self) -> Box:
        """Box of the text by font metrics."""
        width = text_width(self.text, self.size, bold=self.bold)
        left = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return Box(left, self.y - 0.78 * self.size, left + width, self.y + 0.2 * self.size)

    def svg(self) -> str:
        """The text element."""
        weight = ' font-weight="bold"' if self.bold else ""
        return (
            f'<text x="{num(self.x)}" y="{num(self.y)}" font-size="{num(self.size)}" text-anchor="{self.anchor}"'
            f'{weight} fill="{self.fill}">{escape(self.text, quote=False)}</text>'
        )


def num(value: float) -> str:
    """A coordinate with at most two places, spelt the same everywhere."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width that a text takes, a tenth over the metrics so that a wider fallback face still fits."""
    units = sum(_WIDTH_OF.get(letter, 667) for letter in text)
    return units / 1000 * size * (1.16 if bold else 1.1)


def wrapped(text: str, width: float, size: float) -> list[str]:
    """The text in lines no wider than ``width``, broken at spaces."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def identifier(prefix: str, kind: str, name: str) -> str:
    """The id of a drawn thing: ``t-E2-1`` for terminal E2.1, ``w-W7`` for a wire, ``p-E2`` for a part."""
    return f"{prefix}{kind}-{re.sub(r'[^A-Za-z0-9]+', '-', name)}"


def polyline(points: list[Point], stroke: str, width: float, extra: str = "") -> str:
    """An open line through points."""
    path = "M" + " L".join(f"{num(x)} {num(y)}" for x, y in points)
    return f'<path d="{path}" fill="none" stroke="{stroke}" stroke-width="{num(width)}"{extra}/>'


def document(view: Box, title: str, desc: str, body: list[str], *, prefix: str = "", data: str = "") -> str:
    """A whole drawing with its title, text alternative and light ground; ends with a newline.

    ``data`` is what a page can do with it, as JSON, kept beside the drawing.
    """
    width, height = view.right - view.left, view.bottom - view.top
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="{num(view.left)} {num(view.top)} {num(width)}'
        f' {num(height)}" width="{num(width)}" height="{num(height)}" style="max-width:100%;height:auto"'
        f' aria-labelledby="{prefix}title {prefix}desc" font-family="{FACE}" stroke-linecap="round"'
        ' stroke-linejoin="round">',
        f'<title id="{prefix}title">{escape(title, quote=False)}</title>',
        f'<desc id="{prefix}desc">{escape(desc, quote=False)}</desc>',
        *([f"<metadata>{escape(data, quote=False)}</metadata>"] if data else []),
        f'<rect x="{num(view.left)}" y="{num(view.top)}" width="{num(width)}" height="{num(height)}" rx="6"'
        f' fill="{GROUND}"/>',
        *body,
        "</svg>",
    ]
    return "\n".join(lines) + "\n"
