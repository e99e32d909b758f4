"""Readings for verdicts: taken with the meter's own error, judged by what a learner can work out and by more."""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.meters import (
    Function,
    Limit,
    Meter,
    Outcome,
    Reading,
    Rules,
    Verdict,
    limits,
    load_rules,
    read,
    verdict,
)
from probebook.questions.frame import Unfit
from probebook.questions.verdict_frame import Reason, guard, stated

__all__ = ["doubt", "interval", "megohms", "rules_of", "take"]


def rules_of(library: Library) -> Rules:
    """The limits of the library."""
    return load_rules(library.folder / "limits.toml")


def take(meter: Meter, function: Function, true: float, rng: random.Random, *, nulled: bool = False) -> Reading:
    """A reading with the instrument's own error drawn within its statement."""
    return read(meter, function, true, gain=rng.uniform(-0.8, 0.8), wobble=rng.uniform(-0.8, 0.8), nulled=nulled)


def interval(
    meter: Meter,
    function: Function,
    reading: Reading,
    limit: Limit,
    wanted: Outcome,
    *,
    room: float,
    times: float = 1.0,
) -> tuple[Verdict, float, float]:
    """The verdict, and the interval (over ``times``) that a learner works out from the accuracy statement.

    The core's own interval, with what nulling and the last digit add, has to give the same verdict.
    """
    low, high = (v / times for v in stated(meter, function, reading))
    middle = (low + high) / 2
    found = verdict(middle, (low, high), limit)
    guard(found, wanted, room=room)
    wide = limits(meter, function, reading.value, resolution=reading.resolution, nulled=reading.nulled)
    if verdict(middle, (wide[0] / times, wide[1] / times), limit).outcome is not wanted:
        raise Unfit("the last digit would decide")
    return found, low, high


def megohms(value: float) -> str:
    """Ohms in megohms, as insulation testers show them."""
    return f"{value / 1e6:.2f} MΩ"


def doubt(low: str, high: str) -> Reason:
    """The wrong reason that leaves it open although the interval lies on one side."""
    return Reason(
        "doubt-for-verdict",
        f"the meter's own limits, {low} to {high}, reach across the limit of the rule",
        f"From {low} to {high} the whole range lies on one side.",
    )
