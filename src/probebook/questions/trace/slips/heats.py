"""What a learner ticks who goes by the part, by the name of the position, or by heat alone."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from probebook.appliances import State
from probebook.questions import scene as sc
from probebook.questions.trace.facts.flow import carrying, in_order
from probebook.questions.trace.facts.heats import Heats, HeatsFacts, HeatsParts
from probebook.questions.trace.facts.standing import names
from probebook.questions.trace.slips.ticks import WrongTicks, other_position
from probebook.words import Words

__all__ = ["heats_slips"]

#: Answers that one slip may lead to.
EACH = 2


def heats_slips(words: Words, found: Heats, facts: HeatsFacts) -> list[WrongTicks]:
    """The wrong ticks, at most two of each slip."""
    kept: dict[str, int] = {}
    chosen = []
    for item in _every(words, found, facts):
        kept[item.slip] = kept.get(item.slip, 0) + 1
        if kept[item.slip] <= EACH:
            chosen.append(item)
    return chosen


def _every(words: Words, found: Heats, facts: HeatsFacts) -> Iterator[WrongTicks]:
    def said(key: str, branches: Collection[str]) -> str:
        return words.say(HeatsParts(names(words, appliance, branches)), f"here.{key}")

    appliance, on, controls = found.appliance, found.on, found.controls
    shown = frozenset(b.name for b in found.shown)
    sections = {b.name: b for b in sc.sections(appliance)}
    at_work = {sections[n].part for n in on if n in sections}
    siblings = [n for n, b in sections.items() if b.part in at_work and n not in on]
    if siblings:
        yield WrongTicks("whole-for-part", on | controls | set(siblings), said("own-contact", siblings))
    elements = frozenset(n for n in on if n in sections)
    others = on - elements
    if elements and others:
        yield WrongTicks("part-for-whole", elements | controls, said("works-too", in_order(appliance, others)))
    if controls:
        yield WrongTicks("nearest-only", on, said("in-the-path", in_order(appliance, controls)))
    for name in in_order(appliance, on):
        yield WrongTicks("part-for-whole", (on | controls) - {name}, said("fed-as-well", [name]))
    for other in appliance.positions:
        ticks = carrying(appliance, State(other.name)) & shown
        yield other_position(words, appliance, other.name, found.position, ticks)
    yield WrongTicks("all-for-some", shown, words.say(facts, "here.all-for-some"))
