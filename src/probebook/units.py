"""Quantities at the edges: what people type, what text files say, what a reader sees.

Inside Probebook every number is a float in SI (ohms, watts, seconds, square metres, kelvins). This module is
the only door: :func:`parse` for what a person types, :func:`parse_file_quantity` for scenario files,
:func:`format_quantity` for what is shown. One pint registry with our own short definitions does the
conversion; it is built at the first quantity that is read. Text is never evaluated: a quantity is one number
and one unit.

The comma
    A comma followed by groups of exactly three digits separates thousands ("1,200 W" is 1200 W). Any other
    single comma is a decimal comma ("1,2 kΩ" is 1200 Ω, and so is "0,047 MΩ" 47 000 Ω, because no thousands
    begin with a nought). A point is always the decimal sign: "1.200 W" is 1.2 W. Files use a point only.

Mega and milli
    Prefix letters keep their case: "47 mohm" is 0.047 Ω and "47 Mohm" is 47 000 000 Ω. Where ohms are asked
    for, the trade's letter code is read ("2k2", "4R7", "47k", "47M"); a bare "m" is refused, never guessed.

Over range
    Where an open circuit is an answer, "> 200 MΩ" is read as one, for that is how an insulation tester shows it. Of
    less than a megohm it would be a guess, and is refused as any limit is.
"""

from __future__ import annotations

import functools
import math
import re
import unicodedata
from typing import TYPE_CHECKING, NamedTuple

from probebook.errors import AnswerError, ScenarioError
from probebook.unit_format import format_quantity
from probebook.unit_table import FACTORS, PREFIX_LETTERS, PREFIX_WORDS, UNITS, Row, definitions, find_unit, squeeze
from probebook.unit_typing import no_single_value, single, unit_as_said, unit_for_another

if TYPE_CHECKING:
    import pint

__all__ = ["format_quantity", "parse", "parse_file_quantity", "registry", "spelt_units"]

LONGEST_TEXT = 64
LEAST_OVER_RANGE = 1e6  # ohms: no insulation tester of the trade ends below a megohm
OPEN_WORDS = frozenset(
    ("ol", "o.l", "o.l.", "open", "open circuit", "open loop", "inf", "infinity", "infinite", "overload", "∞")
)
# IEC 60062 marks resistors with R, K, M and G for the decimal point; people write a small k.
LETTER_CODES = {"R": "", "r": "", "Ω": "", "k": "kilo", "K": "kilo", "M": "mega", "G": "giga"}

_QUANTITY = re.compile(
    r"(?P<sign>[+-]?) ?(?P<number>[0-9.,](?:[0-9., ]*[0-9.,])?)(?:[eE](?P<exponent>[+-]?[0-9]+))?"
    r" ?(?P<unit>(?:[^0-9., ].*)?)"
)
_UNIT = re.compile(r"[A-Za-zΩμ°%/][A-Za-zΩμ°%/()·* _]*2?(?:/[A-Za-z]+)?")
_LETTER_CODE = re.compile(r"(?P<whole>[0-9]*)(?P<letter>[RrΩkKMG])(?P<part>[0-9]+) ?(?:Ω|[oO]hms?)?")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?P<mark>[, ])[0-9]{3}(?:(?P=mark)[0-9]{3})*(?:\.[0-9]*)?")
_PLAIN = re.compile(r"[0-9]+\.?[0-9]*|\.[0-9]+")
_DECIMAL_COMMA = re.compile(r"(?P<whole>[0-9]*),(?P<part>[0-9]+)")


@functools.cache
def registry() -> pint.UnitRegistry[float]:
    """Return the one pint registry, built at the first call from our own definitions."""
    import pint

    built: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    built.load_definitions(definitions())
    return built


class _Scale(NamedTuple):
    """How a unit reaches SI: ``value * factor + offset``."""

    factor: float
    offset: float


@functools.cache
def _scale(name: str) -> _Scale:
    units = registry()
    root = units.get_base_units(name)[1]
    offset = float(units.convert(0.0, name, root))
    return _Scale(float(units.convert(1.0, name, root)) - offset, offset)


@functools.cache
def _dimension(name: str) -> str:
    return str(registry().get_dimensionality(name))


def parse(
    text: str,
    unit: str,
    *,
    bare: bool = False,
    minimum: float | None = None,
    allow_infinite: bool = False,
) -> float:
    """Read a quantity as a person types it.

    Parameters
    ----------
    text
        Such as "47 ohm", "0.047 kΩ", "1,200 W", "2k2".
    unit
        A unit of the dimension asked for, such as "ohm", "W", "min".
    bare
        Whether a number with no unit counts as being in ``unit``.
    minimum
        The least value allowed, in SI; None for no limit.
    allow_infinite
        Whether "OL", "open", "infinity" and "∞" are read as an infinite value.

    Returns
    -------
    float
        The value in SI: ohms, watts, seconds, square metres, kelvins, a fraction for per cent.

    Raises
    ------
    AnswerError
        The text cannot be read, is in another dimension, is out of range or is not finite.
    """
    prefix, wanted = _expected(unit)
    if allow_infinite and _over_range(text, wanted):
        return math.inf
    cleaned = _clean(_single(text, wanted), wanted)
    if _means_open(cleaned, wanted):
        if allow_infinite:
            return math.inf
        raise _unread("not-a-number", f"{_quote(cleaned)} is not a number", wanted, shown=_quote(cleaned))
    value = _letter_code(cleaned) if wanted.name == "ohm" else None
    if value is None:
        value = _number_and_unit(cleaned, prefix, wanted, bare=bare)
    return _in_range(value, cleaned, wanted, minimum)


