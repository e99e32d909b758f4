"""Facts that the tests of the words are told, and English sentences for them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Literal

from probebook.scenario_folder import scenarios_dir
from probebook.words import Facts, Noun, Phrase, Words


class Way(StrEnum):
    """Which way something goes."""

    UP = "up"
    DOWN_HERE = "down-here"


@dataclass(frozen=True)
class WattsFacts(Facts, group="sample/watts", says=("prompt", "working", "paths", "here.upside-down")):
    """A load and its paths."""

    part: Noun
    volts: Annotated[float, "V"]
    ohms: Annotated[float, "ohm"]
    watts: Annotated[float, "W"]
    share: Annotated[float, "%"]
    display: str
    clause: Phrase
    side: Literal["less", "more"]
    way: Way
    nulled: bool
    rests: tuple[Noun, ...]
    wires: int


@dataclass(frozen=True)
class Buttons(Facts, group="sample/buttons", says=("check",)):
    """A button, of which nothing need be known."""


FACTS: dict[str, list[type[Facts]]] = {"sample/watts": [WattsFacts], "sample/buttons": [Buttons]}

TEXT = """\
# Sentences for tests.

[watts]
prompt = "At {{ volts|g }} V the {{ part }} draws {{ watts|watts }}: {{ side|choose(less='less', more='more') }}."
working = "{{ volts|g }}² ÷ {{ ohms|ohms }} = {{ watts|sig(3) }} W, {{ share|percent }} of it; {{ clause }}"
paths = \"""
The {{ rests|list }} {{ rests|plural(one='has', other='have') }} \\
another path of {{ wires }} {{ wires|plural(one='wire', other='wires') }}.\"""

[watts.here]
upside-down = \"""The display says **{{ display }}**, {{ way|choose(up='upwards', down_here='here') }}, \\
leads {{ nulled|choose(yes='nulled', no='not nulled') }}.\"""

[buttons]
check = "Check"
"""


def facts(words: Words, **changed: object) -> WattsFacts:
    """Return facts as they are in most tests, but for those ``changed``."""
    usual: dict[str, object] = {
        "part": words.noun("base element"),
        "volts": 230.0,
        "ohms": 35.265,
        "watts": 1500.04,
        "share": 0.52,
        "display": "35.27 Ω",
        "clause": Phrase("no more"),
        "side": "less",
        "way": Way.DOWN_HERE,
        "nulled": True,
        "rests": (words.noun("oven lamp"), words.noun("motor")),
        "wires": 1,
    }
    return WattsFacts(**{**usual, **changed})  # type: ignore[arg-type]


def scenarios(folder: Path, text: str = TEXT, language: str = "en", own: str = "") -> Path:
    """Write a scenarios folder that holds the sample text, and the own ``language.toml`` of another language."""
    english = scenarios_dir() / "text" / "en" / "language.toml"
    place = folder / "text" / language
    place.mkdir(parents=True, exist_ok=True)
    (place / "language.toml").write_text(own or english.read_text("utf-8"), "utf-8")
    (place / "sample.toml").write_text(text, "utf-8")
    return folder
