"""A small sound appliance file for tests to build on and to break."""

from __future__ import annotations

from pathlib import Path

from fault_text import fault

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FOLDER = SCENARIOS / "appliances"

SMALL = """
id = "small"
title = "test heater"
source = "invented for this test"

[plate]
maker = "Harrow & Vane"
designation = "Test"
voltage = "230 V"
power = "1 kW"
protection = "class I"

[supply]
kind = "fixed"
voltage = "230 V"
breaker = "16 A"
residual = "30 mA"

[[part]]
mark = "X1"
kind = "terminal-block"
title = "terminals"
tags = ["L", "N", "E"]

[[part]]
mark = "CH"
kind = "metalwork"
title = "case"
tags = ["1"]

[[part]]
mark = "S1"
kind = "switch"
title = "switch"
contacts = [{ name = "a", between = ["1", "2"] }]

[[part]]
mark = "B1"
kind = "thermostat"
title = "thermostat"
between = ["1", "2"]
range = ["50 degC", "250 degC"]
differential = "9 K"
senses = "air"

[[part]]
mark = "E1"
kind = "element"
title = "element"
alloy = "nicr-80-20"
working = "700 degC"
mounted_on = "CH.1"
insulation = "400 Mohm"
sections = [{ name = "heater", between = ["1", "2"], power = "1 kW", place = "base" }]

[[wire]]
mark = "W1"
from = "X1.L"
to = "S1.1"
colour = "brown"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W2"
from = "S1.2"
to = "B1.1"
colour = "brown"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W3"
from = "B1.2"
to = "E1.1"
colour = "brown"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W4"
from = "E1.2"
to = "X1.N"
colour = "blue"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W5"
from = "X1.E"
to = "CH.1"
colour = "green-yellow"
area = "1.5 mm2"
length = "0.5 m"

[[position]]
name = "off"
title = "off"
closes = []
works = []

[[position]]
name = "on"
title = "on"
closes = ["S1.a"]
works = ["E1.heater"]
"""

FAULTS = (
    fault("element-open", "open", "E1.heater")
    + fault("element-drift", "drift", "E1.heater", "factor = 1.3")
    + fault("element-leak", "leak", "E1.heater", 'ohms = "30 kohm"\nohms_hot = "4 kohm"')
    + fault("element-damp", "damp", "E1.heater", 'ohms = "0.6 Mohm"\nohms_hot = "9 kohm"')
    + fault("wire-broken", "broken-wire", "W3")
    + fault("switch-burnt", "stuck-open", "S1.a")
    + fault("thermostat-welded", "stuck-closed", "B1")
    + fault("thermostat-low", "out-of-calibration", "B1", 'offset = "-30 K"')
)


def write(folder: Path, text: str = SMALL + FAULTS, name: str = "small") -> Path:
    """Put an appliance file in a folder."""
    path = folder / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def changed(*replacements: tuple[str, str], text: str = SMALL + FAULTS) -> str:
    """The text with each passage, which must be there, replaced once."""
    for old, new in replacements:
        if old not in text:
            raise ValueError(f"the text does not hold {old!r}")
        text = text.replace(old, new, 1)
    return text
