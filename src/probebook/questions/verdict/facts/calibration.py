"""Facts about a meter on a known resistor, against its own accuracy statement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.meters import Conformity
from probebook.questions.verdict.facts.measurement import Measurement, accuracy_said, range_in_use, span_said
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["CalibrationFacts", "calibration_facts"]


@dataclass(frozen=True)
class CalibrationFacts(
    Facts,
    group="questions/verdict/calibration",
    says=(
        *("title", "prompt", "prompt-leads", "explanation", "working", "working-cannot"),
        *("right.within", "right.outside", "right.cannot"),
        *("why.label-trusted", "why.any-reading-passes", "why.exact-match", "why.meter-beyond-its-means"),
        *("why.leads-left-in", "here.leads-left-in", "here.label-trusted", "here.label-trusted-cannot"),
        *("here.any-reading-passes", "here.any-reading-passes-cannot", "here.exact-match"),
        "here.meter-beyond-its-means",
    ),
):
    """A resistor, what a meter shows of it, and how far its statement lets it be off.

    ``ohms`` are shown, ``value`` is left without the leads; ``width`` is what the statement allows, ``known`` how well
    the resistor is known, ``miss`` how far the value is from it.
    """

    meter: Noun
    accuracy: Phrase
    allowed: Phrase
    nominal: Annotated[float, "ohm"]
    tolerance: float
    nominal_least: Annotated[float, "ohm"]
    nominal_most: Annotated[float, "ohm"]
    shown: str
    ohms: Annotated[float, "ohm"]
    leads: Annotated[float, "ohm"]
    value: Annotated[float, "ohm"]
    share: float
    digits: float
    digit: Annotated[float, "ohm"]
    width: Annotated[float, "ohm"]
    known: Annotated[float, "ohm"]
    miss: Annotated[float, "ohm"]
    verdict: Conformity


def calibration_facts(words: Words, nominal: float, tolerance: float, measured: Measurement) -> CalibrationFacts:
    """What a reading of a resistor of ``nominal`` Ω (± a share) says of the meter."""
    reading = measured.reading
    value = reading.value - measured.leads
    used = range_in_use(measured.meter, measured.function, reading)
    width = used.accuracy(reading.value)
    return CalibrationFacts(
        meter=words.noun(measured.meter.title.partition(",")[0]),  # not what its label says
        accuracy=accuracy_said(words, measured),
        allowed=span_said(words, "ohm", nominal - width, nominal + width),
        nominal=nominal,
        tolerance=tolerance,
        nominal_least=nominal * (1 - tolerance),
        nominal_most=nominal * (1 + tolerance),
        shown=reading.display,
        ohms=reading.value,
        leads=measured.leads,
        value=value,
        share=used.fraction_of_reading,
        digits=used.digits,
        digit=used.resolution,
        width=width,
        known=nominal * tolerance,
        miss=abs(value - nominal),
        verdict=measured.verdict.conformity,
    )
