"""Reads facts out of a drawing: elements by class, lines as points, and text with boxes from published font metrics."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]
Rect = tuple[float, float, float, float]


def parse(svg: str) -> ET.Element:
    """The root of a drawing; fails when it is not well-formed XML."""
    return ET.fromstring(svg)


def groups(root: ET.Element, name: str) -> list[ET.Element]:
    """Every group of a class."""
    return [g for g in root.iter(f"{SVG}g") if g.get("class") == name]


def view_box(root: ET.Element) -> Rect:
    """The view box as left, top, right, bottom."""
    x, y, w, h = (float(v) for v in root.attrib["viewBox"].split())
    return x, y, x + w, y + h


def points(path: ET.Element) -> list[Point]:
    """Points of a path made of straight lines."""
    numbers = [float(v) for v in re.findall(r"-?\d+\.?\d*", path.attrib["d"])]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def lines(group: ET.Element) -> list[tuple[list[Point], float]]:
    """Every path under a group with its stroke width."""
    return [(points(p), float(p.attrib["stroke-width"])) for p in group.iter(f"{SVG}path")]


def wire_line(group: ET.Element) -> list[Point]:
    """The run of a wire: its outline, the second of its strokes."""
    return lines(group)[1][0]


def terminals(root: ET.Element) -> dict[str, Point]:
    """Where each terminal is."""
    found: dict[str, Point] = {}
    for group in groups(root, "terminal"):
        circle = group.find(f"{SVG}circle")
        assert circle is not None
        found[group.attrib["data-terminal"]] = float(circle.attrib["cx"]), float(circle.attrib["cy"])
    return found


@cache
def helvetica(bold: bool) -> dict[str, float]:
    """Advance widths from Adobe's font metrics of Helvetica as matplotlib ships them, in thousandths of the size."""
    import matplotlib as mpl

    name = "Helvetica-Bold.afm" if bold else "Helvetica.afm"
    text = (Path(mpl.get_data_path()) / "fonts" / "pdfcorefonts" / name).read_text(encoding="latin-1")
    rows = re.findall(r"^C (-?\d+) ; WX (\d+) ; N (\w+)", text, re.MULTILINE)
    widths = {chr(int(code)): float(width) for code, width, _ in rows if int(code) >= 0}
    names = {name: float(width) for _, width, name in rows}
    return widths | {
        "°": names["degree"],
        "–": names["endash"],
        "·": names["periodcentered"],
        "²": names["twosuperior"],
    }


@dataclass(frozen=True)
class Text:
    """A text element, its box and its size."""

    words: str
    box: Rect
    size: float


def text_of(element: ET.Element) -> Text:
    """A text element with its box: advance widths of Helvetica, cap height and descent of a common sans-serif."""
    words = element.text or ""
    size, x, y = (float(element.attrib[k]) for k in ("font-size", "x", "y"))
    widths = helvetica(element.get("font-weight") == "bold")
    width = sum(widths.get(letter, 600.0) for letter in words) / 1000 * size
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[element.get("text-anchor", "start")]
    return Text(words, (left, y - 0.73 * size, left + width, y + 0.2 * size), size)


def texts(root: ET.Element) -> list[Text]:
    """Every text of a drawing."""
    return [text_of(e) for e in root.iter(f"{SVG}text")]


def overlap(one: Rect, other: Rect) -> bool:
    """Whether two boxes share an area."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def segments(line: list[Point]) -> list[tuple[Point, Point]]:
    """The straight pieces of a line."""
    return list(pairwise(line))


def on_segment(point: Point, one: Point, other: Point) -> bool:
    """Whether a point lies on a level or upright piece."""
    (x, y), (x0, y0), (x1, y1) = point, one, other
    return min(x0, x1) <= x <= max(x0, x1) and min(y0, y1) <= y <= max(y0, y1)


def shared_length(a: tuple[Point, Point], b: tuple[Point, Point]) -> float:
    """Length over which two level or upright pieces lie on one another."""
    for axis in (0, 1):
        other = 1 - axis
        if a[0][other] == a[1][other] == b[0][other] == b[1][other]:
            low = max(min(a[0][axis], a[1][axis]), min(b[0][axis], b[1][axis]))
            high = min(max(a[0][axis], a[1][axis]), max(b[0][axis], b[1][axis]))
            return max(0.0, high - low)
    return 0.0
