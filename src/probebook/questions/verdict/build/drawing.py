"""Draws for verdicts: the verdict wanted, readings with the meter's own error, and what makes such a draw fair."""

from __future__ import annotations

import math
import random

from probebook.cases.library import Library
from probebook.meters import Conformity, Function, Limit, Meter, Reading, Verdict, limits, read, verdict
from probebook.questions.frame import Ask, Unfit
from probebook.questions.verdict.assumed import VerdictDraws
from probebook.questions.verdict.facts.measurement import Measurement, stated

__all__ = ["drawn_conformity", "guard", "measured", "take"]


def drawn_conformity(ask: Ask, library: Library, rng: random.Random) -> Conformity:
    """The verdict wanted: as the plan says (option ``verdict``), or drawn evenly."""
    wanted = ask.text("verdict")
    if wanted:
        if wanted not in set(Conformity):
            raise Unfit(f"there is no verdict '{wanted}'")
        return Conformity(wanted)
    choices = [Conformity.WITHIN, Conformity.OUTSIDE]
    return rng.choice(
        choices + ([Conformity.CANNOT_TELL] if ask.level >= library.assumptions.get(VerdictDraws).cannot_from else [])
    )


def take(
    library: Library, meter: Meter, function: Function, true: float, rng: random.Random, *, nulled: bool = False
) -> Reading:
    """A reading with the instrument's own error drawn within its statement."""
    most = library.assumptions.get(VerdictDraws).own_error
    gain, wobble = rng.uniform(-most, most), rng.uniform(-most, most)
    return read(meter, function, true, gain=gain, wobble=wobble, nulled=nulled)


def guard(found: Verdict, wanted: Conformity, *, room: float, limits_crossed: int = 1) -> None:
    """Put a draw back unless it gives the wanted verdict with ``room`` to spare (relative to the limits).

    Within and outside keep clear of the limit by that much; 'cannot be told' reaches across it by that much.
    """
    if found.conformity is not wanted:
        raise Unfit(f"the draw is {found.conformity}, not {wanted}")
    crossed = 0
    for limit in (found.limit_low, found.limit_high):
        if not math.isfinite(limit) or limit <= 0:
            continue
        low, high = found.low - limit, found.high - limit
        if low < 0 < high:
            crossed += 1
            if min(-low, high) < room * limit:
                raise Unfit("the interval barely reaches across the limit")
        elif min(abs(low), abs(high)) < room * limit:
            raise Unfit("the interval ends too near the limit")
    if wanted is Conformity.CANNOT_TELL and crossed != limits_crossed:
        raise Unfit("the interval does not reach across the limit")


def measured(
    meter: Meter, reading: Reading, limit: Limit, wanted: Conformity, *, room: float, times: float = 1.0
) -> Measurement:
    """The verdict, and the interval (over ``times``) that a learner works out from the accuracy statement.

    The core's own interval, with what nulling and the last digit add, has to give the same verdict.
    """
    function = reading.function
    low, high = (v / times for v in stated(meter, function, reading))
    middle = (low + high) / 2
    found = verdict(middle, (low, high), limit)
    guard(found, wanted, room=room)
    wide = limits(meter, function, reading.value, resolution=reading.resolution, nulled=reading.nulled)
    if verdict(middle, (wide[0] / times, wide[1] / times), limit).conformity is not wanted:
        raise Unfit("the last digit would decide")
    return Measurement(meter, function, reading, low, high, found)