def spelt_units(unit: str) -> dict[str, list[float | str]]:
    """Every spelling of a unit of the trade, squeezed: what it takes to read a number with it behind it.

    Of a unit of the dimension of ``unit``: power of ten of its prefix, factor and offset to SI. Of any other the words
    for it alone, to say what was given in place of what.
    """
    wanted = _expected(unit)[1]
    found: dict[str, list[float | str]] = {}
    for row in UNITS:
        spellings = dict.fromkeys(filter(None, map(squeeze, (row.name, row.symbol, *row.spellings.split()))))
        fronts = ("", *PREFIX_LETTERS, *PREFIX_WORDS) if row.takes_prefix else ("",)
        for text in (f"{front}{case}" for front in fronts for each in spellings for case in (each, each.lower())):
            known = find_unit(text)
            if known is not None and text not in found:
                found[text] = _reaching(*known, wanted)
    return found


def _reaching(prefix: str, given: Row, wanted: Row) -> list[float | str]:
    is_difference = wanted.name == "kelvin" and given.name in ("celsius", "fahrenheit")
    if is_difference or _dimension(given.name) != _dimension(wanted.name):
        return [given.words]
    return [round(math.log10(FACTORS[prefix])), *_scale(given.name)]


def parse_file_quantity(text: object, unit: str, *, minimum: float | None = None) -> float:
    """Read a quantity of a scenario file: "1150 W", "0.6 m", "1.5 mm2", "200 Mohm", "±5 %".

    Stricter than :func:`parse`: text always carries its unit, the decimal sign is a point, and neither
    thousands marks nor letter codes are read. A leading ± is allowed for per cent.

    Raises
    ------
    ScenarioError
        The value is not text, or cannot be read as a quantity of the dimension of ``unit``.
    """
    prefix, wanted = _expected(unit)
    if not isinstance(text, str):
        shown = _quote(str(text))
        raise ScenarioError(f"{shown} is not a quantity in quotation marks", remedy=_write(wanted))
    try:
        cleaned = _clean(text, wanted)
        if wanted.name == "percent":
            cleaned = cleaned.removeprefix("±").lstrip()
        found = _QUANTITY.fullmatch(cleaned)
        if found and not _PLAIN.fullmatch(found["number"]):
            raise AnswerError(
                f"{_quote(text)} has a mark inside its number",
                remedy="use a point for decimals and nothing for thousands",
            )
        value = _number_and_unit(cleaned, prefix, wanted, bare=False)
        return _in_range(value, cleaned, wanted, minimum)
    except AnswerError as error:
        raise ScenarioError(error.message, remedy=error.remedy) from error


def _expected(unit: str) -> tuple[str, Row]:
    found = find_unit(unit)
    if found is None:
        raise ValueError(f"no unit called {unit!r} is known")
    return found


def _clean(text: str, wanted: Row) -> str:
    """Return ``text`` with one spelling of its signs and single spaces, or refuse it."""
    if len(text) > LONGEST_TEXT:
        message = f"the text is {len(text)} characters long, too long for one quantity"
        raise _unread("too-long", message, wanted, shown=str(len(text)))
    text = unicodedata.normalize("NFKC", text.strip()).replace("\N{MINUS SIGN}", "-")
    text = re.sub(" +", " ", text).strip().replace(" 1/", " /")
    if not text:
        raise _unread("nothing", "nothing was written", wanted)
    if not text.isprintable():
        message = f"{_quote(text)} holds a character that does not print"
        raise _unread("unprintable", message, wanted, shown=_quote(text))
    return text


def _single(text: str, wanted: Row) -> str:
    """Return ``text`` as one number and one unit, or refuse what plainly is something else."""
    if len(text) > LONGEST_TEXT:
        return text
    shown = _quote(text.strip())
    match no_single_value(text):
        case "raised":
            raise _unread(
                "raised", f"{shown} holds a raised or lowered figure", wanted, "write all digits", shown=shown
            )
        case "spread":
            raise _unread("spread", f"{shown} gives a value and a spread", wanted, "write one value", shown=shown)
        case "limit":
            raise _unread("limit", f"{shown} gives a limit, not a value", wanted, "write one value", shown=shown)
    return single(text.strip(), wanted)


