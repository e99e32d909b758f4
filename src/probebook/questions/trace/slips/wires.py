"""What a learner ticks who forgets the way back, lets earth carry current, or goes by another position."""

from __future__ import annotations

from probebook.appliances import State
from probebook.questions.trace.facts.flow import carrying, neutral_side
from probebook.questions.trace.facts.wires import WireMark, WireMarks, Wires, WiresFacts
from probebook.questions.trace.slips.ticks import WrongTicks, other_position
from probebook.words import Words

__all__ = ["wires_slips"]

#: Slips kept of those that trace the current wrongly; wires that are left out one by one.
TRACED, LEFT_OUT = 4, 2


def wires_slips(words: Words, found: Wires, facts: WiresFacts) -> list[WrongTicks]:
    """The wrong ticks, what is wrong in the way of tracing first."""
    every = frozenset(w.mark for w in found.asked)
    return [
        *_traced(words, found)[:TRACED],
        WrongTicks("all-for-some", every, words.say(facts, "here.all-for-some")),
        *(
            WrongTicks("part-for-whole", found.key - {w.mark}, words.say(WireMark(w.mark), "here.part-for-whole"))
            for w in found.live[:LEFT_OUT]
        ),
    ]


def _traced(words: Words, found: Wires) -> list[WrongTicks]:
    appliance, key = found.appliance, found.key
    every = frozenset(w.mark for w in found.asked)
    neutral = neutral_side(appliance, [w.mark for w in found.live], State(found.position))
    earths = frozenset(w.mark for w in found.idle if w.is_earth)
    wrong = []
    if neutral and neutral != key:
        marks = WireMarks(tuple(w.mark for w in found.live if w.mark in neutral))
        wrong.append(WrongTicks("one-wire", key - neutral, words.say(marks, "here.one-wire")))
    if earths:
        marks = WireMarks(tuple(w.mark for w in found.asked if w.mark in earths))
        wrong.append(WrongTicks("earth-carries", key | earths, words.say(marks, "here.earth-carries")))
    for other in appliance.positions:
        ticks = carrying(appliance, State(other.name)) & every
        wrong.append(other_position(words, appliance, other.name, found.position, ticks))
    return wrong
