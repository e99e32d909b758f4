"""A small three-phase appliance file for tests: three elements in star, three in delta, a switch pole for each line."""

from __future__ import annotations

from fault_text import fault

_HEAD = """
id = "small"
title = "test boiler"
source = "invented for this test"

[plate]
maker = "Harrow & Vane"
designation = "Test"
voltage = "400 V"
power = "{power}"
protection = "class I"

[supply]
kind = "fixed"
phases = 3
voltage = "400 V"
breaker = "32 A"
residual = "30 mA"

[[part]]
mark = "X1"
kind = "terminal-block"
title = "terminals"
tags = [{tags}]

[[part]]
mark = "CH"
kind = "metalwork"
title = "case"
tags = ["1"]

[[part]]
mark = "S1"
kind = "switch"
title = "switch"
contacts = [
  {{ name = "a", between = ["1", "2"] }},
  {{ name = "b", between = ["3", "4"] }},
  {{ name = "c", between = ["5", "6"] }},
]

[[wire]]
mark = "W1"
from = "X1.L1"
to = "S1.1"
colour = "brown"
area = "4 mm2"
length = "0.5 m"

[[wire]]
mark = "W2"
from = "X1.L2"
to = "S1.3"
colour = "black"
area = "4 mm2"
length = "0.5 m"

[[wire]]
mark = "W3"
from = "X1.L3"
to = "S1.5"
colour = "grey"
area = "4 mm2"
length = "0.5 m"

[[wire]]
mark = "W4"
from = "X1.E"
to = "CH.1"
colour = "green-yellow"
area = "4 mm2"
length = "0.5 m"
"""

_ELEMENT = """
[[part]]
mark = "{mark}"
kind = "element"
title = "{mark}"
alloy = "nicr-80-20"
working = "700 degC"
mounted_on = "CH.1"
insulation = "400 Mohm"
sections = [{{ name = "h", between = ["1", "2"], power = "{power}", place = "base"{more} }}]
"""

_WIRE = """
[[wire]]
mark = "{mark}"
from = "{start}"
to = "{end}"
colour = "{colour}"
area = "4 mm2"
length = "0.5 m"
"""

_POSITIONS = """
[[position]]
name = "off"
title = "off"
closes = []
works = []

[[position]]
name = "on"
title = "on"
closes = ["S1.a", "S1.b", "S1.c"]
works = [{works}]
"""

COLOURS = ("brown", "black", "grey")
POLES = ("S1.2", "S1.4", "S1.6")


def text(
    star: tuple[str, ...] = ("1 kW", "2 kW", "3 kW"),
    delta: tuple[str, ...] = (),
    *,
    neutral: bool = True,
    power: str = "6 kW",
    rated: str = "400 V",
    faults: str = "",
) -> str:
    """An appliance file with these elements: of a star, to neutral or to a floating star point, and of a delta."""
    tags = ", ".join(f'"{tag}"' for tag in ("L1", "L2", "L3", *(["N"] if neutral else []), "E"))
    parts, wires, number = [], [], 5
    for k, watts in enumerate(star):
        parts.append(_ELEMENT.format(mark=f"E{k + 1}", power=watts, more=""))
        wires.append((POLES[k], f"E{k + 1}.1", COLOURS[k]))
        if k:
            wires.append((f"E{k}.2", f"E{k + 1}.2", "blue"))
    if star and neutral:
        wires.append(("E1.2", "X1.N", "blue"))
    for k, watts in enumerate(delta):
        parts.append(_ELEMENT.format(mark=f"E{k + 4}", power=watts, more=f', voltage = "{rated}"' if rated else ""))
        wires.append((POLES[k], f"E{k + 4}.1", COLOURS[k]))
        wires.append((f"E{k + 4}.2", POLES[(k + 1) % 3], COLOURS[(k + 1) % 3]))
    said = "".join(
        _WIRE.format(mark=f"W{number + i}", start=start, end=end, colour=colour)
        for i, (start, end, colour) in enumerate(wires)
    )
    names = [f"E{k + 1}.h" for k in range(len(star))] + [f"E{k + 4}.h" for k in range(len(delta))]
    works = ", ".join(f'"{name}"' for name in names)
    made = _POSITIONS.format(works=works)
    return (
        _HEAD.format(power=power, tags=tags)
        + "".join(parts)
        + said
        + made
        + (faults or _faults("E1.h" if star else "E4.h"))
    )


def _faults(first: str) -> str:
    return (
        fault("element-open", "open", first)
        + fault("element-leak", "leak", first, 'ohms = "30 kohm"\nohms_hot = "4 kohm"')
        + fault("line-1-broken", "broken-wire", "W1")
        + fault("line-2-broken", "broken-wire", "W2")
        + fault("pole-c-burnt", "stuck-open", "S1.c")
        + fault("low", "low-supply", "", 'volts = "360 V"')
    )
