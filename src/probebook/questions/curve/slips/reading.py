"""What goes wrong in reading a record."""

from __future__ import annotations

from probebook.questions.assembling import wrong_numbers
from probebook.questions.curve.facts.reading import PeriodFacts, PlateauFacts, TimeFacts, kelvin
from probebook.questions.curve.facts.record import HeatUp, first_reached, other
from probebook.questions.frame import WrongNumber
from probebook.words import Words

__all__ = ["period_slips", "plateau_slips", "time_slips"]


def plateau_slips(words: Words, shown: HeatUp, facts: PlateauFacts) -> list[WrongNumber]:
    """The slips of the temperature that is held."""
    values = {}
    if shown.facts.set_point is not None:
        values["set-point-for-plateau"] = kelvin(facts.set_point)
    values["overshoot-for-plateau"] = facts.hottest
    values["rise-for-temperature"] = kelvin(shown.facts.plateau - facts.room)
    if other(shown.record):
        values["wrong-curve"] = facts.walls
    return wrong_numbers(words, facts, values)


def time_slips(words: Words, shown: HeatUp, facts: TimeFacts) -> list[WrongNumber]:
    """The slips of the time to a temperature."""
    values = {"straight-line": facts.twice}
    if facts.to_set_point >= 0:
        values["wrong-level"] = facts.to_set_point
    if facts.walls >= 0:
        values["wrong-curve"] = facts.walls
    values["rise-for-temperature"] = 60.0 * (first_reached(shown.record, facts.risen) or -1.0)
    return wrong_numbers(words, facts, values)


def period_slips(words: Words, facts: PeriodFacts) -> list[WrongNumber]:
    """The slips of the length of a cycle; either half of it is one."""
    off = wrong_numbers(words, facts, {"half-cycle": facts.off}, keys={"half-cycle": "here.half-cycle-off"})
    rest = {"first-cycle": facts.first, "rate-for-period": 60.0 * facts.per_hour}
    return [*wrong_numbers(words, facts, {"half-cycle": facts.on}), *off, *wrong_numbers(words, facts, rest)]
