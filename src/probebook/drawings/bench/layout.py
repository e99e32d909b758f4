"""Where things stand on the drawing of an appliance on the bench: two columns of parts, grouped by the cover over them.

Parts under one cover stand together, so that the cover is one panel; every wire end has a line of its own, high enough
to be touched.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from probebook.appliances.model import Appliance, Part, PartKind, Wire
from probebook.drawings.saying import part_title
from probebook.drawings.svg import NORMAL, SMALL, Box, Point, wrapped
from probebook.words import Words

__all__ = ["AT_CONTROLS", "Arranged", "Group", "Measures", "Stand", "arranged", "narrow", "wide"]

#: Kinds of part that stand in the left column.
AT_CONTROLS = (
    PartKind.TERMINAL_BLOCK,
    PartKind.PLUG,
    PartKind.FUSE,
    PartKind.SELECTOR,
    PartKind.SWITCH,
    PartKind.REGULATOR,
    PartKind.THERMOSTAT,
    PartKind.NEON,
)
_LINE, _PAD, _GAP = 16.0, 6.0, 10.0
#: How much wider bold text is where none of the faces that are measured is at hand.
_BOLD = 1.14


@dataclass(frozen=True, slots=True)
class Measures:
    """Widths of a drawing: box of a part, stub and flag of a wire, space between; height of a line and of a strip."""

    box: float
    stub: float
    flag: float
    space: float
    text: float
    stacked: bool
    pitch: float = 32.0
    strip: float = 28.0
    edge: float = 4.0

    @property
    def width(self) -> float:
        """Width of the whole drawing."""
        return 2 * (self.edge + self.box + self.stub + self.flag) + self.space

    def terminal_x(self, side: int) -> float:
        """Where the terminals of a column stand."""
        inner = self.edge + self.box
        return inner if side < 0 else self.width - inner

    def flag_x(self, side: int) -> float:
        """The end of a flag that is nearer to its terminal."""
        return self.terminal_x(side) - side * self.stub


#: For a page of ordinary width, and for a telephone.
wide = Measures(150.0, 12.0, 76.0, 110.0, NORMAL, stacked=False)
narrow = Measures(84.0, 10.0, 44.0, 64.0, SMALL, stacked=True)


@dataclass(frozen=True, slots=True)
class Stand:
    """A part in its column: top, height, lines of its head, and the wires at each of its terminals."""

    part: Part
    side: int
    top: float
    head: tuple[str, ...]
    ends: tuple[tuple[str, tuple[Wire, ...]], ...]

    @property
    def head_height(self) -> float:
        """Height of the head."""
        return max(26.0, 8 + _LINE * len(self.head))

    def height(self, sizes: Measures) -> float:
        """Height of the box."""
        return self.head_height + sizes.pitch * sum(max(1, len(wires)) for _, wires in self.ends) + 4


@dataclass(frozen=True, slots=True)
class Group:
    """What stands under one cover in one column, and the box of its panel (its strip is the upper edge)."""

    cover: str
    box: Box
    stands: tuple[Stand, ...]


@dataclass(frozen=True, slots=True)
class Arranged:
    """The whole: groups, the point of each terminal, and the height of each wire end by (wire, terminal)."""

    sizes: Measures
    groups: tuple[Group, ...]
    terminals: Mapping[str, tuple[Point, int, float]]
    ends: Mapping[tuple[str, str], tuple[float, int]]
    height: float


def arranged(words: Words, appliance: Appliance, sizes: Measures) -> Arranged:
    """Set every part in its place, in the order found that lets its wires run most nearly level."""
    columns = {
        -1: [p for p in appliance.parts if p.kind in AT_CONTROLS],
        1: [p for p in appliance.parts if p.kind not in AT_CONTROLS],
    }
    best = _set(words, appliance, columns, sizes)
    least = _slope(appliance, best)
    now = best
    for sweep in range(12):
        side = 1 if sweep % 2 == 0 else -1
        far = {p.mark: _far(appliance, p, now) for p in columns[side]}
        of_cover = {
            cover: _mean([far[p.mark] for p in columns[side] if p.cover == cover])
            for cover in {p.cover for p in columns[side]}
        }
        columns[side].sort(key=lambda p: (of_cover[p.cover], p.cover, far[p.mark]))
        now = _set(words, appliance, columns, sizes)
        found = _slope(appliance, now)
        if found < least:
            best, least = now, found
    return best


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values) if values else 0.0


def _far(appliance: Appliance, part: Part, now: Arranged) -> float:
    heights = [
        now.ends[w.mark, other][0]
        for w in appliance.wires
        for own, other in ((w.start, w.end), (w.end, w.start))
        if own in part.terminals
    ]
    return _mean(heights) if heights else 1e6


def _slope(appliance: Appliance, now: Arranged) -> float:
    return math.fsum(abs(now.ends[w.mark, w.start][0] - now.ends[w.mark, w.end][0]) for w in appliance.wires)


def _set(words: Words, appliance: Appliance, columns: Mapping[int, Sequence[Part]], sizes: Measures) -> Arranged:
    groups: list[Group] = []
    terminals: dict[str, tuple[Point, int, float]] = {}
    ends: dict[tuple[str, str], tuple[float, int]] = {}
    height = 0.0
    for side, parts in columns.items():
        y = 0.0
        covers = list(dict.fromkeys(p.cover for p in parts))
        for cover in covers:
            top = y
            y += (sizes.strip if cover else 0.0) + _PAD
            stands: list[Stand] = []
            for part in (p for p in parts if p.cover == cover):
                stand = _stand(words, appliance, part, side, y, sizes)
                stands.append(stand)
                _enter(stand, sizes, terminals, ends)
                y += stand.height(sizes) + _PAD
            groups.append(Group(cover, _panel(side, top, y, sizes), tuple(stands)))
            height = max(height, y)
            y += _GAP
    return Arranged(sizes, tuple(groups), terminals, ends, height)


def _panel(side: int, top: float, bottom: float, sizes: Measures) -> Box:
    reach = sizes.edge + sizes.box + sizes.stub + sizes.flag
    return Box(0.0, top, reach, bottom) if side < 0 else Box(sizes.width - reach, top, sizes.width, bottom)


def _stand(words: Words, appliance: Appliance, part: Part, side: int, top: float, sizes: Measures) -> Stand:
    has_sign = part.kind in (PartKind.ELEMENT, PartKind.LAMP, PartKind.NEON, PartKind.MOTOR)
    room = (sizes.box - (34 if has_sign else 16)) / _BOLD
    head = tuple(wrapped(part_title(words, part), room, sizes.text))
    ends = tuple((t, tuple(w for w in appliance.wires if t in (w.start, w.end))) for t in part.terminals)
    return Stand(part, side, top, head, ends)


def _enter(
    stand: Stand,
    sizes: Measures,
    terminals: dict[str, tuple[Point, int, float]],
    ends: dict[tuple[str, str], tuple[float, int]],
) -> None:
    y = stand.top + stand.head_height
    for name, wires in stand.ends:
        used = sizes.pitch * max(1, len(wires))
        terminals[name] = ((sizes.terminal_x(stand.side), y + used / 2), stand.side, used)
        for i, wire in enumerate(wires):
            ends[wire.mark, name] = (y + sizes.pitch * (i + 0.5), stand.side)
        y += used
