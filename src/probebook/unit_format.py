"""How a reader sees a quantity: a prefix that suits, sensible figures, the unit's symbol. Needs no pint."""

from __future__ import annotations

import math

from probebook.numerics.rounding import shown as in_digits
from probebook.unit_table import FACTORS, find_unit

# SI per unit, and offset, of the units that are not SI themselves.
_SCALES = {
    "minute": (60.0, 0.0), "hour": (3600.0, 0.0), "watt_hour": (3600.0, 0.0), "gram": (1e-3, 0.0),
    "percent": (1e-2, 0.0), "celsius": (1.0, 273.15), "litre": (1e-3, 0.0),
    "square_millimetre": (1e-6, 0.0), "ohm_per_kilometre": (1e-3, 0.0),
    "ohm_square_millimetre_per_metre": (1e-6, 0.0),
}  # fmt: skip
_LETTERS = {
    "": "", "tera": "T", "giga": "G", "mega": "M", "kilo": "k",
    "centi": "c", "milli": "m", "micro": "µ", "nano": "n",
}  # fmt: skip
_STEPS = ("tera", "giga", "mega", "kilo", "", "milli", "micro", "nano")
_TAKES_STEPS = frozenset(("ohm", "volt", "ampere", "watt", "voltampere", "joule", "watt_hour", "hertz", "siemens"))
_LEAST_OHMS = 1e-6  # no instrument of the trade resolves less; smaller is shown as nought


def format_quantity(value: float, unit: str, digits: int = 3, *, prefix: bool = True) -> str:
    """Return an SI value as a reader sees it: "47.2 Ω", "1.20 kΩ", "0.05 Ω", "500 MΩ", "∞ Ω".

    Parameters
    ----------
    value
        In SI: seconds for "min", kelvins for "degC", a fraction for "%".
    unit
        The unit to show. A unit with a prefix of its own ("mA", "kW") is shown as it is.
    digits
        Significant figures. Below one, noughts at the end are left out; every digit before the
        point is shown.
    prefix
        Whether ohms, volts, amperes, watts, volt-amperes, joules, watt hours, hertz and siemens take the
        prefix that leaves 1 to 999 before the point; False gives "1150 W" for "1.15 kW". Ohms below one
        stay ohms: the trade reads "0.05 Ω", not "50 mΩ".

    Raises
    ------
    ValueError
        ``value`` is nan, ``unit`` is not known or ``digits`` is below 1.
    """
    found = find_unit(unit)
    if found is None or math.isnan(value) or digits < 1:
        raise ValueError(f"{value!r} {unit!r} cannot be shown with {digits} figures")
    step, row = found
    factor, offset = _SCALES.get(row.name, (1.0, 0.0))
    shown = in_digits((value - offset) / factor)
    if row.name == "ohm" and abs(shown) < _LEAST_OHMS:
        shown = 0.0
    if prefix and not step and row.name in _TAKES_STEPS:
        step = _step_for(shown, digits, least=1.0 if row.name == "ohm" else 0.0)
    return f"{_figures(in_digits(shown / FACTORS[step]), digits)} {_LETTERS[step]}{row.symbol}".rstrip()


def plain_quantity(value: float, unit: str) -> str:
    """Return an SI value in a unit, with no more figures than it has: "30 mA", "1.5 mm²", "20 °C"; ValueError."""
    found = find_unit(unit)
    if found is None:
        raise ValueError(f"there is no unit {unit!r}")
    step, row = found
    factor, offset = _SCALES.get(row.name, (1.0, 0.0))
    return f"{in_digits((value - offset) / factor / FACTORS[step]):g} {_LETTERS[step]}{row.symbol}".rstrip()


def _step_for(value: float, digits: int, least: float) -> str:
    """Return the prefix that leaves 1 to 999 before the point once ``value`` is rounded."""
    if value == 0 or math.isinf(value):
        return ""
    rounded = abs(float(f"{value:.{digits - 1}e}"))
    steps = [step for step in _STEPS if FACTORS[step] >= least]
    return next((step for step in steps if rounded >= FACTORS[step]), steps[-1])


def _figures(value: float, digits: int) -> str:
    if math.isinf(value):
        return "∞" if value > 0 else "-∞"
    if value == 0:
        return "0"
    exponent = int(f"{value:.{digits - 1}e}".partition("e")[2])
    text = f"{value:.{max(0, digits - 1 - exponent)}f}"
    return text.rstrip("0").rstrip(".") if exponent < 0 else text
