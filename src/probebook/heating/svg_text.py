"""SVG as a drawing library writes it, made the same everywhere.

Coordinates come with six decimals, of which the last depend on the machine, and names of what is referred to are made
from them. A thousandth of a point is finer than any eye; names are made again from what is left.
"""

from __future__ import annotations

import re
from hashlib import sha256

__all__ = ["settled_svg"]

_PLACED = re.compile(r' (?:d|x|y|width|height|transform)="[^"]*"')
_FINE = re.compile(r"-?\d+\.\d{4,}")
_NAMED = re.compile(r'<(clipPath|path|pattern)\b[^>]*? id="([a-z][0-9a-f]{10})"')


def settled_svg(svg: str) -> str:
    """The picture with three decimals to a coordinate, and made-up names that follow from what they name."""
    text = _PLACED.sub(lambda found: _FINE.sub(_three_decimals, found[0]), svg)
    for found in list(_NAMED.finditer(text)):
        element, name = found[1], found[2]
        close = text.find("/>" if element == "path" else f"</{element}>", found.start())
        content = text[found.start() : close].replace(name, "")
        text = text.replace(name, name[0] + sha256(content.encode()).hexdigest()[:10])
    return text


def _three_decimals(found: re.Match[str]) -> str:
    short = f"{float(found[0]):.3f}".rstrip("0").rstrip(".")
    return "0" if short == "-0" else short
