"""The field for what is read off a record, by form."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from probebook.questions.curve.facts.assumed import CurveLimits
from probebook.questions.curve.facts.reading import (
    CurveFacts,
    Presented,
    is_steady,
    kelvin,
    period_facts,
    plateau_facts,
    time_facts,
)
from probebook.questions.curve.facts.record import HeatUp, cycles
from probebook.questions.curve.slips.reading import period_slips, plateau_slips, time_slips
from probebook.questions.frame import WrongNumber, quantity_field
from probebook.questions.model import Band, Field
from probebook.words import Words

__all__ = ["READINGS", "Read"]


@dataclass(frozen=True, slots=True)
class Read:
    """One thing read off: what is told of it, its field, its slips, and the sentences that differ from the usual."""

    facts: CurveFacts
    field: Field
    wrong: Sequence[WrongNumber]
    keys: Mapping[str, str]


def _plateau(words: Words, shown: HeatUp, told: Presented, limits: CurveLimits) -> Read:
    record, found, steady = shown.record, shown.facts, is_steady(shown)
    low = min(found.plateau, float(record.node(record.main)[-1]) if steady else found.plateau) - limits.room
    high = max(found.plateau, found.hottest if steady else found.plateau) + limits.room
    facts = plateau_facts(words, shown, told)
    label = words.say(facts, "label-steady" if steady else "label")
    answer = quantity_field("plateau", label, "degC", facts.held, accepted=Band(kelvin(low), kelvin(high)))
    keys = {key: f"{key}-steady" for key in ("prompt", "explanation", "working")} if steady else {}
    return Read(facts, answer, plateau_slips(words, shown, facts), keys)


def _time(words: Words, shown: HeatUp, told: Presented, limits: CurveLimits) -> Read:
    facts = time_facts(words, shown, told, limits)
    exact, drawn = facts.exact / 60.0, facts.drawn / 60.0
    slack = max(limits.slack_share * exact, limits.slack)
    low, high = min(exact, drawn) - slack, max(exact, drawn) + slack
    label = words.say(facts, "label")
    answer = quantity_field("time", label, "min", facts.exact, accepted=Band(low * 60.0, high * 60.0))
    return Read(facts, answer, time_slips(words, shown, facts), {})


def _period(words: Words, shown: HeatUp, told: Presented, limits: CurveLimits) -> Read:
    facts = period_facts(shown, told)
    late = cycles(shown.record)[-3:]
    low, high = min(*late, facts.minutes) - limits.slack, max(*late, facts.minutes) + limits.slack
    label = words.say(facts, "label")
    answer = quantity_field("period", label, "min", facts.period, accepted=Band(low * 60.0, high * 60.0))
    return Read(facts, answer, period_slips(words, facts), {})


READINGS: Mapping[str, Callable[[Words, HeatUp, Presented, CurveLimits], Read]] = {
    "plateau": _plateau,
    "time": _time,
    "period": _period,
}