def _over_range(text: str, wanted: Row) -> bool:
    """Whether ``text`` says "more than so many megohms", as an insulation tester shows what it cannot measure."""
    if wanted.name != "ohm" or len(text) > LONGEST_TEXT or not text.strip().startswith(">"):
        return False
    try:
        return parse(text.strip().removeprefix(">"), "ohm") >= LEAST_OVER_RANGE
    except AnswerError:
        return False


def _means_open(text: str, wanted: Row) -> bool:
    lowered = text.lower()
    if lowered in OPEN_WORDS:
        return True
    word, _, unit = lowered.replace("∞", "∞ ").replace("  ", " ").partition(" ")
    found = find_unit(unit) if word in OPEN_WORDS else None
    return found is not None and found[1] is wanted


def _letter_code(text: str) -> float | None:
    found = _LETTER_CODE.fullmatch(text)
    if found is None:
        return None
    return _decimal(f"{found['whole']}.{found['part']}", LETTER_CODES[found["letter"]])


def _decimal(digits: str, prefix: str, exponent: str | None = None) -> float:
    """Return the float nearest to the decimal written, its prefix counted in ("5", "micro" is 5e-6)."""
    return float(f"{digits}e{int(exponent or 0) + round(math.log10(FACTORS[prefix]))}")


def _number_and_unit(text: str, prefix: str, wanted: Row, *, bare: bool) -> float:
    found = _QUANTITY.fullmatch(text)
    digits = _digits(found["number"]) if found else None
    if found is None or digits is None:
        message = f"{_quote(text)} cannot be read as a number and a unit"
        raise _unread("unreadable", message, wanted, shown=_quote(text))
    if found["unit"]:
        prefix, given = _unit(text, found["unit"], wanted)
    elif bare:
        given = wanted
    else:
        remedy = _write(wanted, "write the unit too")
        told = {"shown": _quote(text)}
        raise AnswerError(f"{_quote(text)} has no unit", remedy=remedy, reason="no-unit", told=told)
    value = _decimal(found["sign"] + digits, prefix, found["exponent"])
    factor, offset = _scale(given.name)
    # Dividing by 100 or 1000 rounds once where multiplying by 0.01 or 0.001 rounds twice.
    return (value * factor if factor >= 1 else value / (1 / factor)) + offset


def _digits(number: str) -> str | None:
    """Return the number with a point and no marks between thousands, or None when its marks make no sense."""
    if _PLAIN.fullmatch(number):
        return number
    if _GROUPED.fullmatch(number):
        return number.replace(",", "").replace(" ", "")
    if comma := _DECIMAL_COMMA.fullmatch(number):
        return f"{comma['whole']}.{comma['part']}"
    return None


def _unit(text: str, unit_text: str, wanted: Row) -> tuple[str, Row]:
    if wanted.name == "ohm" and unit_text in LETTER_CODES:
        return LETTER_CODES[unit_text], wanted
    unit_text = unit_as_said(unit_text, wanted)
    found = find_unit(unit_text) if _UNIT.fullmatch(unit_text) else None
    if found is None:
        other = find_unit(unit_for_another(unit_text))
        found = other if other is not None and len(_reaching(*other, wanted)) == 1 else None
    if found is None:
        raise _unread("unknown-unit", f"the unit of {_quote(text)} is not known", wanted, shown=_quote(text))
    given = found[1]
    is_difference = wanted.name == "kelvin" and given.name in ("celsius", "fahrenheit")
    if is_difference or _dimension(given.name) != _dimension(wanted.name):
        remedy, reason = _write(wanted), "other-quantity"
        if wanted.name == "ohm" and unit_text == "m":
            remedy, reason = "write mohm for milliohms or Mohm for megohms", "metres-for-ohms"
        message = f"{_quote(text)} is in {given.words}, but {wanted.words} are asked for"
        raise AnswerError(message, remedy=remedy, reason=reason, told={"shown": _quote(text), "given": given.words})
    return found


def _in_range(value: float, text: str, wanted: Row, minimum: float | None) -> float:
    if math.isinf(value):
        raise _unread("too-large", f"{_quote(text)} is too large a number", wanted, shown=_quote(text))
    if minimum is not None and value < minimum:
        if minimum == 0:
            raise _unread("below-zero", f"{_quote(text)} is below zero", wanted, shown=_quote(text))
        least = format_quantity(minimum, wanted.name)
        told = {"shown": _quote(text), "given": least}
        raise AnswerError(
            f"{_quote(text)} is too small", remedy=f"write {least} or more", reason="too-small", told=told
        )
    return value


def _unread(
    reason: str, message: str, wanted: Row, lead: str = "write a number and a unit", **told: str
) -> AnswerError:
    return AnswerError(message, remedy=_write(wanted, lead), reason=reason, told=told)


def _write(wanted: Row, lead: str = "write a number and a unit") -> str:
    return f"{lead}, for example {wanted.example}"


def _quote(text: str) -> str:
    shown = "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text)
    return f'"{shown}"' if len(shown) <= 28 else f'"{shown[:24]}..."'
