"""Which contacts a learner closes who goes by another position, leaves one out, or closes one too many."""

from __future__ import annotations

from collections.abc import Iterator

from probebook.appliances import State
from probebook.questions.trace.facts.contacts import ContactChange, Contacts, ContactsFacts
from probebook.questions.trace.facts.flow import in_order, on_at
from probebook.questions.trace.facts.standing import names
from probebook.questions.trace.slips.ticks import WrongTicks
from probebook.words import Words

__all__ = ["contacts_slips"]

#: Other positions whose contacts are tried.
OTHERS = 2


def contacts_slips(words: Words, found: Contacts, facts: ContactsFacts) -> list[WrongTicks]:
    """The wrong sets of contacts."""
    return list(_every(words, found, facts))


def _every(words: Words, found: Contacts, facts: ContactsFacts) -> Iterator[WrongTicks]:
    def said(key: str, contact: str, branches: frozenset[str]) -> str:
        parts = names(words, appliance, in_order(appliance, branches))
        return words.say(ContactChange(contact, parts), f"here.{key}")

    appliance, key, on = found.appliance, found.key, found.on
    every = [b.name for b in found.switching]
    for position in [p for p in appliance.positions if p.name != found.position][:OTHERS]:
        works = on_at(appliance, State(position.name))
        ticks = frozenset(n for n in every if n in position.closes)
        said_here = said("position-name", "", works) if works else words.say(facts, "here.position-name-idle")
        yield WrongTicks("position-name", ticks, said_here)
    for name in sorted(key):
        lost = on - found.outcomes[key - {name}]
        if lost:
            yield WrongTicks("part-for-whole", key - {name}, said("part-for-whole", name, lost))
    for name in [n for n in every if n not in key]:
        extra = found.outcomes[key | {name}] - on
        if extra:
            yield WrongTicks("all-for-some", key | {name}, said("all-for-some-one", name, extra))
    yield WrongTicks("all-for-some", frozenset(every), words.say(facts, "here.all-for-some"))
