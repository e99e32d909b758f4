"""What volts a learner finds who leaves the break out, shares the supply, or takes another supply."""

from __future__ import annotations

from probebook.questions.frame import WrongNumber
from probebook.questions.trace.facts.volts import VoltsFacts
from probebook.words import Words

__all__ = ["volts_slips"]


def volts_slips(words: Words, facts: VoltsFacts, *, behind: bool, other: float) -> list[WrongNumber]:
    """The wrong volts.

    Parameters
    ----------
    behind
        Whether a sound part behind the open one is asked about, and not the open one.
    other
        The supply that this one may be mistaken for, V.
    """
    supply = facts.volts
    if behind:
        values = {"fault-left-out": supply, "volts-shared": supply / 2, "wrong-voltage": other}
    else:
        values = {"no-volts-across-open": 0.0, "volts-shared": supply / 2, "wrong-voltage": other}
    where = "behind" if behind else "across"
    keys = {"volts-shared": f"volts-shared-{where}", "wrong-voltage": f"wrong-voltage-{where}"}
    return [
        WrongNumber(slip, value, words.say(facts, f"here.{keys.get(slip, slip)}")) for slip, value in values.items()
    ]
