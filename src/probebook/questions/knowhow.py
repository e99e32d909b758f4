"""Questions whose matter stands in a text file: which instrument, which drawing, what a colour says.

``text/en/knowhow.toml`` holds the items. Each is one question with one right choice; every wrong one is a stated slip.
An item belongs to a form (``instrument``, ``connect``, ``colour``, ``drawing``); a plan names the form, and with the
option ``item`` one of its items. An item may speak of an element of the appliance, so it reads differently with each.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from probebook.appliances import Appliance
from probebook.appliances.naming import branch_name
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.knowhow_file import FILE, Item, ItemFacts, load_items
from probebook.questions.model import Effort, Option, Question
from probebook.regions.facts import region_fields
from probebook.words import Facts, Phrase, Words
from probebook.words.levelling import levelled

__all__ = ["know"]

LETTERS = "abcdef"


@dataclass(frozen=True)
class KnowFacts(
    Facts,
    group="questions/knowhow/item",
    says=("title", "prompt", "explanation", "explanation-longer", "working"),
):
    """An item told of one appliance: its texts, the right way, why it is right, and what there is to add."""

    title: Phrase
    text: Phrase
    right: Phrase
    here: Phrase
    more: Phrase


def know(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a question from an item that fits the request.

    Raises
    ------
    Unfit
        No item of this form, name, level and appliance.
    """
    appliance = library.appliance(ask.appliance)
    item = rng.choice(_fitting(ask, library, appliance))
    said = _teller(library.words, item, item_facts(library.words, appliance, rng))
    letters = list(LETTERS[: len(item.ways)])
    rng.shuffle(letters)
    named = dict(zip(letters, item.ways, strict=True))
    right = next(letter for letter, way in named.items() if not way.slip)
    place = list(named).index(right)
    wordings = [[said(text) for text in (way.text, way.other) if text] for way in named.values()]
    texts = levelled(wordings, place, rng, said(item.text))
    options = [Option(letter, text, said(way.here)) for (letter, way), text in zip(named.items(), texts, strict=True)]
    target = choice_field("choice", said(item.label), shuffled(options, rng), right)
    wrong = [
        WrongOption(way.slip, letter, said(way.here), critical=way.critical)
        for letter, way in named.items()
        if way.slip
    ]
    answer = named[right]
    facts = KnowFacts(said(item.title), said(item.text), texts[place], said(answer.here), said(item.explanation))
    keys = {"explanation": "explanation-longer" if item.explanation else "explanation"}
    parts = Parts((target,), option_slips(library, target, wrong), Effort(steps=1))
    return assemble(ask, library, Form(item.outcome, item.competences), facts, parts, keys=keys)


def _teller(words: Words, item: Item, facts: ItemFacts) -> Callable[[str], Phrase]:
    return lambda template: words.say_text(facts, template, f"{FILE}: {item.id}")


def item_facts(words: Words, appliance: Appliance, rng: random.Random) -> ItemFacts:
    """What an item is told of an appliance; one of its elements is drawn."""
    branch = rng.choice(sc.sections(appliance))
    return ItemFacts(
        appliance=words.noun(appliance.title),
        part=branch_name(words, appliance, branch),
        mark=branch.part,
        ohms=branch.cold_ohms,
        watts=branch.watts,
        volts=appliance.plate.volts,
        **region_fields(appliance.region, words),
    )


def _fitting(ask: Ask, library: Library, appliance: Appliance) -> list[Item]:
    wanted, form = ask.text("item"), ask.text("form")
    kinds = {str(part.kind) for part in appliance.parts}
    found = [
        item
        for item in load_items(library.folder, library.words)
        if item.form == form
        and (item.id == wanted if wanted else item.level <= ask.level)
        and library.region.is_among(item.regions)
        and item.supply in ("any", appliance.supply.kind)
        and (not item.needs or item.needs in kinds)
    ]
    if not found:
        raise Unfit(f"no item '{wanted or form}' fits the {appliance.title}")
    return found
