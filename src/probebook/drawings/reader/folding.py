"""Where a wide drawing is folded to be read on a narrow page: its two halves then stand one under the other.

The fold crosses wires alone, and level ones only; each is marked on both sides of it.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from probebook.drawings.grounds import drawn_boxes
from probebook.drawings.layout import Layout
from probebook.drawings.marking import line_boxes
from probebook.drawings.svg import Box

__all__ = ["fold_of"]

#: Narrower drawings (units of the view box) need no fold.
WIDE = 1000.0
#: The fold lies in the middle part of the drawing, this share of its width from either side, and clear of all that is
#: drawn by so much.
SHARE, CLEAR, STEP = 0.22, 5.0, 2.0


def fold_of(plan: Layout, view: Box, full: Box) -> dict[str, Any] | None:
    """Where to fold, as plain data: x of the fold, the heights between which the circuit stands, what crosses it.

    ``view`` is the box of the circuit, ``full`` that of the whole drawing. None for a drawing that is narrow, or that
    has no place where only level wires pass.
    """
    width = view.right - view.left
    if width < WIDE:
        return None
    solid = [box for item in plan.units for box in drawn_boxes(item)]
    solid += [label.box for label in plan.labels.values()]
    solid += [box for bus in plan.buses for box in line_boxes(bus.stub) + line_boxes(bus.bar)]
    solid += [
        box
        for points in plan.wires.values()
        for one, other in pairwise(points)
        if one[0] == other[0]
        for box in line_boxes((one, other))
    ]
    middle = (view.left + view.right) / 2
    steps = int(width * (0.5 - SHARE) / STEP)
    for number in range(2 * steps + 1):
        x = middle + STEP * ((number + 1) // 2) * (1 if number % 2 else -1)
        if not any(box.left - CLEAR < x < box.right + CLEAR for box in solid):
            return {
                "at": round(x, 1),
                "box": [full.left, full.top, full.right, full.bottom],
                "rule": view.bottom - 4,
                "marks": _crossing(plan, x),
            }
    return None


def _crossing(plan: Layout, x: float) -> list[list[Any]]:
    """The wires that cross an upright line, and at what height."""
    return [
        [mark, one[1]]
        for mark, points in sorted(plan.wires.items())
        for one, other in pairwise(points)
        if min(one[0], other[0]) < x < max(one[0], other[0])
    ]
