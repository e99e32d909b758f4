"""The display: from a count of digits to the text a learner sees, and back."""

from __future__ import annotations

import math
import re
from decimal import Decimal

from probebook.errors import AnswerError
from probebook.meters.model import Function, Range

__all__ = ["display_to_value", "format_count", "format_overload"]

EXPONENTS = {"m": -3, "": 0, "k": 3, "M": 6, "G": 9}
OVERLOADS = frozenset(("OL", "O.L", "O.L.", "OVER"))
DISPLAY = re.compile(r"(?P<over>>?)\s*(?P<number>\d+(?:\.\d+)?)\s*(?P<prefix>[mkMG]?)(?P<unit>Ω|V|A)")


def prefix_of(function: Function, full_scale: float) -> str:
    """Return the unit prefix a range displays in; insulation is always in megohms."""
    if function is Function.INSULATION:
        return "M"
    if function.unit != "Ω" or full_scale < 1e3:
        return ""
    return "k" if full_scale < 1e6 else "M"


def _decimal(value: float) -> Decimal:
    """Return ``value`` as the short decimal it was written as."""
    return Decimal(f"{value:.12g}")


def format_count(function: Function, shown: Range, count: int) -> str:
    """Return the display of ``count`` steps of the last digit of the range ``shown``.

    >>> format_count(Function.OHMS, Range(5999.0, 1.0, 0.01, 2), 1215)
    '1.215 kΩ'
    """
    prefix = prefix_of(function, shown.full_scale)
    step = _decimal(shown.resolution).scaleb(-EXPONENTS[prefix])
    step = step.normalize()
    decimals = max(0, -int(step.as_tuple().exponent))
    return f"{count * step:.{decimals}f} {prefix}{function.unit}"


def format_overload(function: Function, top: Range) -> str:
    """Return the display of a value above the top range: ``OL``, or ``>999 MΩ`` for insulation."""
    if function is not Function.INSULATION:
        return "OL"
    return f">{format_count(function, top, count_of(top))}"


def count_of(shown: Range) -> int:
    """Return the largest count the range ``shown`` displays."""
    return int(_decimal(shown.full_scale) / _decimal(shown.resolution))


def display_to_value(text: str, function: Function) -> float:
    """Read a display back as a float in SI; an over-range display is ``inf``.

    Raises
    ------
    AnswerError
        The text is no display of ``function``.
    """
    shown = text.strip()
    if shown.upper() in OVERLOADS:
        return math.inf
    found = DISPLAY.fullmatch(shown)
    if not found or found["unit"] != function.unit:
        raise AnswerError(
            f'"{text}" is not a display of the {function.value} function',
            remedy=f"copy the display with its unit, such as 12.3 {function.unit} or OL",
        )
    if found["over"]:
        return math.inf
    return float(f"{found['number']}e{EXPONENTS[found['prefix']]}")
