"""Order questions: steps of a procedure to be put in order; every order that the precedence allows is right.

Options of the plan: ``form`` or ``procedure`` name a file of ``text/en/procedures`` (``isolate-fixed``,
``return-to-service`` …; any that fits the appliance when neither is given), ``person`` draws among those for an
``apprentice``, ``owner`` or ``licensed`` person (all but owners' when not given). Level 1 asks for five steps, each
level above for one more. The steps that matter for safety are always among them; the pairs that must hold are those of
the whole procedure, also where a step between two of them is left out.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.assumptions import Assumed
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, advice, shuffled
from probebook.questions.model import Effort, Field, FieldKind, Option, Question, Slip
from probebook.questions.order.facts import drawn_steps, free_pair, induced, one_order, order_facts, reduced
from probebook.questions.order.slips import telling
from probebook.questions.procedure_files import load_procedures
from probebook.questions.procedures import Procedure, ProcedureFacts, Step
from probebook.regions.facts import region_fields
from probebook.words import Phrase

__all__ = ["build_order"]


@dataclass(frozen=True)
class OrderSizes(Assumed, table="questions.order"):
    """How many steps are asked for: at level 1, and at most."""

    fewest: Annotated[int, "1"]
    most: Annotated[int, "1"]


def build_order(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build an order question.

    Raises
    ------
    Unfit
        No procedure fits the request, or this draw leaves fewer than three pairs that teach something.
    """
    appliance = library.appliance(ask.appliance)
    procedure = rng.choice(_fitting(ask, library, appliance))
    sizes = library.assumptions.get(OrderSizes)
    steps = drawn_steps(procedure, min(sizes.fewest + ask.level - 1, sizes.most), rng)
    pairs = induced(procedure, (s.id for s in steps))
    answer = one_order(steps, pairs)
    letters = _letters(steps, rng)
    wrong = telling(procedure.wrong, pairs)
    if len({pair.slip for pair in wrong}) < 3:
        raise Unfit(f"only {len(wrong)} telling pairs of '{procedure.id}' were drawn")
    texts = _said(library, appliance, procedure, {s.id: s.text for s in steps})
    heres = _said(library, appliance, procedure, {pair.later + pair.earlier: pair.here for pair in wrong})
    slips = tuple(
        Slip(
            slip=pair.slip,
            field="order",
            response=[letters[pair.later], letters[pair.earlier]],
            advice=advice(library, pair.slip, heres[pair.later + pair.earlier]),
            critical=pair.critical,
        )
        for pair in wrong
    )
    titles = _said(library, appliance, procedure, {"title": procedure.title, "asks": procedure.asks})
    free = free_pair(pairs)
    asked = sorted(reduced(pairs), key=lambda pair: (answer.index(pair[1]), answer.index(pair[0])))
    facts = order_facts(library.words, titles, texts, asked, free, answer)
    field = Field(
        key="order",
        kind=FieldKind.ORDER,
        label=library.words.say(facts, "label"),
        marks=0.0,
        answer=[letters[step] for step in answer],
        options=shuffled([Option(letters[s.id], texts[s.id]) for s in steps], rng),
        before=tuple((letters[a], letters[b]) for a, b in reduced(pairs)),
    )
    form = Form(procedure.outcome, procedure.competences)
    parts = Parts((field,), slips, Effort(paths=len(steps), steps=len(steps)))
    keys = {"explanation": "explanation-free" if free else "explanation"}
    return assemble(ask, library, form, facts, parts, keys=keys)


def _said(
    library: Library, appliance: Appliance, procedure: Procedure, templates: Mapping[str, str]
) -> dict[str, Phrase]:
    """The texts of a procedure, told of an appliance."""
    words = library.words
    thing = kitchen(library.folder, library.words).manner(appliance).thing
    facts = ProcedureFacts(appliance=words.noun(thing), **region_fields(library.region, words))
    return {key: words.say_text(facts, template, f"{procedure.id}.toml") for key, template in templates.items()}


def _fitting(ask: Ask, library: Library, appliance: Appliance) -> list[Procedure]:
    wanted = ask.text("procedure") or ask.text("form")
    person = ask.text("person")
    found = [
        p
        for p in load_procedures(library.folder, library.words)
        if (p.id == wanted if wanted else (p.person == person if person else p.person != "owner"))
        and library.region.is_among(p.regions)
        and p.supply in ("any", appliance.supply.kind)
        and p.without != appliance.id
    ]
    if not found:
        raise Unfit(f"no procedure '{wanted or person}' fits the {appliance.title}")
    return found


def _letters(steps: Sequence[Step], rng: random.Random) -> dict[str, str]:
    """Ids that say nothing of the order."""
    letters = [chr(ord("a") + n) for n in range(len(steps))]
    rng.shuffle(letters)
    return dict(zip((s.id for s in steps), letters, strict=True))
