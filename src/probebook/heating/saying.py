"""A heat-up record in words: a summary for those who do not see its picture, and what stands on the picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from probebook.heating.figures import RecordFigures, figures_of
from probebook.heating.record import HeatRecord, time_to
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["LINES", "Line", "PictureFacts", "picture_facts", "summary"]

#: Nodes whose lines have a name of their own.
LINES = ("air", "water", "inside", "core", "wall", "case", "food")
#: A temperature (°C) that everybody knows, told of a record that never comes to its set point.
HUNDRED = 100.0


@dataclass(frozen=True)
class Line(Facts, group="heating/line", says=LINES):
    """The names of the lines."""


@dataclass(frozen=True)
class PictureFacts(
    Facts, group="heating/picture", says=("title", "set-point", "degrees", "minutes", "power", "never", "opens")
):
    """What stands on the picture of a record: the set point, and the cut-out that opens."""

    set_point: Annotated[float, "°C"] = 0.0
    cut_out: str = ""


@dataclass(frozen=True)
class SummaryFacts(
    Facts,
    group="heating/summary",
    says=(
        *("starts", "starts-set", "cold", "reached", "never-reached", "never-reached-hundred", "boils-water"),
        *("boils-food", "off", "opens", "opens-for-good", "cycles", "settles", "still-on", "energy"),
    ),
):
    """What a record shows. Times are said already, empty where a thing did not happen."""

    place: Noun
    first: Annotated[float, "°C"]
    last: Annotated[float, "°C"]
    set_point: Annotated[float, "°C"]
    hottest: Annotated[float, "°C"]
    hundred: Annotated[float, "°C"]
    plateau: Annotated[float, "°C"]
    swing: Annotated[float, "K"]
    duty: Annotated[float, "%"]
    energy: Annotated[float, "kWh"]
    cut_out: str
    length: Phrase
    reached: Phrase
    passed: Phrase
    boils: Phrase
    off: Phrase
    opened: Phrase
    period: Phrase


@dataclass(frozen=True)
class Clock(Facts, group="heating/clock", says=("seconds", "minutes", "minutes-seconds", "hours")):
    """A time."""

    seconds: int
    minutes: int
    hours: Annotated[float, "h"]


def picture_facts(record: HeatRecord, cut_out: str = "") -> PictureFacts:
    """What stands on the picture of a record, or at the mark of a cut-out that opens."""
    return PictureFacts(record.thermostat.set_point if record.thermostat else 0.0, cut_out)


def summary(words: Words, record: HeatRecord, *, contacts: bool = True) -> str:
    """Say in a few sentences what the picture shows, for those who do not see it.

    Without ``contacts`` it tells temperatures and power alone, as :func:`~probebook.heating.plots.record_svg` does.
    """
    found = figures_of(record)
    facts = _facts(words, record, found)
    keys = ["starts" if found.set_point is None else "starts-set"]
    if not found.heats:
        keys.append("cold")
    else:
        keys += [*_warming(facts, found), *_switching(found, contacts=contacts), *_end(found), "energy"]
    return " ".join(words.say(facts, key) for key in keys)


def _facts(words: Words, record: HeatRecord, found: RecordFigures) -> SummaryFacts:
    main = record.node(record.main)
    place = record.main if record.main in ("air", "water", "core") else "inside"
    return SummaryFacts(
        place=words.noun(place),
        first=float(main[0]),
        last=float(main[-1]),
        set_point=found.set_point or 0.0,
        hottest=found.hottest,
        hundred=HUNDRED,
        plateau=found.plateau,
        swing=found.swing,
        duty=found.duty,
        energy=found.energy_kwh,
        cut_out=found.tripped or "",
        length=_clock(words, float(record.times[-1])),
        reached=_clock(words, found.time_to_set_point),
        passed=_clock(words, time_to(record, HUNDRED) or None),
        boils=_clock(words, found.boils_at),
        off=_clock(words, _first_off(record)),
        opened=_clock(words, found.trips_at),
        period=_clock(words, found.period),
    )


def _warming(facts: SummaryFacts, found: RecordFigures) -> list[str]:
    """Whether it comes to its set point, and whether anything boils."""
    keys = []
    if found.time_to_set_point is not None:
        keys.append("reached")
    elif found.set_point is not None:
        keys.append("never-reached-hundred" if facts.passed else "never-reached")
    if found.boils_at is not None:
        keys.append("boils-water" if facts.place.id == "water" else "boils-food")
    return keys


def _switching(found: RecordFigures, *, contacts: bool) -> list[str]:
    """Whether a cut-out opens; only that the power goes off where contacts are not told."""
    if found.trips_at is None:
        return []
    return ["opens-for-good" if found.stays_off else "opens"] if contacts else ["off"]


def _end(found: RecordFigures) -> list[str]:
    """What it does in the end."""
    if found.period is not None:
        return ["cycles"]
    if found.settled and found.duty > 0.0:
        return ["settles"]
    return ["still-on"] if found.always_on else []


def _first_off(record: HeatRecord) -> float | None:
    """The first time (s) at which power that was on is off; None where it never is."""
    off = ~record.on & (record.energy > 0.0)
    return float(record.times[int(np.argmax(off))]) if off.any() else None


def _clock(words: Words, seconds: float | None) -> Phrase:
    """A time as a person would say it; empty for none."""
    if seconds is None:
        return Phrase("")
    whole = round(seconds)
    minutes, rest = divmod(whole, 60)
    key = "seconds"
    if whole >= 5400:
        key = "hours"
    elif whole >= 100:
        key = "minutes-seconds" if rest and minutes < 10 else "minutes"
        minutes = minutes if key == "minutes-seconds" else round(whole / 60)
    shown = whole if key == "seconds" else rest
    return words.say(Clock(shown, minutes, whole / 3600), key)
