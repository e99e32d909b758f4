"""What goes wrong in reading a display: its prefix, and its range."""

from __future__ import annotations

from probebook.questions.assembling import wrong_numbers
from probebook.questions.frame import WrongNumber, WrongOption
from probebook.questions.reading.facts.display import DisplayFacts, RangeCase, RangeFacts
from probebook.words import Words

__all__ = ["display_slips", "range_slips", "step_slips"]


def display_slips(words: Words, facts: DisplayFacts) -> list[WrongNumber]:
    """The slips of a display with a prefix."""
    swapped = {"kilo": 1e3, "mega": 1e-3}[facts.prefix]
    values = {
        "prefix-lost": facts.value / facts.factor,
        "prefix-swapped": facts.value * swapped,
        "point-misplaced": facts.value * 10,
    }
    return wrong_numbers(words, facts, values)


def range_slips(words: Words, case: RangeCase, facts: RangeFacts) -> list[WrongOption]:
    """The slip that each wrong display shows."""
    unit = facts.raw.partition(" ")[2]
    raw = {"Ω": "raw-ohms", "kΩ": "raw-kilo"}.get(unit, "raw-mega")
    slips = {"raw": "wrong-range" if unit == "Ω" else "prefix-lost", "zero": "ol-as-zero"}
    return [
        WrongOption(slips.get(key, "wrong-range"), key, words.say(facts, f"here.{raw if key == 'raw' else key}"))
        for key in case.shows
        if key != "right"
    ]


def step_slips(words: Words, case: RangeCase, facts: RangeFacts) -> list[WrongOption]:
    """The slip that each wrong next step shows."""
    because = words.say(facts, "because-over" if case.over else "because")
    return [
        WrongOption("ol-as-open" if step == "broken" else "wrong-range", step, because)
        for step in ("right", "up", "down", "broken")
        if step != case.step
    ]
