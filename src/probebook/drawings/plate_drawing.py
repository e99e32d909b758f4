"""The rating plate as it is fixed to the appliance: an invented make in plain letters, and the marks of its rating."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances.model import Appliance
from probebook.appliances.naming import supply_key
from probebook.drawings import symbols
from probebook.drawings.colours import INK, PAPER, SOFT
from probebook.drawings.svg import NORMAL, Box, Label, document, num, polyline, text_width
from probebook.words import Facts, Noun, Words

#: Sentences that tell a supply of one line, of three with neutral, of three without.
VOLTS = tuple(f"{key}{of}" for key in ("volts", "description") for of in ("", "-star", "-three"))


@dataclass(frozen=True)
class PlateFacts(Facts, group="drawings/plate", says=("title", "invented", *VOLTS, "hertz", "watts")):
    """What stands on a rating plate; ``between`` two lines where it has three."""

    appliance: Noun
    maker: Noun
    designation: str
    volts: Annotated[float, "V"]
    hertz: Annotated[float, "Hz"]
    watts: Annotated[float, "W"]
    protection: Noun
    between: Annotated[float, "V"] = 0.0


def plate(words: Words, appliance: Appliance, *, id_prefix: str = "") -> str:
    """Draw the rating plate: make, designation, volts, nature of supply, watts, protection class."""
    rating = appliance.plate
    facts = PlateFacts(
        words.noun(appliance.title),
        words.noun(rating.maker),
        rating.designation,
        rating.volts,
        rating.hertz,
        rating.watts,
        words.noun(rating.protection),
        rating.between_lines,
    )
    width = max(400.0, text_width(rating.maker, 24, bold=True) + 150, text_width(rating.designation, 16) + 150)
    height = 210.0
    shapes = [
        f'<rect x="10" y="10" width="{num(width - 20)}" height="{num(height - 20)}" rx="10" fill="{PAPER}"'
        f' stroke="{INK}" stroke-width="2.5"/>'
    ]
    shapes += [
        f'<circle cx="{num(x)}" cy="{num(y)}" r="4" fill="none" stroke="{SOFT}" stroke-width="1.5"/>'
        for x in (24.0, width - 24)
        for y in (24.0, height - 24)
    ]
    shapes.append(polyline([(40, 92), (width - 40, 92)], INK, 1.5))
    volts, watts, hertz = (words.say(facts, key) for key in (supply_key(appliance, "volts"), "watts", "hertz"))
    labels = [
        Label(facts.maker.text, 40, 56, 24, bold=True),
        Label(rating.designation, 40, 80, 16),
        Label(volts, 40, 126, 20, bold=True),
        Label(hertz, 40 + text_width(volts, 20, bold=True) + 22, 126, 20),
        Label(watts, 40, 156, 20, bold=True),
        Label(words.say(facts, "invented"), 40, 184, NORMAL, fill=SOFT),
    ]
    right = width - 74
    second = rating.protection == "class II"
    shapes += _class_two(right, 112) if second else _class_one(right, 112)
    labels.append(Label(facts.protection.text, right, 168, NORMAL, "middle"))
    title, told = words.say(facts, "title"), words.say(facts, supply_key(appliance, "description"))
    return document(Box(0, 0, width, height), title, told, [*shapes, *(x.svg() for x in labels)], prefix=id_prefix)


def _class_two(x: float, y: float) -> list[str]:
    """A square in a square: class II equipment (IEC 60417-5172, number from memory)."""
    squares = ((20.0, 2.5), (12.0, 2.5))
    return [
        f'<rect x="{num(x - h)}" y="{num(y + 16 - h)}" width="{num(2 * h)}" height="{num(2 * h)}" fill="none"'
        f' stroke="{INK}" stroke-width="{num(w)}"/>'
        for h, w in squares
    ]


def _class_one(x: float, y: float) -> list[str]:
    """Protective earth: the earth sign in a circle (IEC 60417-5019, number from memory)."""
    ring = f'<circle cx="{num(x)}" cy="{num(y + 16)}" r="22" fill="none" stroke="{INK}" stroke-width="2"/>'
    return [ring, symbols.earth((x, y + 3)).svg]


__all__ = ["plate"]
