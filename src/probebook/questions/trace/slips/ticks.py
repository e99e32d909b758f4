"""Slips of a field of ticks: what each ticks, and what those ticks earn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.questions.frame import Unfit, advice
from probebook.questions.model import Field, Slip
from probebook.questions.trace.facts.standing import position_noun
from probebook.questions.trace.facts.ticks import OtherPosition
from probebook.words import Words

__all__ = ["WrongTicks", "other_position", "tick_slips"]


@dataclass(frozen=True, slots=True)
class WrongTicks:
    """The ticks that a slip leads to, and what to say of them here."""

    slip: str
    ticks: frozenset[str]
    here: str


def tick_slips(library: Library, field: Field, wrong: Sequence[WrongTicks], *, least: int = 3) -> tuple[Slip, ...]:
    """Slips of ticks; each earns what those ticks earn by counting. Two that give the same ticks are one.

    Raises
    ------
    Unfit
        Fewer than ``least`` are left.
    """
    right, order = frozenset(field.answer), [option.id for option in field.options]
    seen = {right, frozenset[str]()}
    slips = []
    for item in wrong:
        if item.ticks in seen:
            continue
        seen.add(item.ticks)
        counted = max(len(item.ticks & right) - len(item.ticks - right), 0) / len(right)
        slips.append(
            Slip(
                slip=item.slip,
                field=field.key,
                response=[name for name in order if name in item.ticks],
                advice=advice(library, item.slip, item.here),
                marks=round(field.marks * counted, 2),
            )
        )
    if len(slips) < least:
        raise Unfit(f"only {len(slips)} slips apply here, {least} are wanted")
    return tuple(slips)


def other_position(words: Words, appliance: Appliance, other: str, position: str, ticks: frozenset[str]) -> WrongTicks:
    """The ticks that would be right in another position than the one the knob stands at."""
    facts = OtherPosition(position_noun(words, appliance, other), position_noun(words, appliance, position))
    return WrongTicks("position-name", ticks, words.say(facts, "position-name"))
