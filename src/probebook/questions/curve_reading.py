"""What can be read off a heat-up record: the temperature it holds, the time to a temperature, the length of a cycle."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from probebook.heating.facts import describe
from probebook.heating.installed import ZERO_CELSIUS
from probebook.heating.record import plateau
from probebook.questions.curve_record import Sheet, cycles, first_reached, on_spans, other, rows_at, table_time
from probebook.questions.frame import Unfit, WrongNumber, quantity_field
from probebook.questions.model import Field
from probebook.unit_format import format_quantity

__all__ = ["FORMS", "Form", "Read"]

#: Temperature asked for in an oven, °C.
OVEN_TARGET, LOWER_TARGET = 180.0, 140.0


@dataclass(frozen=True, slots=True)
class Read:
    """One thing read off: its field, its slips, how it is found, and what the answer is in words."""

    field: Field
    wrong: Sequence[WrongNumber]
    working: str
    said: str
    question: str


@dataclass(frozen=True, slots=True)
class Form:
    """A way of asking: its title, whether a record suits it, and how it is read."""

    title: str
    suits: Callable[[Sheet], bool]
    read: Callable[[Sheet], Read]


def _celsius(value: float) -> str:
    return format_quantity(value + ZERO_CELSIUS, "degC", 3)


def _minutes(value: float) -> str:
    return format_quantity(value * 60.0, "min", 3)


def _kelvin(value: float) -> float:
    return value + ZERO_CELSIUS


def _plateau_suits(shown: Sheet) -> bool:
    facts, spans = describe(shown.record), on_spans(shown.record)
    if not spans or facts.boils or facts.stays_off:
        return False
    never_off = len(spans) == 1 and spans[0][1] * 60.0 > float(shown.record.times[-1]) - 1.0
    return facts.cycles >= 2 or (never_off and facts.swing < 4.0 and facts.hottest > shown.setting.ambient + 30.0)


def _plateau(shown: Sheet) -> Read:
    record, facts = shown.record, describe(shown.record)
    steady = not facts.cycles or facts.period is None
    low = min(facts.plateau, float(record.node(record.main)[-1]) if steady else facts.plateau) - 4.0
    high = max(facts.plateau, facts.hottest if steady else facts.plateau) + 4.0
    place = _main_word(shown)
    label = f"Temperature at which the {place} {'levels off' if steady else 'is held'}"
    field = quantity_field(
        "plateau", label, "degC", _kelvin(facts.plateau), low=_kelvin(low), high=_kelvin(high), digits=3
    )
    wrong: list[WrongNumber] = []
    if facts.set_point is not None:
        wrong.append(
            WrongNumber(
                "set-point-for-plateau",
                _kelvin(facts.set_point),
                f"{facts.set_point:g} °C is where the knob stands; the {place} comes to {_celsius(facts.plateau)}.",
            )
        )
    wrong += [
        WrongNumber(
            "overshoot-for-plateau",
            _kelvin(facts.hottest),
            f"{_celsius(facts.hottest)} is the hottest moment; after that the {place} swings about "
            f"{_celsius(facts.plateau)}.",
        ),
        WrongNumber(
            "rise-for-temperature",
            _kelvin(facts.plateau - shown.setting.ambient),
            f"{_celsius(facts.plateau)} less the {shown.setting.ambient:g} °C of the room is the rise, not the "
            "temperature.",
        ),
    ]
    second = other(record)
    if second:
        walls = plateau(record, second)
        wrong.append(
            WrongNumber("wrong-curve", _kelvin(walls), f"{_celsius(walls)} is where the walls end, not the {place}.")
        )
    if steady:
        said = f"From the readings at the end the {place} levels off at about {_celsius(facts.plateau)}."
        how = f"The last readings hardly change any more: they lie about {_celsius(facts.plateau)}."
    else:
        half = facts.swing / 2.0
        said = (
            f"The {place} swings between about {_celsius(facts.plateau - half)} and {_celsius(facts.plateau + half)}, "
            f"so it is held at about {_celsius(facts.plateau)}."
        )
        how = "Leave the first peak out and take the middle of the later swings: " + said
    asks = f"At what temperature does the {place} level off?" if steady else f"At what temperature is the {place} held?"
    return Read(field, wrong, how, said, asks)


def _main_word(shown: Sheet) -> str:
    return {"air": "air", "water": "water", "core": "core"}.get(shown.record.main, "inside")


def _target(shown: Sheet) -> float | None:
    """The temperature whose time is asked for: well under what it comes to, and clear of the setting."""
    facts = describe(shown.record)
    if not facts.heats:
        return None
    if shown.record.main == "air":
        return next((t for t in (OVEN_TARGET, LOWER_TARGET, 90.0) if t < facts.hottest - 12.0), None)
    top = min(facts.hottest, 95.0) if shown.record.main == "water" else facts.hottest
    target = 10.0 * ((top - 6.0) // 10.0)
    return target if target > shown.setting.ambient + 15.0 else None


def _time_suits(shown: Sheet) -> bool:
    target = _target(shown)
    return target is not None and first_reached(shown.record, target) is not None


def _time(shown: Sheet) -> Read:
    record, facts = shown.record, describe(shown.record)
    target = _target(shown)
    if target is None:
        raise Unfit("the record reaches no temperature that can be asked for")
    exact = first_reached(record, target) or 0.0
    drawn = table_time(record, target) or exact
    slack = max(0.03 * exact, 0.15)
    low, high = min(exact, drawn) - slack, max(exact, drawn) + slack
    place = _main_word(shown)
    field = quantity_field(
        "time",
        f"Time to {target:g} °C",
        "min",
        exact * 60.0,
        low=low * 60.0,
        high=high * 60.0,
        digits=3,
    )
    ambient = shown.setting.ambient
    half = ambient + (target - ambient) / 2.0
    to_half = first_reached(record, half) or 0.0
    wrong = [
        WrongNumber(
            "straight-line",
            2.0 * to_half * 60.0,
            f"Half of the rise, to {half:.0f} °C, takes {_minutes(to_half)}; twice that is {_minutes(2 * to_half)}, "
            f"but the curve bends and {target:g} °C comes at {_minutes(exact)}.",
        )
    ]
    if facts.set_point is not None and first_reached(record, facts.set_point) is not None:
        at_set = first_reached(record, facts.set_point) or 0.0
        wrong.append(
            WrongNumber(
                "wrong-level",
                at_set * 60.0,
                f"At {_minutes(at_set)} the {place} comes to {facts.set_point:g} °C, its setting; {target:g} °C was "
                "asked for.",
            )
        )
    second = other(record)
    if second and first_reached(record, target, second) is not None:
        walls = first_reached(record, target, second) or 0.0
        wrong.append(
            WrongNumber(
                "wrong-curve",
                walls * 60.0,
                f"At {_minutes(walls)} the walls come to {target:g} °C; the {place} is there at {_minutes(exact)}.",
            )
        )
    wrong.append(
        WrongNumber(
            "rise-for-temperature",
            60.0 * (first_reached(record, target + ambient) or -1.0),
            f"That is when the {place} has risen by {target:g} K, to {target + ambient:g} °C; the reading itself "
            f"passes {target:g} °C earlier.",
        )
    )
    said = f"The {place} first comes to {target:g} °C after {_minutes(exact)}."
    before = _bracket(shown, target)
    working = f"{before} Reading between them: about {_minutes(drawn)} by the table, {_minutes(exact)} by the curve."
    return Read(field, wrong, working, said, f"How long after switching on does the {place} first reach {target:g} °C?")


def _bracket(shown: Sheet, target: float) -> str:
    record = shown.record
    minutes = rows_at(record)
    values = np.interp(np.array(minutes) * 60.0, record.times, record.node(record.main))
    i = int(np.argmax(np.round(values) >= target))
    return f"At {minutes[i - 1]:g} min it is {values[i - 1]:.0f} °C, at {minutes[i]:g} min {values[i]:.0f} °C."


def _period_suits(shown: Sheet) -> bool:
    return len(cycles(shown.record)) >= 3


def _period(shown: Sheet) -> Read:
    spans, lengths = on_spans(shown.record), cycles(shown.record)
    late = lengths[-3:]
    value = sum(late) / len(late)
    low, high = min(*late, value) - 0.15, max(*late, value) + 0.15
    field = quantity_field(
        "period", "Length of one cycle", "min", value * 60.0, low=low * 60.0, high=high * 60.0, digits=3
    )
    on = sum(b - a for a, b in spans[-4:-1]) / 3.0
    off = value - on
    wrong = [
        WrongNumber(
            "half-cycle",
            on * 60.0,
            f"{_minutes(on)} is how long the heaters are on; they are then off for {_minutes(off)}.",
        ),
        WrongNumber(
            "half-cycle",
            off * 60.0,
            f"{_minutes(off)} is how long the heaters are off; before that they are on for {_minutes(on)}.",
        ),
        WrongNumber(
            "first-cycle",
            lengths[0] * 60.0,
            f"{_minutes(lengths[0])} is from switching on to the first re-closing, the warm-up included.",
        ),
        WrongNumber(
            "rate-for-period",
            60.0 / value * 60.0,
            f"60 ÷ {value:.1f} = {60.0 / value:.1f} is how many cycles there are in an hour, not how long one takes.",
        ),
    ]
    starts = [f"{a:.1f}" for a, _ in spans[-4:]]
    said = f"The heaters come on at {', '.join(starts)} min: one cycle takes about {_minutes(value)}."
    parts = f"of which {_minutes(on)} on and {_minutes(off)} off"
    working = f"{said} ({starts[-1]} − {starts[0]}) ÷ 3 = {value:.2f} min, {parts}."
    return Read(
        field, wrong, working, said, "Once it has settled, how long is one cycle, from switching on to switching on?"
    )


FORMS: Mapping[str, Form] = {
    "plateau": Form("The temperature it holds", _plateau_suits, _plateau),
    "time": Form("The time it takes", _time_suits, _time),
    "period": Form("The length of a cycle", _period_suits, _period),
}
