"""Places for the marks of wires: on a level stretch of their own wire, clear of everything else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from probebook.appliances.model import Wire
from probebook.drawings.colours import conductor_colour
from probebook.drawings.svg import SMALL, Box, Label, Point, text_width

_HALF_LINE = 4.0
_CLEAR = 3.0
#: Wire to be seen at either side of a mark that stands in it.
_SHOWN = 6.0


def wire_mark(wire: Wire) -> str:
    """What stands on a drawn wire: its mark and the letter code of its colour, ``W7 BN``."""
    return f"{wire.mark} {conductor_colour(wire.colour).code}"


def line_boxes(points: Sequence[Point]) -> list[Box]:
    """Boxes round the stretches of a line."""
    return [
        Box(min(x0, x1) - _HALF_LINE, min(y0, y1) - _HALF_LINE, max(x0, x1) + _HALF_LINE, max(y0, y1) + _HALF_LINE)
        for (x0, y0), (x1, y1) in pairwise(points)
    ]


def mark_wires(
    wires: Sequence[Wire], lines: Mapping[str, Sequence[Point]], solid: Sequence[Box]
) -> tuple[dict[str, Label], list[str]]:
    """A label for each wire, and the marks of wires whose label overlaps something all the same.

    Wires with the least room choose first.
    """
    boxes = {mark: line_boxes(points) for mark, points in lines.items()}
    labels: dict[str, Label] = {}
    missing: list[str] = []
    for wire in sorted(wires, key=lambda w: (_longest_level(lines[w.mark]), w.mark)):
        others = [b for mark, own in boxes.items() if mark != wire.mark for b in own]
        in_way = [*solid, *others, *(label.box for label in labels.values())]
        text = wire_mark(wire)
        for label, on_wire in _candidates(text, lines[wire.mark], in_way):
            blocked = in_way if on_wire else [*in_way, *boxes[wire.mark]]
            if not any(label.box.meets(b, _CLEAR if on_wire else 1.0) for b in blocked):
                labels[wire.mark] = label
                break
        else:
            missing.append(wire.mark)
            (x0, y0), (x1, y1) = lines[wire.mark][:2]
            labels[wire.mark] = Label(text, (x0 + x1) / 2, (y0 + y1) / 2 + 4.3, anchor="middle")
    return {wire.mark: labels[wire.mark] for wire in wires}, missing


def _longest_level(points: Sequence[Point]) -> float:
    return max((abs(b[0] - a[0]) for a, b in pairwise(points)), default=0.0)


def _candidates(text: str, points: Sequence[Point], in_way: Sequence[Box]) -> Iterator[tuple[Label, bool]]:
    """Labels to try, best first: in a level stretch, in an upright one, then beside and above."""
    width = text_width(text, SMALL)
    level: list[tuple[float, Point]] = []
    upright: list[tuple[float, Point]] = []
    for (x0, y0), (x1, y1) in pairwise(points):
        if y0 == y1:
            for left, right in _free(min(x0, x1), max(x0, x1), y0, in_way):
                if right - left >= width + 2 * _SHOWN:
                    level.append((left - right, ((left + right) / 2, y0)))
        elif abs(y1 - y0) >= SMALL + 2 * _SHOWN:
            steps = int(abs(y1 - y0) // 10)
            middle = (y0 + y1) / 2
            for i in range(steps - 1):
                offset = 10 * ((i + 1) // 2) * (1 if i % 2 else -1)
                if abs(offset) <= abs(y1 - y0) / 2 - SMALL:
                    upright.append((abs(offset), (x0, middle + offset)))
    for _, (x, y) in sorted(level):
        yield Label(text, x, y + 4.3, anchor="middle"), True
    for _, (x, y) in sorted(upright):
        yield Label(text, x, y + 4.3, anchor="middle"), True
    for _, (x, y) in sorted(upright):
        yield Label(text, x + 8, y + 4.3), False
        yield Label(text, x - 8, y + 4.3, anchor="end"), False
    for (x0, y0), (x1, y1) in pairwise(points):
        if y0 == y1:
            for share in (0.5, 0.3, 0.7, 0.1, 0.9):
                x = x0 + (x1 - x0) * share
                yield Label(text, x, y0 - 8, anchor="middle"), False
                yield Label(text, x, y0 + 16, anchor="middle"), False


def _free(left: float, right: float, y: float, in_way: Sequence[Box]) -> list[tuple[float, float]]:
    """Parts of a level stretch at which nothing stands in the way of a line of text."""
    half = SMALL / 2 + _CLEAR - 0.5
    cuts = sorted(
        (b.left - _CLEAR, b.right + _CLEAR)
        for b in in_way
        if b.top < y + half and y - half < b.bottom and b.left < right and left < b.right
    )
    free: list[tuple[float, float]] = []
    at = left
    for start, stop in cuts:
        if start > at:
            free.append((at, start))
        at = max(at, stop)
    if at < right:
        free.append((at, right))
    return free
