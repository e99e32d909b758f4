"""Pictures on paper: vectors in the printed typeface, as large as the page allows, enlarged part by part."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from xml.etree import ElementTree

from probebook.publish.markup import quoted

__all__ = ["Sheet", "told", "typeset"]

SVG = "{http://www.w3.org/2000/svg}"
#: The typeface of print is wider than that of the screen: its letters are set so much smaller in drawings.
NARROWER = 0.86
#: Points in a centimetre; points in a unit of a drawing.
CM, UNIT = 72 / 2.54, 0.75
#: Parts of a drawing that is enlarged overlap by this share; there are at most so many along a side.
OVERLAP, MOST_PARTS = 0.08, 3
#: What stands for a drawing whose letters have no size of their own (curves): the size of its letters, in units.
USUAL = 11.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """Room for a drawing: upright and broad width and height, and the least size of letters, all in points."""

    width: float = 17 * CM
    height: float = 21 * CM
    broad: float = 26.2 * CM
    low: float = 16 * CM
    letters: float = 6.4


@dataclass(frozen=True, slots=True)
class _Drawing:
    left: float
    top: float
    width: float
    height: float
    letters: float


def told(svg: str) -> str:
    """What a drawing says in words: its title and its description."""
    root = ElementTree.fromstring(svg)
    parts = [(root.findtext(f"{SVG}{name}") or "").strip() for name in ("title", "desc")]
    return ". ".join(part.rstrip(".") for part in parts if part) + "."


def typeset(svg: str, alt: str, sheet: Sheet, *, parts: bool = False) -> str:
    """The code that shows a drawing.

    It stands in the text where its letters are large enough there, else on a broad page of its own. With ``parts`` a
    drawing whose letters are too small even so follows once more in enlarged parts, a page each.
    """
    drawing, text = _measured(svg), _in_print(svg)
    inside = min(UNIT * 1.15, sheet.width / drawing.width, sheet.height / drawing.height)
    if inside * drawing.letters >= sheet.letters or drawing.width < drawing.height:
        return f"figure({_image(text, alt, inside * drawing.width)})"
    broad = min(sheet.broad / drawing.width, sheet.low / drawing.height)
    whole = _page(_image(text, alt, broad * drawing.width))
    if not parts or broad * drawing.letters >= sheet.letters:
        return whole
    return whole + ";" + ";".join(_parts(text, alt, drawing, sheet))


def _parts(text: str, alt: str, drawing: _Drawing, sheet: Sheet) -> list[str]:
    """The enlarged parts, row by row from the top."""
    scale = sheet.letters / drawing.letters
    across = _count(scale * drawing.width / sheet.broad)
    down = _count(scale * drawing.height / sheet.low)
    wide, high = drawing.width / across, drawing.height / down
    pages = []
    for row in range(down):
        for column in range(across):
            box = (
                drawing.left + (column - OVERLAP / 2) * wide, drawing.top + (row - OVERLAP / 2) * high,
                wide * (1 + OVERLAP), high * (1 + OVERLAP),
            )  # fmt: skip
            size = rf'\1 width="{box[2]:.2f}" height="{box[3]:.2f}"'
            cut = re.sub(r'viewBox="[^"]*"', 'viewBox="' + " ".join(f"{v:.2f}" for v in box) + '"', text, count=1)
            cut = re.sub(r'(<svg[^>]*?) width="[^"]*" height="[^"]*"', size, cut, count=1)
            fit = min(sheet.broad / box[2], sheet.low / box[3])
            name = f"{alt.partition('. ')[0]} ({row * across + column + 1}/{across * down})"
            pages.append(_page(_image(cut, name, fit * box[2])))
    return pages


def _count(times: float) -> int:
    return max(1, min(MOST_PARTS, math.ceil(times - 0.15)))


def _image(svg: str, alt: str, width: float) -> str:
    return f'image(bytes({quoted(svg)}), format: "svg", width: {width:.1f}pt, alt: {quoted(alt)})'


def _page(image: str) -> str:
    return f"page(flipped: true, margin: 1.7cm, align(center + horizon, figure({image})))"


def _measured(svg: str) -> _Drawing:
    root = ElementTree.fromstring(svg)
    left, top, width, height = (float(part) for part in root.attrib["viewBox"].split())
    sizes = [float(n) for n in re.findall(r'font-size="([\d.]+)"', svg)]
    return _Drawing(left, top, width, height, NARROWER * min(sizes) if sizes else USUAL)


def _in_print(svg: str) -> str:
    """The drawing in the typeface of print, without what only a screen uses."""
    smaller = re.sub(r'font-size="([\d.]+)"', lambda m: f'font-size="{float(m[1]) * NARROWER:.2f}"', svg)
    family = re.sub(r'font-family="[^"]*"', 'font-family="DejaVu Sans"', smaller)
    return re.sub(r' style="max-width:100%;height:auto"', "", family)
