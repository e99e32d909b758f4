"""The units Probebook knows: how each is defined, spelt, named in a sentence and shown.

Plain data and one lookup; pint is not needed to find a unit, only to convert it (:mod:`probebook.units`).
Prefixes and units follow the SI brochure (BIPM, 9th edition), the minute, hour and litre its table 8.
"""

from __future__ import annotations

import functools
from typing import NamedTuple


class Row(NamedTuple):
    """One unit."""

    name: str
    definition: str  # in pint's own language
    symbol: str  # as shown
    spellings: str  # accepted besides name and symbol, separated by spaces; case matters at first
    words: str  # in a sentence
    example: str  # how to write a quantity
    takes_prefix: bool = False


# Volt-amperes have a dimension of their own here, so that "30 VA" is never taken for 30 W: telling the two
# apart is something learners are asked to do.
UNITS = (
    Row("metre", "[length]", "m", "metres meter meters", "metres", "0.6 m", True),
    Row("second", "[time]", "s", "seconds sec secs", "seconds", "90 s", True),
    Row("ampere", "[current]", "A", "amperes amp amps", "amperes", "3.9 A", True),
    Row("kilogram", "[mass]", "kg", "kilograms kilo kilos", "kilograms", "1.5 kg"),
    Row("kelvin", "[temperature]; offset: 0", "K", "kelvins", "kelvins", "80 K"),
    Row("voltampere", "[apparent_power]", "VA", "voltamperes voltamps", "volt-amperes", "30 VA", True),
    Row("ratio", "[]", "", "", "plain ratios", "0.5"),
    Row("gram", "1e-3 kilogram", "g", "grams gramme grammes", "grams", "500 g"),
    Row("minute", "60 second", "min", "minutes mins", "minutes", "12 min"),
    Row("hour", "3600 second", "h", "hours hr hrs", "hours", "1.5 h"),
    Row("hertz", "1 / second", "Hz", "", "hertz", "50 Hz", True),
    Row("joule", "kilogram * metre ** 2 / second ** 2", "J", "joules", "joules", "500 J", True),
    Row("watt", "joule / second", "W", "watts", "watts", "900 W", True),
    Row("watt_hour", "watt * hour", "Wh", "watthour watthours", "watt hours", "1.2 kWh", True),
    Row("volt", "watt / ampere", "V", "volts", "volts", "230 V", True),
    Row("ohm", "volt / ampere", "Ω", "ohms R", "ohms", "47 ohm", True),
    Row("siemens", "ampere / volt", "S", "", "siemens", "0.02 S", True),
    Row("percent", "0.01 ratio", "%", "pct", "per cent", "5 %"),
    Row("celsius", "kelvin; offset: 273.15", "°C", "degC degreesC", "degrees Celsius", "180 degC"),
    Row("fahrenheit", "5 / 9 * kelvin; offset: 233.15 + 200 / 9", "°F", "degF degreesF",
        "degrees Fahrenheit", "356 degF"),
    Row("litre", "1e-3 metre ** 3", "L", "l litres liter liters", "litres", "1.7 litre", True),
    Row("square_metre", "metre ** 2", "m²", "m2", "square metres", "1.5 m2"),
    Row("square_millimetre", "1e-6 metre ** 2", "mm²", "mm2 sqmm", "square millimetres", "1.5 mm2"),
    Row("joule_per_kelvin", "joule / kelvin", "J/K", "", "joules per kelvin", "900 J/K", True),
    Row("watt_per_kelvin", "watt / kelvin", "W/K", "", "watts per kelvin", "3.5 W/K", True),
    Row("joule_per_kilogram_kelvin", "joule / kilogram / kelvin", "J/(kg K)", "J/kgK",
        "joules per kilogram and kelvin", "490 J/(kg K)", True),
    Row("ohm_per_metre", "ohm / metre", "Ω/m", "ohm/m", "ohms per metre", "0.0133 ohm/m", True),
    Row("ohm_per_kilometre", "1e-3 ohm / metre", "Ω/km", "ohm/km", "ohms per kilometre", "13.3 ohm/km"),
    Row("ohm_metre", "ohm * metre", "Ω m", "ohmm", "ohm metres", "1.45e-6 ohm m", True),
    Row("ohm_square_millimetre_per_metre", "1e-6 ohm * metre", "Ω mm²/m", "ohmmm2/m",
        "ohm square millimetres per metre", "1.45 ohm mm2/m"),
    Row("per_kelvin", "1 / kelvin", "1/K", "/K perK", "per kelvin", "0.0043 /K"),
)  # fmt: skip

# Prefix letters keep their case, because M and m differ by nine noughts; K for kilo is what people type.
PREFIX_LETTERS = {
    "T": "tera", "G": "giga", "M": "mega", "k": "kilo", "K": "kilo",
    "c": "centi", "m": "milli", "μ": "micro", "u": "micro", "n": "nano",
}  # fmt: skip
PREFIX_WORDS = {
    "giga": "giga", "mega": "mega", "meg": "mega", "kilo": "kilo", "kil": "kilo",
    "milli": "milli", "micro": "micro",
}  # fmt: skip
FACTORS = {
    "": 1.0, "tera": 1e12, "giga": 1e9, "mega": 1e6, "kilo": 1e3,
    "centi": 1e-2, "milli": 1e-3, "micro": 1e-6, "nano": 1e-9,
}  # fmt: skip
BY_NAME = {row.name: row for row in UNITS}


def definitions() -> list[str]:
    """Return the lines of pint's definition language for the prefixes and units above."""
    prefixes = [f"{name}- = {factor!r}" for name, factor in FACTORS.items() if name]
    return prefixes + [f"{row.name} = {row.definition}" for row in UNITS]


@functools.cache
def _spellings() -> tuple[dict[str, Row], dict[str, Row]]:
    """Return exact spelling -> unit, and small-letter spelling -> unit where only one unit has it."""
    exact: dict[str, Row] = {}
    folded: dict[str, set[Row]] = {}
    for row in UNITS:
        for spelling in (row.name, row.symbol, *row.spellings.split()):
            key = squeeze(spelling)
            exact.setdefault(key, row)
            folded.setdefault(key.lower(), set()).add(row)
    exact.pop("", None)
    return exact, {key: rows.pop() for key, rows in folded.items() if key and len(rows) == 1}


def squeeze(text: str) -> str:
    """Return a unit's text with one spelling of Ω, μ and ², and neither spaces, dots nor underscores."""
    for found, written in (("Ω", "Ω"), ("µ", "μ"), ("²", "2")):
        text = text.replace(found, written)
    return "".join(letter for letter in text if letter not in " ·*_")


@functools.lru_cache(maxsize=512)
def find_unit(text: str) -> tuple[str, Row] | None:
    """Return (prefix, unit) for a unit as typed, or None; the spelling as given wins over other cases."""
    key = squeeze(text)
    for table, spelt in zip(_spellings(), (key, key.lower()), strict=True):
        if spelt in table:
            return "", table[spelt]
        rest = spelt[1:]
        if key[:1] in PREFIX_LETTERS and rest in table and table[rest].takes_prefix:
            return PREFIX_LETTERS[key[0]], table[rest]
        for word, prefix in PREFIX_WORDS.items():
            rest = spelt[len(word) :]
            if key.lower().startswith(word) and rest in table and table[rest].takes_prefix:
                return prefix, table[rest]
    return None
