"""Units of a schematic: the pieces that parts are drawn in, each with its own geometry.

A part falls into the groups of branches that share terminals: a selector is drawn once for each of its poles, where the
circuit has that pole (detached representation), unless its file gives it a place, which holds it together. The sections
of one element always stay together. Ports (terminals) lie on a grid; a unit's frame of reference has its origin at its
first left port, x rightwards and y downwards.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from probebook.appliances.model import Appliance, Branch, BranchKind, Part, PartKind
from probebook.drawings.saying import caption_of
from probebook.drawings.svg import NORMAL, SMALL, Box, text_width
from probebook.words import Words

#: Pitch of the routing grid; every port lies on it.
GRID = 20
#: How far a frame lies inside the ports.
INSET = 10.0
#: How far under its body a returning conductor runs.
RETURN = 40
_ROW, _RETURN_ROW = 60, 80


@dataclass(frozen=True, slots=True)
class Row:
    """One branch inside a unit: its height, the terminal each end of the body leads to, and the name shown.

    ``returns`` is true when both ends lead to the same side, so that the conductor comes back under the body.
    """

    branch: Branch
    left: str
    right: str
    y: float
    caption: str
    returns: bool = False

    def returned(self, side: Mapping[str, int]) -> str:
        """The terminal that the returning conductor leads to, empty when none returns."""
        if not self.returns:
            return ""
        return self.right if side[self.left] < 0 else self.left


@dataclass(frozen=True, slots=True)
class Unit:
    """A piece of a part as drawn, with ports relative to its origin; ``side`` is -1 left, 1 right, 0 both."""

    part: Part
    rows: tuple[Row, ...]
    ports: Mapping[str, tuple[int, int]]
    side: Mapping[str, int]
    tracks: Mapping[str, float]
    body: tuple[float, float]
    width: int
    box: Box
    framed: bool = False
    turn: int = 0
    grounded: bool = False

    @property
    def is_load(self) -> bool:
        """Whether it holds something that uses power."""
        return any(row.branch.kind not in (BranchKind.CONTACT, BranchKind.FUSE) for row in self.rows)

    def leaving(self, terminal: str) -> list[tuple[str, float]]:
        """The branches that leave a terminal inside the frame, and the heights at which they do."""
        found: list[tuple[str, float]] = []
        for row in self.rows:
            back = row.returned(self.side)
            ends = [end for end in (row.left, row.right) if end == terminal]
            found += [(row.branch.name, row.y + (RETURN if end == back else 0.0)) for end in ends]
        return found


def build_units(words: Words, appliance: Appliance, levels: Mapping[str, float]) -> list[Unit]:
    """Every unit of the appliance in the order of its parts; ``levels`` (1 at the line) decide what faces left."""
    units: list[Unit] = []
    for part in appliance.parts:
        branches = [appliance.branches[appliance.branch(n)] for n in part.branches]
        branches = [b for b in branches if b.kind is not BranchKind.INSULATION]
        groups = _groups(branches)
        if groups and (part.at is not None or part.kind is PartKind.ELEMENT):
            groups = [[b for group in groups for b in group]]
        units += [_unit(words, appliance, part, group, levels) for group in groups]
        drawn = {appliance.terminals[e] for b in branches for e in b.ends}
        metal = part.kind is PartKind.METALWORK
        supply = appliance.live
        bare = [t for t in part.terminals if t not in drawn]
        units += [_tag(part, t, metal or t == appliance.earth, t in supply) for t in bare]
    return units


def _groups(branches: Sequence[Branch]) -> list[list[Branch]]:
    groups: list[tuple[set[int], list[Branch]]] = []
    for branch in branches:
        ends, members = set(branch.ends), [branch]
        apart: list[tuple[set[int], list[Branch]]] = []
        for seen, others in groups:
            if seen & ends:
                ends, members = ends | seen, others + members
            else:
                apart.append((seen, others))
        groups = [*apart, (ends, members)]
    place = {b.name: i for i, b in enumerate(branches)}
    return sorted((members for _, members in groups), key=lambda g: min(place[b.name] for b in g))


def _tag(part: Part, name: str, grounded: bool, supply: bool) -> Unit:
    half = text_width(name, SMALL) / 2
    box = Box(-half, -40 if supply else -22, half, 8)
    return Unit(part, (), {name: (0, 0)}, {name: 0}, {}, (0, 0), 0, box, turn=part.turn, grounded=grounded)


def _unit(words: Words, appliance: Appliance, part: Part, branches: list[Branch], levels: Mapping[str, float]) -> Unit:
    if len(branches) == 1:
        return _single(words, appliance, part, branches[0], levels)
    return _framed(words, appliance, part, branches, levels)


def _ends(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    one, other = (appliance.terminals[e] for e in branch.ends)
    return one, other


def _single(words: Words, appliance: Appliance, part: Part, branch: Branch, levels: Mapping[str, float]) -> Unit:
    one, other = _ends(appliance, branch)
    turn = part.turn
    if part.at is None:
        turn = 180 if levels[one] < levels[other] - 1e-6 else 0
    caption = caption_of(words, part, branch, framed=False)
    span = _span(part, branch, one, other)
    above = 22.0
    if part.kind in (PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.REGULATOR):
        above = 50.0
    elif part.kind in (PartKind.SELECTOR, PartKind.SWITCH):
        above = 36.0
    if turn in (90, 270):
        side = max(text_width(caption, NORMAL, bold=True), text_width(one, SMALL)) + 26
        box = Box(-side, 0, above, span)
        ports = {one: (0, 0), other: (0, span)} if turn == 90 else {one: (0, span), other: (0, 0)}
        row = Row(branch, one, other, 0, caption)
        return Unit(part, (row,), ports, {one: 0, other: 0}, {}, (0, span), 0, box, turn=turn)
    left, right = (one, other) if turn == 0 else (other, one)
    spare = max(0.0, text_width(caption, NORMAL, bold=True) - span) / 2
    box = Box(-spare, -above, span + spare, 32)
    row = Row(branch, left, right, 0, caption)
    ports = {left: (0, 0), right: (span, 0)}
    return Unit(part, (row,), ports, {left: -1, right: 1}, {}, (0, span), span, box, turn=turn)


def _span(part: Part, branch: Branch, one: str, other: str) -> int:
    """From terminal to terminal of a unit on its own: room for its body and both marks above its leads."""
    wide = max(text_width(one, SMALL), text_width(other, SMALL)) + 8
    wide += 10 if branch.kind is BranchKind.COIL else 0
    least = 80
    if branch.kind not in (BranchKind.CONTACT, BranchKind.FUSE):
        least = 100
    elif branch.kind is BranchKind.CONTACT:
        breaks = part.kind in (PartKind.THERMOSTAT, PartKind.CUT_OUT) and not math.isinf(branch.cold_ohms)
        wide += 0 if breaks else 14
    return max(least, math.ceil(2 * wide / GRID) * GRID)


def upright(unit: Unit, first: str) -> Unit:
    """The unit stood on end in a rail, ``first`` on top: a tag with its mark beside it, or a single branch."""
    if not unit.rows:
        width = text_width(first, SMALL)
        return replace(unit, box=Box(-width - 10, -8, 8, 8), turn=90)
    row = unit.rows[0]
    last = row.right if row.left == first else row.left
    wide = max(text_width(row.caption, NORMAL, bold=True), text_width(first, SMALL), text_width(last, SMALL)) + 26
    return replace(
        unit,
        rows=(replace(row, left=first, right=last),),
        ports={first: (0, 0), last: (0, unit.width)},
        side={first: 0, last: 0},
        width=0,
        box=Box(-wide, 0, 40, unit.width),
        turn=90,
    )


def _sides(appliance: Appliance, branches: list[Branch], levels: Mapping[str, float], flip: bool) -> dict[str, int]:
    """Put each terminal left (-1) or right (1) so that branches cross over, the side nearer the line being left."""
    side: dict[str, int] = {}
    for group in _groups(branches):
        local: dict[str, int] = {_ends(appliance, group[0])[0]: -1}
        waiting = True
        while waiting:
            waiting = False
            for branch in group:
                one, other = _ends(appliance, branch)
                for known, new in ((one, other), (other, one)):
                    if known in local and new not in local:
                        local[new] = -local[known]
                        waiting = True
        means = {s: [levels[t] for t, at in local.items() if at == s] for s in (-1, 1)}
        mean = {s: math.fsum(v) / len(v) if v else 0.5 for s, v in means.items()}
        wrong = mean[-1] < mean[1] - 1e-6
        side.update({t: -s if wrong != flip else s for t, s in local.items()})
    return side


def _framed(
    words: Words, appliance: Appliance, part: Part, branches: list[Branch], levels: Mapping[str, float]
) -> Unit:
    side = _sides(appliance, branches, levels, part.turn == 180)
    heater = part.kind is PartKind.ELEMENT
    drafts: list[tuple[Branch, str, str, bool]] = []
    for branch in branches:
        one, other = _ends(appliance, branch)
        if side[one] == side[other]:
            drafts.append((branch, one, other, True))
        else:
            left, right = (one, other) if side[one] < 0 else (other, one)
            drafts.append((branch, left, right, False))
    first = {t: i for i, d in reversed(list(enumerate(drafts))) for t in (d[1], d[2]) if side[t] < 0}
    drafts.sort(key=lambda d: first.get(d[1], first.get(d[2], 0)))
    rows: list[Row] = []
    y = 0.0
    for branch, left, right, returns in drafts:
        rows.append(Row(branch, left, right, y, caption_of(words, part, branch, framed=True), returns))
        y += _RETURN_ROW if returns else _ROW
    return _framed_geometry(part, tuple(rows), side, heater)


def _framed_geometry(part: Part, rows: tuple[Row, ...], side: dict[str, int], heater: bool) -> Unit:
    spans = _end_heights(rows, side)
    columns = {s: _columns({t: v for t, v in spans.items() if side[t] == s}) for s in (-1, 1)}
    lefts = max(columns[-1].values(), default=-1) + 1
    rights = max(columns[1].values(), default=-1) + 1
    widest = {s: max((text_width(t, SMALL) for t in side if side[t] == s), default=0.0) for s in (-1, 1)}
    start = {0: 30.0, 1: 48.0}.get(lefts, INSET + 8 + widest[-1] + 14 * lefts + 8)
    stop = start + 40
    need = stop + 14 * rights + INSET + 8 + widest[1] - (0 if rights else 8 if not heater else 24)
    if heater:
        need = max(need, *(text_width(r.caption, SMALL) + 2 * INSET + 12 for r in rows))
    width = math.ceil(need / GRID) * GRID
    tracks = {t: (28.0 if lefts == 1 else INSET + 8 + widest[-1] + 14 * (c + 1)) for t, c in columns[-1].items()}
    tracks |= {t: stop + 14 * (c + 1) for t, c in columns[1].items()}
    ports = {t: (0 if side[t] < 0 else width, int(min(spans[t]))) for t in side}
    box = _frame_box(part, rows, width, heater)
    return Unit(part, rows, ports, side, tracks, (start, stop), width, box, framed=True, turn=part.turn)


def _end_heights(rows: tuple[Row, ...], side: Mapping[str, int]) -> dict[str, list[float]]:
    """Heights at which branches end at each terminal."""
    spans: dict[str, list[float]] = {t: [] for t in side}
    for row in rows:
        comes_back = row.returned(side)
        for end in (row.left, row.right):
            spans[end].append(row.y + RETURN if end == comes_back else row.y)
    return spans


def _frame_box(part: Part, rows: tuple[Row, ...], width: int, heater: bool) -> Box:
    last = rows[-1].y + (RETURN - 10 if rows[-1].returns else 0)
    return Box(4, -56 if part.kind is PartKind.REGULATOR else -46, width - 4, last + (30 if heater else 22))


def _columns(spans: Mapping[str, list[float]]) -> dict[str, int]:
    """A column for each terminal that needs an upright conductor inside the frame, none shared where they overlap."""
    taken: list[list[tuple[float, float]]] = []
    found: dict[str, int] = {}
    for name in sorted((t for t in spans if len(spans[t]) > 1), key=lambda t: (min(spans[t]), max(spans[t]))):
        low, high = min(spans[name]), max(spans[name])
        for i, column in enumerate(taken):
            if all(high < a or low > b for a, b in column):
                column.append((low, high))
                found[name] = i
                break
        else:
            found[name] = len(taken)
            taken.append([(low, high)])
    return found
