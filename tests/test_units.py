"""Quantities as people type them, as files say them and as readers see them."""

from __future__ import annotations

import functools
import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from probebook.errors import AnswerError, ProbebookError, ScenarioError
from probebook.units import format_quantity, parse, parse_file_quantity, registry


@functools.cache
def reference() -> pint.UnitRegistry:
    """Return pint's own full registry, whose definitions are not ours."""
    return pint.UnitRegistry()


# What is typed; the unit asked for; number and unit as pint's full registry is told them.
TYPED = [
    ("47 ohm", "ohm", 47, "ohm"),
    ("47Ω", "ohm", 47, "ohm"),
    ("47 \N{OHM SIGN}", "ohm", 47, "ohm"),
    ("47 Ohms", "ohm", 47, "ohm"),
    ("47 OHM", "ohm", 47, "ohm"),
    ("0.047 kΩ", "ohm", 0.047, "kiloohm"),
    ("0,047 kΩ", "ohm", 0.047, "kiloohm"),
    ("1,2 kΩ", "ohm", 1.2, "kiloohm"),
    ("1.2 kohm", "ohm", 1.2, "kiloohm"),
    ("1.2 K ohm", "ohm", 1.2, "kiloohm"),
    ("1.2 kilohms", "ohm", 1.2, "kiloohm"),
    ("47 mohm", "ohm", 47, "milliohm"),
    ("47 Mohm", "ohm", 47, "megaohm"),
    ("47 megohm", "ohm", 47, "megaohm"),
    ("200 Megohms", "ohm", 200, "megaohm"),
    ("1.5 GΩ", "ohm", 1.5, "gigaohm"),
    ("900W", "W", 900, "watt"),
    ("900 w", "W", 900, "watt"),
    ("1,200 W", "W", 1200, "watt"),
    ("1 200 W", "W", 1200, "watt"),
    ("1,234,567.5 W", "W", 1234567.5, "watt"),
    ("1.2e3 W", "W", 1200, "watt"),
    ("1.2 kW", "W", 1.2, "kilowatt"),
    ("3.9 A", "A", 3.9, "ampere"),
    ("3.9 amps", "A", 3.9, "ampere"),
    ("30 mA", "A", 30, "milliampere"),
    ("0.5 \N{MICRO SIGN}A", "A", 0.5, "microampere"),
    ("0.5 \N{GREEK SMALL LETTER MU}A", "A", 0.5, "microampere"),
    ("0.5 uA", "A", 0.5, "microampere"),
    ("230 V", "V", 230, "volt"),
    ("+230 volts", "V", 230, "volt"),
    ("\N{MINUS SIGN}5 V", "V", -5, "volt"),
    ("-5 V", "V", -5, "volt"),
    ("\N{FULLWIDTH DIGIT FIVE}\N{NO-BREAK SPACE}V", "V", 5, "volt"),
    ("50 Hz", "Hz", 50, "hertz"),
    ("12 min", "s", 12, "minute"),
    ("12 mins", "min", 12, "minute"),
    ("1.5 h", "min", 1.5, "hour"),
    ("90 s", "min", 90, "second"),
    ("1.2 kWh", "J", 1.2, "kilowatt_hour"),
    ("500 kJ", "J", 500, "kilojoule"),
    ("0.02 S", "S", 0.02, "siemens"),
    ("60 cm", "m", 60, "centimeter"),
    ("1.5 mm2", "mm2", 1.5, "millimeter**2"),
    ("1.5 mm²", "m2", 1.5, "millimeter**2"),
    ("0.35 m²", "m2", 0.35, "meter**2"),
    ("5 %", "%", 0.05, "dimensionless"),
    ("180 °C", "degC", 180, "degC"),
    ("180 degC", "degC", 180, "degC"),
    ("453.15 K", "degC", 453.15, "kelvin"),
    ("80 K", "K", 80, "kelvin"),
    ("180 C", "degC", 180, "degC"),
    ("180C", "degC", 180, "degC"),
    ("180°", "degC", 180, "degC"),
    ("180 \N{MASCULINE ORDINAL INDICATOR}C", "degC", 180, "degC"),
    ("180 °C.", "degC", 180, "degC"),
    ("180 degrees", "degC", 180, "degC"),
    ("180 \N{DEGREE CELSIUS}", "degC", 180, "degC"),
    ("356 °F", "degC", 356, "degF"),
    ("356F", "degC", 356, "degF"),
    ("-40 F", "degC", -40, "degF"),
    ("47 meg", "ohm", 47, "megaohm"),
    ("200 Meg", "ohm", 200, "megaohm"),
    ("1.2k", "W", 1.2, "kilowatt"),
    ("1k2 W", "W", 1.2, "kilowatt"),
    ("1k2", "W", 1.2, "kilowatt"),
    ("2K2W", "W", 2.2, "kilowatt"),
    ("230 V AC", "V", 230, "volt"),
    ("230 V a.c.", "V", 230, "volt"),
    ("230VAC", "V", 230, "volt"),
    ("500 V d.c.", "V", 500, "volt"),
    ("230 V~", "V", 230, "volt"),
    ("13 A ac", "A", 13, "ampere"),
    ("47 ohms.", "ohm", 47, "ohm"),
    ("900 W.", "W", 900, "watt"),
    ("R = 47 ohm", "ohm", 47, "ohm"),
    ("R1=47 ohm", "ohm", 47, "ohm"),
    ("= 900 W", "W", 900, "watt"),
    ("P = 1,200 W", "W", 1200, "watt"),
    ("5½ ohm", "ohm", 5.5, "ohm"),
    ("½ A", "A", 0.5, "ampere"),
    ("2 ¼ min", "s", 2.25, "minute"),
    ("1×10³ W", "W", 1000, "watt"),
    ("1.2 x 10^3 ohm", "ohm", 1200, "ohm"),
    ("3 · 10⁻² A", "A", 0.03, "ampere"),
    ("1.200 W", "W", 1.2, "watt"),
    ("500 g", "kg", 500, "gram"),
    ("1.7 litres", "L", 1.7, "liter"),
    ("900 J/K", "J/K", 900, "joule/kelvin"),
    ("3.5 W/K", "W/K", 3.5, "watt/kelvin"),
    ("490 J/(kg K)", "J/(kg K)", 490, "joule/kilogram/kelvin"),
    ("13.3 Ω/km", "ohm/km", 13.3, "ohm/kilometer"),
    ("1.45 ohm mm2/m", "ohm m", 1.45, "ohm*millimeter**2/meter"),
    ("0.0043 1/K", "1/K", 0.0043, "1/kelvin"),
]


