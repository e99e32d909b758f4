"""What a learner thinks stops who forgets the way back, looks only at the wire's end, or takes every part for one."""

from __future__ import annotations

from collections.abc import Iterator

from probebook.questions import scene as sc
from probebook.questions.trace.facts.breaks import Break, BreakFacts, BreakParts
from probebook.questions.trace.facts.flow import in_order
from probebook.questions.trace.facts.standing import names
from probebook.questions.trace.slips.ticks import WrongTicks
from probebook.words import Words

__all__ = ["NONE", "break_slips"]

#: Id of the option that nothing stops.
NONE = "none"
#: Parts that are left out one by one.
LEFT_OUT = 2


def break_slips(words: Words, found: Break, facts: BreakFacts) -> list[WrongTicks]:
    """The wrong ticks of those slips that can be made here."""
    return list(_every(words, found, facts))


def _every(words: Words, found: Break, facts: BreakFacts) -> Iterator[WrongTicks]:
    appliance, on, lost = found.appliance, found.on, found.lost
    if lost:
        slip = "one-wire" if found.returns else "break-ignored"
        yield WrongTicks(slip, frozenset({NONE}), words.say(facts, f"here.{slip}"))
    if on != lost:
        yield WrongTicks("all-stops", on, words.say(BreakParts(facts.stays), "here.all-stops"))
    nearest = "here.nearest-only" if lost - found.at_end else "here.nearest-only-another-path"
    yield WrongTicks("nearest-only", found.at_end, words.say(facts, nearest))
    yield WrongTicks("goes-for-stops", on - lost, words.say(facts, "here.goes-for-stops"))
    off = frozenset(b.name for b in sc.loads(appliance) if b.name not in on)
    yield WrongTicks("all-for-some", lost | off, words.say(facts, "here.all-for-some"))
    if len(lost) > 1:
        for name in in_order(appliance, lost)[:LEFT_OUT]:
            parts = BreakParts(names(words, appliance, [name]))
            slip = "sequential" if found.returns else "part-for-whole"
            yield WrongTicks(slip, lost - {name}, words.say(parts, "here.part-for-whole"))
