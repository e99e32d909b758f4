"""Ratings in words, as the stock list writes them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.questions.replacement import ratings
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["rating_words"]


@dataclass(frozen=True)
class SectionFacts(Facts, group="questions/replacement/section", says=("own", "alone")):
    """The watts of a section, and what it is called where there are several."""

    own: Noun
    watts: Annotated[float, "W"]


@dataclass(frozen=True)
class LoadFacts(Facts, group="questions/replacement/rating", says=("load",)):
    """Watts, as said of each section, at a voltage."""

    sections: tuple[Phrase, ...]
    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class LampFacts(Facts, group="questions/replacement/rating", says=("oven-lamp", "household-lamp")):
    """A lamp with the temperature it is made for."""

    load: Phrase
    celsius: Annotated[float, "degC"]


@dataclass(frozen=True)
class WholeFacts(Facts, group="questions/replacement/rating", says=("whole",)):
    """One circuit of so many watts."""

    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class OpensFacts(Facts, group="questions/replacement/rating", says=("opens",)):
    """Where a cut-out opens and how it resets."""

    celsius: Annotated[float, "degC"]
    reset: ratings.Reset


@dataclass(frozen=True)
class SpanFacts(Facts, group="questions/replacement/rating", says=("span",)):
    """What a thermostat spans."""

    low: Annotated[float, "degC"]
    high: Annotated[float, "degC"]


@dataclass(frozen=True)
class AmperesFacts(Facts, group="questions/replacement/rating", says=("amps",)):
    """What a fuse carries."""

    amps: Annotated[float, "A"]


@dataclass(frozen=True)
class PatternFacts(Facts, group="questions/replacement/rating", says=("pattern", "pattern-other")):
    """A part without figures: that of a mark in a model."""

    mark: str
    model: str


def rating_words(words: Words, rating: ratings.Rating) -> Phrase:
    """A rating as the stock list writes it."""
    match rating:
        case ratings.Load(sections, volts):
            return words.say(LoadFacts(tuple(_section(words, own, watts) for own, watts in sections), volts), "load")
        case ratings.OvenLamp(load, use, celsius):
            return words.say(LampFacts(rating_words(words, load), celsius), f"{use}-lamp")
        case ratings.Whole(watts, volts):
            return words.say(WholeFacts(watts, volts), "whole")
        case ratings.Opens(celsius, reset):
            return words.say(OpensFacts(celsius, reset), "opens")
        case ratings.Span(low, high):
            return words.say(SpanFacts(low, high), "span")
        case ratings.Amperes(amps):
            return words.say(AmperesFacts(amps), "amps")
        case ratings.Pattern(mark, model):
            return words.say(PatternFacts(mark, model), "pattern" if model else "pattern-other")


def _section(words: Words, own: str, watts: float) -> Phrase:
    noun = Noun(own, own) if len(own) < 2 else words.noun(own)
    return words.say(SectionFacts(noun, watts), "own" if own else "alone")