@pytest.mark.parametrize(("text", "unit", "number", "name"), TYPED)
def test_typed_value_agrees_with_the_full_registry(text: str, unit: str, number: float, name: str) -> None:
    """What is typed becomes the SI value that pint's full registry gives for the same quantity."""
    expected = reference().Quantity(number, name).to_base_units().magnitude
    assert parse(text, unit) == pytest.approx(expected, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("text", "ohms"),
    [
        ("2k2", 2200), ("2K2", 2200), ("4R7", 4.7), ("4r7", 4.7), ("R47", 0.47), ("1M5", 1.5e6),
        ("47R", 47), ("47k", 47e3), ("4.7k", 4.7e3), ("4,7 k", 4.7e3), ("47M", 47e6), ("47 M", 47e6),
        ("2k2 ohm", 2200), ("2k2Ω", 2200), ("1G0", 1e9),
    ],
)  # fmt: skip
def test_letter_code_of_resistors(text: str, ohms: float) -> None:
    """The letter code marks the decimal point as IEC 60062 says (from memory: R47, 4R7, 47R, 2K2, 1M5)."""
    assert parse(text, "ohm") == pytest.approx(ohms, rel=1e-15, abs=0)


def test_letter_r_is_for_ohms_only() -> None:
    """A prefix may mark the point of any unit; an R where watts are asked for is refused, for it says ohms."""
    assert parse("2k2", "W") == 2200
    with pytest.raises(AnswerError):
        parse("4R7", "W")


