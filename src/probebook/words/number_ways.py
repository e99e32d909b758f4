"""Ways of saying numbers, counts and dates."""

from __future__ import annotations

import math
from datetime import date

from probebook.numerics.rounding import shown
from probebook.unit_format import format_quantity, plain_quantity
from probebook.unit_table import find_unit
from probebook.words.language import Language
from probebook.words.way_registry import ArgumentsError, Said, digits_of, text_of, way

# ---------------------------------------------------------------- numbers


@way("g", "number count")
def _general(language: Language) -> Said:
    number = language.number
    return lambda x: number(f"{shown(x):g}")


@way("sig", "number count")
def _significant(language: Language, digits: int) -> Said:
    spec, number = f".{digits_of(digits, 1)}g", language.number
    return lambda x: number(format(shown(x), spec))


@way("fixed", "number count")
def _fixed(language: Language, digits: int) -> Said:
    spec, number = f".{digits_of(digits)}f", language.number
    return lambda x: number(format(shown(x), spec))


@way("comma", "number count")
def _thousands(language: Language, digits: int = 0) -> Said:
    spec, number = f",.{digits_of(digits)}f", language.number
    return lambda x: number(format(shown(x), spec))


@way("spaced", "number count")
def _spaced(language: Language, digits: int = 0) -> Said:
    spec, number = f",.{digits_of(digits)}f", language.number
    return lambda x: number(format(shown(x), spec).replace(",", "\u202f"))


@way("percent", "number")
def _percent(language: Language, digits: int = 0) -> Said:
    spec, number = f".{digits_of(digits)}f", language.number
    return lambda x: f"{number(format(shown(100 * x), spec))} %"


@way("quantity", "number")
def _quantity(language: Language, unit: str, digits: int = 3, prefix: bool = True) -> Said:
    if find_unit(text_of(unit)) is None:
        raise ArgumentsError(f"there is no unit '{unit}'")
    digits_of(digits, 1)
    number = language.number
    return lambda x: number(format_quantity(x, unit, digits, prefix=prefix))


@way("plain", "number")
def _plain(language: Language, unit: str) -> Said:
    if find_unit(text_of(unit)) is None:
        raise ArgumentsError(f"there is no unit '{unit}'")
    number = language.number
    return lambda x: number(plain_quantity(x, unit))


@way("ohms", "number")
def _ohms(language: Language, digits: int = 3) -> Said:
    digits_of(digits, 1)
    number = language.number
    return lambda x: "OL" if math.isinf(x) else number(format_quantity(x, "ohm", digits))


@way("watts", "number")
def _watts(language: Language, digits: int = 4) -> Said:
    spec, number = f".{digits_of(digits, 1)}g", language.number
    return lambda x: f"{number(f'{float(format(shown(x), spec)):g}')} W"


@way("rating", "number")
def _rating(language: Language) -> Said:
    number = language.number
    return lambda x: number(f"{shown(x / 1000):g} kW" if shown(x) >= 1000 else f"{shown(x):g} W")


_FRACTIONS = {"⅓": 1 / 3, "½": 1 / 2, "⅔": 2 / 3, "¼": 1 / 4, "¾": 3 / 4}


#: A number this near to a third, a half or a quarter is said as one.
NEAR = 0.04


@way("fraction", "number")
def _fraction(language: Language) -> Said:
    number = language.number

    def say(x: float) -> str:
        whole = math.floor(x + 1e-9)
        for sign, part in _FRACTIONS.items():
            if abs(x - whole - part) <= NEAR:
                return f"{whole or ''}{sign}"
        return number(f"{shown(x):g}")

    return say


@way("spelled", "count")
def _spelled(language: Language) -> Said:
    words = language.numerals
    return lambda n: words[n] if 0 <= n < len(words) else str(n)


@way("date", "date")
def _date(language: Language) -> Said:
    def say(day: date) -> str:
        month = language.months[day.month - 1] if language.months else f"{day.month:02d}"
        return f"{day.day} {month} {day.year}"

    return say
