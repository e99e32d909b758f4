"""A measurement and its interval: what the accuracy statement makes of a reading, and how it is said."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from probebook.meters import Function, Meter, Range, Reading, Verdict
from probebook.words import Facts, Phrase, Words

__all__ = ["Measurement", "accuracy_said", "edge_said", "range_in_use", "span_said", "stated"]


@dataclass(frozen=True)
class AccuracyFacts(Facts, group="questions/verdict/accuracy", says=("stated",)):
    """An accuracy statement: a share of the reading and a number of digits."""

    share: float
    digits: float


@dataclass(frozen=True)
class WattsSpan(Facts, group="questions/verdict/span", says=("watts",)):
    """From so many watts to so many."""

    low: Annotated[float, "W"]
    high: Annotated[float, "W"]


@dataclass(frozen=True)
class VoltsSpan(Facts, group="questions/verdict/span", says=("volts",)):
    """From so many volts to so many."""

    low: Annotated[float, "V"]
    high: Annotated[float, "V"]


@dataclass(frozen=True)
class OhmsSpan(Facts, group="questions/verdict/span", says=("ohms",)):
    """From so many ohms to so many."""

    low: Annotated[float, "ohm"]
    high: Annotated[float, "ohm"]


@dataclass(frozen=True)
class Edge(Facts, group="questions/verdict/edge", says=("ohms", "ohms-fine")):
    """A limit in ohms."""

    ohms: Annotated[float, "ohm"]


@dataclass(frozen=True, slots=True)
class Measurement:
    """A reading, the instrument, and what can be said of it.

    Attributes
    ----------
    meter, function, reading
        What was read with what; nulled or not as the reading says.
    low, high
        The interval a learner works out from the accuracy statement, SI.
    verdict
        The core's verdict on that interval.
    """

    meter: Meter
    function: Function
    reading: Reading
    low: float
    high: float
    verdict: Verdict

    @property
    def leads(self) -> float:
        """Ohms of the test leads in the reading."""
        return self.meter.leads_in(self.function, nulled=self.reading.nulled)


def range_in_use(meter: Meter, function: Function, reading: Reading) -> Range:
    """The range that a reading was shown on."""
    return next(r for r in meter.ranges_of(function) if math.isclose(r.resolution, reading.resolution, rel_tol=1e-6))


def stated(meter: Meter, function: Function, reading: Reading) -> tuple[float, float]:
    """The interval a learner works out: the reading, leads taken off, give or take the accuracy statement."""
    value = reading.value - meter.leads_in(function, nulled=reading.nulled)
    width = range_in_use(meter, function, reading).accuracy(reading.value)
    return max(0.0, value - width), value + width


def accuracy_said(words: Words, measured: Measurement) -> Phrase:
    """The accuracy statement of the range in use, as makers print it."""
    used = range_in_use(measured.meter, measured.function, measured.reading)
    return words.say(AccuracyFacts(used.fraction_of_reading, used.digits), "stated")


def span_said(words: Words, unit: str, low: float, high: float) -> Phrase:
    """From so much to so much, in ``W``, ``V`` or ``ohm``."""
    if unit == "W":
        return words.say(WattsSpan(low, high), "watts")
    return words.say(VoltsSpan(low, high), "volts") if unit == "V" else words.say(OhmsSpan(low, high), "ohms")


def edge_said(words: Words, ohms: float) -> Phrase:
    """A limit in ohms, with a third decimal where it has one."""
    return words.say(Edge(ohms), "ohms" if ohms == round(ohms, 2) else "ohms-fine")