REFUSED = [
    ("abc", "ohm", '"abc" cannot be read as a number and a unit; write a number and a unit, for example 47 ohm.'),
    ("", "ohm", "nothing was written; write a number and a unit, for example 47 ohm."),
    (" \n ", "W", "nothing was written; write a number and a unit, for example 900 W."),
    ("12 parsec", "m", 'the unit of "12 parsec" is not known; write a number and a unit, for example 0.6 m.'),
    ("47", "ohm", '"47" has no unit; write the unit too, for example 47 ohm.'),
    (
        "47 W",
        "ohm",
        '"47 W" is in watts, but ohms are asked for; write a number and a unit, for example 47 ohm.',
    ),
    (
        "47 m",
        "ohm",
        '"47 m" is in metres, but ohms are asked for; write mohm for milliohms or Mohm for megohms.',
    ),
    (
        "30 VA",
        "W",
        '"30 VA" is in volt-amperes, but watts are asked for; write a number and a unit, for example 900 W.',
    ),
    (
        "80 degC",
        "K",
        '"80 degC" is in degrees Celsius, but kelvins are asked for; write a number and a unit, for example 80 K.',
    ),
    ("1e999 W", "W", '"1e999 W" is too large a number; write a number and a unit, for example 900 W.'),
    ("1e300 TW", "W", '"1e300 TW" is too large a number; write a number and a unit, for example 900 W.'),
    ("nan", "W", '"nan" cannot be read as a number and a unit; write a number and a unit, for example 900 W.'),
    ("inf", "ohm", '"inf" is not a number; write a number and a unit, for example 47 ohm.'),
    ("OL", "ohm", '"OL" is not a number; write a number and a unit, for example 47 ohm.'),
    (
        "9" * 10_000,
        "W",
        "the text is 10000 characters long, too long for one quantity; write a number and a unit, for example 900 W.",
    ),
    (
        "4\x077 W",
        "W",
        '"4\N{REPLACEMENT CHARACTER}7 W" holds a character that does not print; '
        "write a number and a unit, for example 900 W.",
    ),
    ("__import__('os')", "W", None),
    ("2**1000", "W", None),
    ("2**1000 W", "W", None),
    ("2*3 W", "W", None),
    ("(900) W", "W", None),
    ("900 W/0", "W", None),
    ("1,23,456 W", "W", None),
    ("1.200,5 W", "W", None),
    ("1.2.3 W", "W", None),
    ("1,2,3 W", "W", None),
    ("1_000 W", "W", None),
    ("0x10 W", "W", None),
    ("47²", "ohm", '"47²" holds a raised or lowered figure; write all digits, for example 47 ohm.'),
    ("²", "ohm", '"²" holds a raised or lowered figure; write all digits, for example 47 ohm.'),
    ("47₂ W", "W", '"47₂ W" holds a raised or lowered figure; write all digits, for example 900 W.'),
    ("47 ± 2", "ohm", '"47 ± 2" gives a value and a spread; write one value, for example 47 ohm.'),
    ("47 +/- 2 ohm", "ohm", None),
    ("> 200 MΩ", "ohm", '"> 200 MΩ" gives a limit, not a value; write one value, for example 47 ohm.'),
    ("0L", "ohm", '"OL" is not a number; write a number and a unit, for example 47 ohm.'),
    ("180 F", "W", None),
    ("200 meg", "W", None),
    ("1k2 K", "K", None),
    ("5*1000 W", "W", None),
    ("2 m", "ohm", None),
    ("80 °F", "K", None),
    ("47 mm", "mm2", None),
    ("5 kmin", "s", None),
    ("900 watt watt", "W", None),
    (". W", "W", None),
    ("W", "W", None),
    ("- 5 5 W", "W", None),
]  # fmt: skip


@pytest.mark.parametrize(("text", "unit", "sentence"), REFUSED)
def test_refusal_is_one_clear_sentence(text: str, unit: str, sentence: str | None) -> None:
    """What cannot be read is refused in one sentence that says what and how to mend it."""
    with pytest.raises(AnswerError) as caught:
        parse(text, unit)
    if sentence is not None:
        assert str(caught.value) == sentence
    assert "for example" in str(caught.value) or "write mohm" in str(caught.value)


