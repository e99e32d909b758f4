"""What people of the trade write round a quantity, brought to one number and one unit before it is read.

Read, because it can mean one thing only: "R = 47 ohm", "47 ohms.", "230 V AC", "47 meg", "1.2k", "1k2", "180 C",
"180°", "356 °F", "5½", "1.2 × 10³", "0L" for OL. Refused with the reason, because one value is asked for and nothing
may be guessed: "47²", "47 ± 2", "< 200 MΩ". Nothing here knows how a number is converted.
"""

from __future__ import annotations

import re
import unicodedata

from probebook.unit_table import PREFIX_LETTERS, Row

#: Fractions with a key or character of their own.
FRACTIONS = {"½": ".5", "¼": ".25", "¾": ".75"}
#: What stands for degrees where a temperature is asked for; elsewhere C and F would be coulombs and farads.
DEGREES = {
    "C": "°C", "c": "°C", "°": "°C", "deg": "°C", "degs": "°C", "degree": "°C", "degrees": "°C",
    "F": "°F", "f": "°F",
}  # fmt: skip
#: Prefixes that are said alone of ohms.
SAID = {"meg": "mega", "megs": "mega", "mega": "mega", "kilo": "kilo", "kil": "kilo"}
#: Prefix letters that are written alone: a bare m is never guessed at, nor what is smaller.
ALONE = frozenset("kKMG")

_FRACTION = re.compile(r"([0-9]*) ?([½¼¾])")
_POWER_OF_TEN = re.compile(
    r"(?P<number>[0-9.,]+) ?[×x·*] ?10(?:(?:\^|\*\*)(?P<plain>[-+−]?[0-9]{1,3})|(?P<raised>[⁺⁻]?[⁰¹²³⁴-⁹]{1,3}))"
)
_NAMED = re.compile(r"(?:[A-Za-zθ]{1,2}[0-9]{0,2} ?)?= ?")
_KIND_OF_CURRENT = re.compile(r"(?<=[VAa-z]) ?(?:a\.?c\.?|d\.?c\.?|~)$", re.IGNORECASE)
_BEYOND = re.compile(r"[<>≤≥]")
_LETTER_POINT = re.compile(r"(?P<whole>[0-9]+)(?P<letter>[kKMG])(?P<part>[0-9]+)(?P<rest>(?: ?[A-Za-z].*)?)")


def no_single_value(text: str) -> str:
    """Why a text holds no single number: ``raised`` or lowered figures, a ``spread``, a ``limit``; else empty."""
    plain = _POWER_OF_TEN.sub("1", text.replace("\N{MASCULINE ORDINAL INDICATOR}", "°"))
    for before, letter in zip(" " + plain, plain, strict=False):
        if unicodedata.decomposition(letter).startswith(("<super>", "<sub>")) and before != "m":
            return "raised"
    if "±" in text or "+/-" in text:
        return "spread"
    return "limit" if _BEYOND.search(text) else ""


def single(text: str, wanted: Row) -> str:
    """The text with what stands round its number and unit taken off or written as this project writes it."""
    text = text.replace("\N{MASCULINE ORDINAL INDICATOR}", "°")  # what some keyboards have for degrees
    text = _FRACTION.sub(lambda found: f"{found[1] or '0'}{FRACTIONS[found[2]]}", text)
    text = _POWER_OF_TEN.sub(_with_exponent, text)
    if named := _NAMED.match(text):
        text = text[named.end() :]
    if wanted.name in ("volt", "ampere"):
        text = _without_kind_of_current(text)
    if text.endswith(".") and not text[-2:-1].isdigit():
        text = text.removesuffix(".")
    if text.upper() in ("0L", "0.L") and wanted.name != "litre":
        return "OL"
    return _with_letter_point(text, wanted) if wanted.takes_prefix else text


def unit_as_said(unit_text: str, wanted: Row) -> str:
    """The unit as it would be written in full where the trade says less: "meg" of ohms, "k" of watts, "C" of heat."""
    if wanted.name == "celsius":
        return DEGREES.get(unit_text, unit_text)
    if wanted.name == "ohm" and unit_text.lower() in SAID:
        return f"{SAID[unit_text.lower()]}ohm"
    if wanted.takes_prefix and unit_text in ALONE:
        return f"{PREFIX_LETTERS[unit_text]}{wanted.name}"
    return unit_text


def unit_for_another(unit_text: str) -> str:
    """What a unit that is none here would be where another quantity is asked for: "°" is degrees, "V AC" is volts."""
    text = DEGREES.get(unit_text, unit_text)
    if found := _LETTER_POINT.fullmatch(f"0{text}"):
        text = found["rest"].strip()
    return _without_kind_of_current(text)


def _with_exponent(found: re.Match[str]) -> str:
    exponent = found["plain"] or unicodedata.normalize("NFKC", found["raised"])
    return f"{found['number']}e{exponent.replace('−', '-').removeprefix('+')}"


def _without_kind_of_current(text: str) -> str:
    return _KIND_OF_CURRENT.sub("", text)


def _with_letter_point(text: str, wanted: Row) -> str:
    """A point for the letter that marks it ("1k2 W" is "1.2 kW"); ohms keep theirs, which resistors are marked with."""
    found = _LETTER_POINT.fullmatch(text)
    if wanted.name == "ohm" or found is None:
        return text
    unit = found["rest"].strip() or wanted.symbol
    return f"{found['whole']}.{found['part']} {found['letter']}{unit}"
