"""Which switch contacts must be closed for exactly these parts to work."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, Branch, BranchKind, PartKind, State, at_work, branch_ohms
from probebook.appliances.assumed import Checking
from probebook.questions import scene as sc
from probebook.questions.trace.facts.flow import in_order, on_at
from probebook.questions.trace.facts.standing import names, position_noun, standing
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "ContactChange",
    "ContactOption",
    "Contacts",
    "ContactsFacts",
    "contacts_facts",
    "find_contacts",
    "switch_contacts",
    "what_works",
]


@dataclass(frozen=True)
class ContactsFacts(
    Facts,
    group="questions/trace/contacts",
    says=(
        "title",
        "label",
        "prompt",
        "prompt-all-on",
        "explanation",
        "working",
        "here.all-for-some",
        "here.position-name-idle",
    ),
):
    """What works in a position, what does not, and the contacts that are closed in it."""

    standing: Phrase
    works: tuple[Noun, ...]
    others: tuple[Noun, ...]
    closed: tuple[str, ...]
    position: Noun


@dataclass(frozen=True)
class ContactOption(Facts, group="questions/trace/contacts", says=("option",)):
    """A switch contact and its two terminals."""

    contact: str
    terminals: tuple[str, ...]


@dataclass(frozen=True)
class ContactChange(
    Facts,
    group="questions/trace/contacts",
    says=("here.position-name", "here.part-for-whole", "here.all-for-some-one"),
):
    """What would work, or no longer work, with one contact open or closed."""

    contact: str
    parts: tuple[Noun, ...]


Names = frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class Contacts:
    """A position that is fixed by what works in it.

    Attributes
    ----------
    switching
        All switch contacts.
    outcomes
        What works for every set of closed switch contacts.
    key, on
        The contacts that are closed, and the loads that work.
    """

    appliance: Appliance
    position: str
    switching: tuple[Branch, ...]
    outcomes: Mapping[Names, Names]
    key: Names
    on: Names


def switch_contacts(appliance: Appliance) -> tuple[Branch, ...]:
    """The contacts of selectors, switches and regulators."""
    kinds = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)
    return tuple(b for b in appliance.branches if b.kind is BranchKind.CONTACT and appliance.part(b.part).kind in kinds)


def find_contacts(appliance: Appliance, positions: Sequence[str], switching: Sequence[Branch]) -> Contacts | None:
    """A position that what works in it fixes, rather one with a contact open; None where there is none.

    It is fixed where every set of contacts that works the same holds those of the position: it takes these.
    """
    every = [b.name for b in switching]
    outcomes = what_works(appliance, switching)
    fixed: list[Contacts] = []
    for name in positions:
        closed = frozenset(n for n in every if n in appliance.position(name).closes)
        works = on_at(appliance, State(name))
        alike = [c for c, found in outcomes.items() if found == works]
        if works and closed in alike and all(closed <= c for c in alike):
            fixed.append(Contacts(appliance, name, tuple(switching), outcomes, closed, works))
    if not fixed:
        return None
    # A position in which some contact is open asks for more than one in which all are closed.
    return next((item for item in fixed if len(item.key) < len(every)), fixed[0])


def what_works(appliance: Appliance, switching: Sequence[Branch]) -> Mapping[Names, Names]:
    """What works for every set of closed switch contacts, the thermostats calling, insulation taken as perfect."""
    supply, part = appliance.plate.volts, appliance.assumptions.get(Checking).works_part
    insulation = [branch.kind is BranchKind.INSULATION for branch in appliance.branches]
    sets = list(product((False, True), repeat=len(switching)))

    def table(pulled: frozenset[str]) -> NDArray[np.float64]:
        state = State(appliance.positions[0].name, opened=pulled)
        ohms = np.tile(branch_ohms(appliance, [state], hot=True, test_volts=supply)[0], (len(sets), 1))
        ohms[:, insulation] = math.inf
        for column, branch in enumerate(switching):
            i = appliance.branch(branch.name)
            ohms[:, i] = np.where([chosen[column] for chosen in sets], branch.hot_ohms, math.inf)
        return ohms

    flow = sc.energised(appliance, supply, table)
    loads = frozenset(b.name for b in sc.loads(appliance))
    return {
        frozenset(b.name for b, on in zip(switching, chosen, strict=True) if on): at_work(appliance, flow, row, part)
        & loads
        for row, chosen in enumerate(sets)
    }


def contacts_facts(words: Words, found: Contacts) -> ContactsFacts:
    """What the sentences are told."""
    appliance = found.appliance
    others = [b.name for b in sc.loads(appliance) if b.name not in found.on]
    return ContactsFacts(
        standing=standing(words, appliance, "calling"),
        works=names(words, appliance, in_order(appliance, found.on)),
        others=names(words, appliance, others),
        closed=tuple(sorted(found.key)),
        position=position_noun(words, appliance, found.position),
    )