def test_bare_number_is_in_the_unit_asked_for() -> None:
    """A number alone counts in the unit asked for, prefix and all, only where the question allows it."""
    assert parse("47", "ohm", bare=True) == 47
    assert parse("1,5", "mm2", bare=True) == pytest.approx(1.5e-6, rel=1e-15, abs=0)
    assert parse("5", "mA", bare=True) == 0.005
    assert parse("5 A", "mA", bare=True) == 5


@pytest.mark.parametrize(
    "text",
    [
        "OL",
        "ol",
        "O.L",
        "open",
        "Open circuit",
        "infinity",
        "∞",
        "∞ Ω",
        "∞Ω",
        "OL MΩ",
        "inf ohm",
        "0L",
        "0.L",
        "O.L.",
        "> 200 MΩ",
        ">999MΩ",
        "> 1 meg",
    ],
)
def test_open_circuit_words(text: str) -> None:
    """An open circuit may be written in the words a meter and a fitter use for it."""
    assert parse(text, "ohm", allow_infinite=True) == math.inf


@pytest.mark.parametrize("text", ["∞ W", "OL V", "nan", "1e999 ohm", "-inf", "shut", "> 40 ohm", "< 200 MΩ", "> 2 kW"])
def test_open_circuit_words_in_another_unit_are_refused(text: str) -> None:
    """Infinity in another unit, or a number too large, is not an open circuit."""
    with pytest.raises(AnswerError):
        parse(text, "ohm", allow_infinite=True)


def test_minimum_refuses_what_lies_below() -> None:
    """A value below the least allowed is refused, and the least value itself is accepted."""
    with pytest.raises(AnswerError, match=r'^"-5 ohm" is below zero; write a number and a unit'):
        parse("-5 ohm", "ohm", minimum=0)
    with pytest.raises(AnswerError, match=r'^"5 V" is too small; write 10\.0 V or more\.$'):
        parse("5 V", "V", minimum=10)
    assert parse("0 ohm", "ohm", minimum=0) == 0
    assert parse("10 V", "V", minimum=10) == 10


def test_unknown_unit_in_code_is_a_programming_error() -> None:
    """A unit that the program itself names wrongly is not blamed on the person who typed."""
    with pytest.raises(ValueError, match="furlong") as caught:
        parse("47 ohm", "furlong")
    assert not isinstance(caught.value, ProbebookError)


TOKENS = st.sampled_from(
    (
        *("47", "1e9", "1e", ",", ".", " ", "k", "M", "m", "Ω", "ohm", "W", "°C", "%", "/", "*", "**", "(", "∞", "OL"),
        *("=", ">", "½", "²", "±", "°", "F", "meg", "AC", "×10", "³", "R"),
    )
)
UNITS = st.sampled_from(["ohm", "W", "V", "A", "min", "mm2", "degC", "K", "%", "J/K", "VA", "ohm m"])


@given(st.text() | st.lists(TOKENS, max_size=9).map("".join), UNITS, st.booleans(), st.booleans())
def test_only_answer_errors_escape(text: str, unit: str, bare: bool, allow_infinite: bool) -> None:
    """Whatever is typed, the outcome is a number that is not nan or an AnswerError of one line."""
    try:
        value = parse(text, unit, bare=bare, minimum=0, allow_infinite=allow_infinite)
    except AnswerError as error:
        assert str(error).isprintable()  # noqa: PT017  # both outcomes are allowed
    else:
        assert value >= 0
        assert allow_infinite or math.isfinite(value)


@given(st.text() | st.lists(TOKENS, max_size=9).map("".join) | st.integers() | st.none(), UNITS)
def test_only_scenario_errors_escape_from_files(text: object, unit: str) -> None:
    """Whatever a file holds, the outcome is a finite number or a ScenarioError of one line."""
    try:
        value = parse_file_quantity(text, unit)
    except ScenarioError as error:
        assert str(error).isprintable()  # noqa: PT017  # both outcomes are allowed
    else:
        assert math.isfinite(value)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("1150 W", "W", 1150), ("0.6 m", "m", 0.6), ("1.5 mm2", "mm2", 1.5e-6), ("200 Mohm", "ohm", 2e8),
        ("80 K", "K", 80), ("12 min", "min", 720), ("±5 %", "%", 0.05), ("± 5%", "%", 0.05),
    ],
)  # fmt: skip
def test_file_quantities(text: str, unit: str, value: float) -> None:
    """A file's quantity is read with its unit into SI."""
    assert parse_file_quantity(text, unit) == pytest.approx(value, rel=1e-15, abs=0)


