"""What stands on drawings and what they are called: facts of ``drawings.toml``, and the labels that several share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances.model import Appliance, Branch, BranchKind, Part, Wire
from probebook.drawings.colours import ConductorColour, conductor_colour
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "PartFacts",
    "TitleFacts",
    "WireFacts",
    "caption_of",
    "colour_noun",
    "colours_said",
    "cover_line",
    "own_noun",
    "part_title",
    "wire_said",
]


@dataclass(frozen=True)
class TitleFacts(Facts, group="drawings/schematic", says=("title", "rest", "supply", "supply-star", "supply-three")):
    """A schematic: the appliance, the setting of its controls, its supply; ``between`` two lines where it has three."""

    appliance: Noun
    setting: Noun
    volts: Annotated[float, "V"]
    hertz: Annotated[float, "Hz"]
    between: Annotated[float, "V"] = 0.0


@dataclass(frozen=True)
class ColourFacts(Facts, group="drawings/conductors", says=("colour",)):
    """A conductor colour with its letter code."""

    code: str
    colour: Noun


@dataclass(frozen=True)
class KeyFacts(Facts, group="drawings/conductors", says=("key",)):
    """All colours of a drawing."""

    colours: tuple[Phrase, ...]


@dataclass(frozen=True)
class PartFacts(Facts, group="drawings/part", says=("title", "behind")):
    """A part, and the cover it lies behind."""

    mark: str
    title: Noun
    cover: Noun


@dataclass(frozen=True)
class CaptionFacts(Facts, group="drawings/caption", says=("plain", "watts", "opens", "range", "rating")):
    """What stands at a symbol: a name, and watts, degrees or amperes."""

    name: Noun
    watts: Annotated[float, "W"]
    opens: Annotated[float, "°C"]
    low: Annotated[float, "°C"]
    high: Annotated[float, "°C"]
    amps: Annotated[float, "A"]


@dataclass(frozen=True)
class WireFacts(Facts, group="drawings/wire", says=("schematic", "schematic-lifted", "harness", "end")):
    """A wire: its mark, colour, length and ends."""

    mark: str
    colour: Noun
    code: str
    length: Annotated[float, "m"]
    start: str
    end: str


CELSIUS = 273.15


def colour_noun(words: Words, colour: ConductorColour) -> Noun:
    """A conductor colour as people say it: ``green-and-yellow``."""
    return words.noun(colour.word.replace("-", "-and-"))


def colours_said(words: Words, appliance: Appliance) -> Phrase:
    """The colours of an appliance's conductors with their letter codes, in order of code."""
    keys = sorted({conductor_colour(w.colour) for w in appliance.wires}, key=lambda c: c.code)
    said = tuple(words.say(ColourFacts(c.code, colour_noun(words, c)), "colour") for c in keys)
    return words.say(KeyFacts(said), "key")


def cover_line(words: Words, part: Part) -> Phrase:
    """The cover that a part lies behind."""
    return words.say(PartFacts(part.mark, words.noun(part.title), words.noun(part.cover)), "behind")


def part_title(words: Words, part: Part) -> Phrase:
    """A part by its mark and title."""
    return words.say(PartFacts(part.mark, words.noun(part.title), words.noun(part.cover)), "title")


def own_noun(words: Words, branch: Branch) -> Noun:
    """What a section or contact of a part is called by itself: ``outer``, or a letter as it stands."""
    own = branch.name.partition(".")[2]
    return Noun(own, own) if len(own) <= 1 else words.noun(own)


def wire_said(words: Words, wire: Wire, key: str) -> Phrase:
    """A wire, said as it stands in a drawing."""
    colour = conductor_colour(wire.colour)
    facts = WireFacts(wire.mark, words.noun(colour.word), colour.code, wire.length, wire.start, wire.end)
    return words.say(facts, key)


def caption_of(words: Words, part: Part, branch: Branch, *, framed: bool) -> Phrase:
    """Name and figure shown at a symbol: the mark or section, and watts, degrees or amperes."""
    name = own_noun(words, branch) if framed else Noun(part.mark, part.mark)
    if not framed and branch.kind is BranchKind.CONTACT and "." in branch.name:
        name = Noun(branch.name, branch.name)
    opens, low, high, rating = (_number(part, key) for key in ("opens_at", "minimum", "maximum", "rating"))
    key = "watts" if branch.watts else "plain"
    if opens is not None:
        key = "opens"
    elif low is not None and high is not None:
        key = "range"
    if rating is not None:
        key = "rating"
    facts = CaptionFacts(name, branch.watts, _celsius(opens), _celsius(low), _celsius(high), rating or 0.0)
    return words.say(facts, key)


def _celsius(kelvin: float | None) -> float:
    return 0.0 if kelvin is None else kelvin - CELSIUS


def _number(part: Part, key: str) -> float | None:
    found = part.fact(key)
    return found if isinstance(found, float) else None
