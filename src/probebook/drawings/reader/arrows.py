"""Arrows on a wire in the sense of the current, clear of its mark, its corners and its ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from probebook.drawings.colours import INK, PAPER
from probebook.drawings.svg import Box, Point, num

__all__ = ["arrows"]

#: Length and half the width of an arrow, how far apart they stand, and the clear way before and behind one.
_LONG, _HALF, _APART, _CLEAR = 15.0, 8.0, 110.0, 4.0
#: At most so many on one wire.
_MOST = 4


def arrows(points: Sequence[Point], mark: Box) -> str:
    """Arrows along a run, as shapes; one at least where there is room for any."""
    shapes = [_shape(*place) for place in _places(points, mark)]
    return "".join(shapes[:_MOST])


def _places(points: Sequence[Point], mark: Box) -> Iterator[tuple[Point, Point]]:
    """Middle and direction of each arrow."""
    need = _LONG / 2 + _CLEAR
    for (x0, y0), (x1, y1) in pairwise(points):
        length = abs(x1 - x0) + abs(y1 - y0)
        if length < 2 * need:
            continue
        dx, dy = (x1 - x0) / length, (y1 - y0) / length
        for low, high in _free(length, (x0, y0), (dx, dy), mark):
            if high - low < 2 * need:
                continue
            count = max(1, int((high - low) // _APART))
            for number in range(count):
                far = low + (high - low) * (number + 0.5) / count
                yield (x0 + dx * far, y0 + dy * far), (dx, dy)


def _free(length: float, start: Point, step: Point, mark: Box) -> list[tuple[float, float]]:
    """The parts of a stretch that the mark of the wire does not cover, as lengths from its beginning."""
    end = (start[0] + step[0] * length, start[1] + step[1] * length)
    around = Box(min(start[0], end[0]), min(start[1], end[1]), max(start[0], end[0]), max(start[1], end[1]))
    if not around.meets(mark, 6):
        return [(0.0, length)]
    ends = sorted(
        (x - start[0]) * step[0] + (y - start[1]) * step[1]
        for x, y in ((mark.left, mark.top), (mark.right, mark.bottom))
    )
    return [(0.0, max(0.0, ends[0])), (min(length, ends[1]), length)]


def _shape(at: Point, way: Point) -> str:
    (x, y), (dx, dy) = at, way
    tip = (x + dx * _LONG / 2, y + dy * _LONG / 2)
    back = (x - dx * _LONG / 2, y - dy * _LONG / 2)
    sides = [(back[0] - dy * _HALF * s, back[1] + dx * _HALF * s) for s in (1, -1)]
    path = "M" + " L".join(f"{num(px)} {num(py)}" for px, py in (sides[0], tip, sides[1])) + " Z"
    return f'<path d="{path}" fill="{INK}" stroke="{PAPER}" stroke-width="1.5"/>'