@pytest.mark.parametrize(
    ("text", "unit", "words"),
    [
        (1150, "W", '"1150" is not a quantity in quotation marks'),
        ("1150", "W", '"1150" has no unit'),
        ("1,150 W", "W", '"1,150 W" has a mark inside its number; use a point for decimals'),
        ("1 150 W", "W", "has a mark inside its number"),
        ("2k2", "ohm", "is not known"),
        ("±5 W", "W", "cannot be read"),
        ("OL", "ohm", "cannot be read"),
        ("-1 W", "W", "is below zero"),
    ],
)
def test_files_are_read_strictly(text: object, unit: str, words: str) -> None:
    """Files carry the unit, a point for decimals and no marks; the refusal says which is missing."""
    with pytest.raises(ScenarioError) as caught:
        parse_file_quantity(text, unit, minimum=0)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (47.2, "ohm", "47.2 Ω"),
        (1200, "ohm", "1.20 kΩ"),
        (5e8, "ohm", "500 MΩ"),
        (0.05, "ohm", "0.05 Ω"),
        (0.0471, "ohm", "0.0471 Ω"),
        (1e-12, "ohm", "0 Ω"),
        (0, "ohm", "0 Ω"),
        (math.inf, "ohm", "∞ Ω"),
        (999.6, "ohm", "1.00 kΩ"),
        (0.9996, "ohm", "1.00 Ω"),
        (900, "W", "900 W"),
        (-5, "V", "-5.00 V"),
        (0.03, "A", "30.0 mA"),
        (5e-7, "A", "500 nA"),
        (50, "Hz", "50.0 Hz"),
        (720, "min", "12.0 min"),
        (453.15, "degC", "180 °C"),
        (0.05, "%", "5.00 %"),
        (1.5e-6, "mm2", "1.50 mm²"),
        (4.32e6, "Wh", "1.20 kWh"),
        (20, "kW", "0.02 kW"),
        (0.0004, "mA", "0.4 mA"),
    ],
)
def test_shown_quantities(value: float, unit: str, shown: str) -> None:
    """A reader sees a suitable prefix, three figures, and ohms below one left in ohms."""
    assert format_quantity(value, unit) == shown


def test_shown_figures_and_plate_style() -> None:
    """The number of figures is the caller's, and plates can be shown without a prefix."""
    assert format_quantity(3.913, "A", 2) == "3.9 A"
    assert format_quantity(1150, "W", 4) == "1.150 kW"
    assert format_quantity(1150, "W", prefix=False) == "1150 W"


@pytest.mark.parametrize(("value", "unit", "digits"), [(math.nan, "ohm", 3), (1, "parsec", 3), (1, "ohm", 0)])
def test_what_cannot_be_shown(value: float, unit: str, digits: int) -> None:
    """Neither nan nor an unknown unit nor no figures at all can be shown."""
    with pytest.raises(ValueError, match="cannot be shown"):
        format_quantity(value, unit, digits)


@given(
    st.floats(min_value=1e-3, max_value=1e12),
    st.sampled_from(["ohm", "W", "V", "A", "min", "mm2", "%", "J", "Wh", "litre"]),
    st.integers(1, 9),
)
def test_shown_text_reads_back(value: float, unit: str, digits: int) -> None:
    """What is shown reads back as the value, to half a unit of the last figure shown."""
    read = parse(format_quantity(value, unit, digits), unit)
    assert read == pytest.approx(value, rel=0.5 * 10.0 ** (1 - digits) * (1 + 1e-6), abs=0)


def test_there_is_one_registry() -> None:
    """Every caller shares one registry, so quantities of different callers can be combined."""
    assert registry() is registry()
