"""Bands of a quantity, which are in SI, as ranges of the number that is typed: disjoint, closed, and exact.

A package asks for a bare number in the unit beside the box. Whether such a number lies in a band is decided here by the
reading that marking uses itself, down to the last float, so that a player which does nothing but compare two numbers
comes to the same end at every edge. Where bands of slips overlap, each range goes to the slip that marking would name.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Callable
from dataclasses import dataclass

from probebook.errors import AnswerError
from probebook.questions.marking import read_quantity
from probebook.questions.model import Band, Field, FieldMark

__all__ = ["Range", "key_range", "least_typed", "slip_ranges"]

#: What is typed is searched between these ends; no quantity of the trade comes near.
FARTHEST = 1e30


@dataclass(frozen=True, slots=True)
class Range:
    """Typed numbers from ``low`` to ``high``, both among them; ``high`` is None where there is no end."""

    low: float
    high: float | None


def key_range(field: Field) -> Range | None:
    """The typed numbers that are right; None where none is."""
    return _range(field, field.band) if field.band is not None else None


def slip_ranges(
    field: Field, bands: tuple[Band, ...], marked: Callable[[str], FieldMark]
) -> list[tuple[Range, FieldMark]]:
    """The typed numbers that show a slip, in rising order, each with what marking says of them.

    Parameters
    ----------
    field
        The quantity.
    bands
        Of its slips.
    marked
        Marks a typed text.
    """
    starts = {float(start) for band in bands for start in _starts(field, band)}
    if field.band is not None:
        starts |= {float(start) for start in _starts(field, field.band)}
    edges = sorted(starts)
    if not edges:
        return []
    found: list[tuple[Range, FieldMark]] = []
    for low, after in zip(edges, [*edges[1:], FARTHEST], strict=True):
        for part, mark in _parts(low, math.nextafter(after, -math.inf), marked):
            if not mark.slip:
                continue
            last = found[-1] if found else None
            if last and last[1] == mark and last[0].high == math.nextafter(part.low, -math.inf):
                found[-1] = (Range(last[0].low, part.high), mark)
            else:
                found.append((part, mark))
    return [(Range(part.low, None if part.high and part.high > FARTHEST / 10 else part.high), m) for part, m in found]


def _range(field: Field, band: Band) -> Range | None:
    if math.isinf(band.low):
        return None
    low = least_typed(field, lambda value: value >= band.low)
    if math.isinf(band.high):
        return Range(low, None)
    high = math.nextafter(least_typed(field, lambda value: value > band.high), -math.inf)
    return Range(low, high) if low <= high else None


def _starts(field: Field, band: Band) -> list[float]:
    """Where a band begins, where what is above it begins, and its middle, where the nearest of two slips may change."""
    if math.isinf(band.low):
        return []
    found = [least_typed(field, lambda value: value >= band.low)]
    if not math.isinf(band.high):
        middle = (band.low + band.high) / 2
        found += [
            least_typed(field, lambda value: value > band.high),
            least_typed(field, lambda value: value >= middle),
        ]
    return found


def _parts(low: float, high: float, marked: Callable[[str], FieldMark]) -> list[tuple[Range, FieldMark]]:
    """The stretch cut where marking says something else: at most once for each slip, since distances are straight."""
    found: list[tuple[Range, FieldMark]] = []
    while low <= high:
        mark = marked(repr(low))
        if marked(repr(high)) == mark:
            found.append((Range(low, high), mark))
            break
        same, other = _rank(low), _rank(high)
        while other - same > 1:
            middle = (same + other) // 2
            if marked(repr(_float(middle))) == mark:
                same = middle
            else:
                other = middle
        found.append((Range(low, _float(same)), mark))
        low = _float(other)
    return found


def least_typed(field: Field, holds: Callable[[float], bool]) -> float:
    """The least number that can be typed and of whose SI value something holds; what holds goes on holding above it."""

    def does(typed: float) -> bool:
        try:
            return holds(read_quantity(field, repr(typed)))
        except AnswerError as error:
            return error.reason == "too-large"

    least = -FARTHEST if _below_zero(field) else 0.0
    if does(least):
        return least
    below, above = _rank(least), _rank(FARTHEST)
    while above - below > 1:
        middle = (below + above) // 2
        if does(_float(middle)):
            above = middle
        else:
            below = middle
    return _float(above)


def _below_zero(field: Field) -> bool:
    """Whether numbers below nought are read in this field."""
    try:
        read_quantity(field, "-1")
    except AnswerError:
        return False
    return True


def _rank(value: float) -> int:
    """The place of a float among all floats."""
    (bits,) = struct.unpack(">q", struct.pack(">d", value))
    return int(bits) if bits >= 0 else -(int(bits) & 0x7FFF_FFFF_FFFF_FFFF)


def _float(rank: int) -> float:
    """The float at a place among all floats."""
    value: float = struct.unpack(">d", struct.pack(">q", abs(rank)))[0]
    return value if rank >= 0 else -value
