"""What can be read off a heat-up record: the temperature it holds, the time to a temperature, the length of a cycle."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

import numpy as np

from probebook.heating.installed import ZERO_CELSIUS
from probebook.heating.record import plateau
from probebook.questions.curve.facts.assumed import CurveLimits
from probebook.questions.curve.facts.record import (
    HeatUp,
    cycles,
    first_reached,
    last_swings,
    never_off,
    on_spans,
    other,
    read_alike,
    rows_at,
    table_time,
    values_at,
)
from probebook.questions.frame import Unfit
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "SUITS",
    "CurveFacts",
    "PeriodFacts",
    "PlateauFacts",
    "Presented",
    "TimeFacts",
    "kelvin",
    "period_facts",
    "plateau_facts",
    "time_facts",
]

NOTHING = Phrase("")
_SAID = ("title", "title-judged", "prompt", "label", "explanation", "working")


@dataclass(frozen=True, slots=True)
class Presented:
    """What every question shows first: how the record was taken, and its readings.

    ``then`` asks for the verdict; ``because`` gives its reason, and ``below`` the same as a line of the working.
    """

    taken: Phrase
    table: Phrase
    then: Phrase = NOTHING
    because: Phrase = NOTHING
    below: Phrase = NOTHING


@dataclass(frozen=True)
class CurveFacts(Facts):
    """What every question about a record tells."""

    taken: Phrase
    table: Phrase
    then: Phrase
    because: Phrase
    below: Phrase


def kelvin(celsius: float) -> float:
    """A temperature in K."""
    return celsius + ZERO_CELSIUS


def _presented(told: Presented) -> tuple[Phrase, Phrase, Phrase, Phrase, Phrase]:
    return told.taken, told.table, told.then, told.because, told.below


def _place(words: Words, shown: HeatUp) -> Noun:
    """What the record is about."""
    main = shown.record.main
    return words.noun(main if main in ("air", "water", "core") else "inside")


# ---------------------------------------------------------------- the temperature it holds


@dataclass(frozen=True)
class PlateauFacts(
    CurveFacts,
    group="questions/curve/plateau",
    says=(
        "title",
        "title-judged",
        "prompt",
        "prompt-steady",
        "label",
        "label-steady",
        "explanation",
        "explanation-steady",
        "working",
        "working-steady",
        "here.set-point-for-plateau",
        "here.overshoot-for-plateau",
        "here.rise-for-temperature",
        "here.wrong-curve",
    ),
):
    """The temperature that is held, what it swings between, and what else might be read."""

    place: Noun
    held: Annotated[float, "K"]
    low: Annotated[float, "K"]
    high: Annotated[float, "K"]
    hottest: Annotated[float, "K"]
    walls: Annotated[float, "K"]
    set_point: Annotated[float, "degC"]
    room: Annotated[float, "degC"]


def is_steady(shown: HeatUp) -> bool:
    """Whether the curve is level, nothing having switched twice."""
    facts = shown.facts
    return not facts.cycles or facts.period is None


def _plateau_suits(shown: HeatUp, limits: CurveLimits) -> bool:
    facts = shown.facts
    if not on_spans(shown.record) or facts.boils or facts.stays_off:
        return False
    level = facts.swing < limits.steady_swing and facts.hottest > shown.setting.ambient + limits.steady_rise
    if facts.cycles < 2:
        return never_off(shown.record) and level
    low, high = last_swings(shown.record)  # not while the swings still creep up or down
    return abs(facts.plateau - (low + high) / 2.0) <= limits.room / 2.0


def plateau_facts(words: Words, shown: HeatUp, told: Presented) -> PlateauFacts:
    """What is told of the temperature that is held."""
    record, facts, second = shown.record, shown.facts, other(shown.record)
    low, high = last_swings(record)
    return PlateauFacts(
        *_presented(told),
        place=_place(words, shown),
        held=kelvin((low + high) / 2.0 if facts.cycles >= 2 else facts.plateau),
        low=kelvin(low),
        high=kelvin(high),
        hottest=kelvin(facts.hottest),
        walls=kelvin(plateau(record, second)) if second else 0.0,
        set_point=facts.set_point or 0.0,
        room=shown.setting.ambient,
    )


# ---------------------------------------------------------------- the time to a temperature


@dataclass(frozen=True)
class TimeFacts(
    CurveFacts,
    group="questions/curve/time",
    says=(
        *_SAID,
        "here.straight-line",
        "here.wrong-level",
        "here.wrong-curve",
        "here.rise-for-temperature",
    ),
):
    """The time to a temperature, the two readings it lies between, and what else might be read.

    ``exact`` is by the curve, ``drawn`` by straight lines between the readings of the table.
    """

    place: Noun
    target: Annotated[float, "degC"]
    exact: Annotated[float, "s"]
    drawn: Annotated[float, "s"]
    before_minute: Annotated[float, "min"]
    before: Annotated[float, "degC"]
    after_minute: Annotated[float, "min"]
    after: Annotated[float, "degC"]
    half: Annotated[float, "degC"]
    to_half: Annotated[float, "s"]
    twice: Annotated[float, "s"]
    set_point: Annotated[float, "degC"]
    to_set_point: Annotated[float, "s"]
    walls: Annotated[float, "s"]
    risen: Annotated[float, "degC"]
    rise: Annotated[float, "K"]


def _target(shown: HeatUp, limits: CurveLimits) -> float | None:
    """The temperature whose time is asked for: well under what it comes to, and clear of the setting."""
    facts = shown.facts
    if not facts.heats:
        return None
    if shown.record.main == "air":
        lower = (t for t in limits.oven_targets if t < facts.hottest - limits.below_hottest)
        return next((t for t in lower if read_alike(shown.record, t)), None)
    top = min(facts.hottest, limits.hottest_water) if shown.record.main == "water" else facts.hottest
    target = 10.0 * ((top - 6.0) // 10.0)
    return target if target > shown.setting.ambient + limits.least_rise else None


def _time_suits(shown: HeatUp, limits: CurveLimits) -> bool:
    target = _target(shown, limits)
    return target is not None and read_alike(shown.record, target)


def time_facts(words: Words, shown: HeatUp, told: Presented, limits: CurveLimits) -> TimeFacts:
    """What is told of the time to a temperature; a time that is never reached is negative."""
    record, facts, ambient = shown.record, shown.facts, shown.setting.ambient
    target = _target(shown, limits)
    if target is None:
        raise Unfit("the record reaches no temperature that can be asked for")

    def seconds(celsius: float, node: str | None = None) -> float:
        found = first_reached(record, celsius, node)
        return -60.0 if found is None else 60.0 * found

    exact = 60.0 * (first_reached(record, target) or 0.0)
    half, second, minutes = ambient + (target - ambient) / 2.0, other(record), rows_at(record)
    to_half = 60.0 * (first_reached(record, half) or 0.0)
    values = values_at(record, minutes, record.main)
    i = int(np.argmax(np.round(values) >= target))
    return TimeFacts(
        *_presented(told),
        place=_place(words, shown),
        target=target,
        exact=exact,
        drawn=60.0 * (table_time(record, target) or exact / 60.0),
        before_minute=minutes[i - 1],
        before=values[i - 1],
        after_minute=minutes[i],
        after=values[i],
        half=half,
        to_half=to_half,
        twice=2.0 * to_half,
        set_point=facts.set_point or 0.0,
        to_set_point=seconds(facts.set_point) if facts.set_point is not None else -60.0,
        walls=seconds(target, second) if second else -60.0,
        risen=target + ambient,
        rise=target,
    )


# ---------------------------------------------------------------- the length of a cycle


@dataclass(frozen=True)
class PeriodFacts(
    CurveFacts,
    group="questions/curve/period",
    says=(
        *_SAID,
        "here.half-cycle",
        "here.half-cycle-off",
        "here.first-cycle",
        "here.rate-for-period",
    ),
):
    """The length of a cycle, the times of its two parts, and the last four switchings on."""

    period: Annotated[float, "s"]
    minutes: Annotated[float, "min"]
    on: Annotated[float, "s"]
    off: Annotated[float, "s"]
    first: Annotated[float, "s"]
    per_hour: float
    starts: tuple[Annotated[float, "min"], ...]
    earliest: Annotated[float, "min"]
    latest: Annotated[float, "min"]


def _period_suits(shown: HeatUp, limits: CurveLimits) -> bool:
    del limits
    return len(cycles(shown.record)) >= 3


def period_facts(shown: HeatUp, told: Presented) -> PeriodFacts:
    """What is told of the length of a cycle: the mean of the last three, by the times as they are shown."""
    spans = [(round(since, 1), round(until, 1)) for since, until in on_spans(shown.record)]
    lengths = [b - a for (a, _), (b, _) in pairwise(spans)]
    minutes = (spans[-1][0] - spans[-4][0]) / 3.0
    on = math.fsum(b - a for a, b in spans[-4:-1]) / 3.0
    starts = tuple(a for a, _ in spans[-4:])
    return PeriodFacts(
        *_presented(told),
        period=minutes * 60.0,
        minutes=minutes,
        on=on * 60.0,
        off=(minutes - on) * 60.0,
        first=lengths[0] * 60.0,
        per_hour=60.0 / minutes,
        starts=starts,
        earliest=starts[0],
        latest=starts[-1],
    )


#: Whether a record suits a form, by form.
SUITS: Mapping[str, Callable[[HeatUp, CurveLimits], bool]] = {
    "plateau": _plateau_suits,
    "time": _time_suits,
    "period": _period_suits,
}
