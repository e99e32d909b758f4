"""A question as a paper asks it: options with ids and places that tell nothing, marks scaled to those of its row.

A builder's ids and places may tell: ids name faults, lists may begin with the key. In a paper every option is called by
its place (``o1`` …), every field by its own (``f1`` …), and the places are drawn from the tutor's secret.
"""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.questions.model import Field, FieldKind, Question, Response, Slip

__all__ = ["neutral"]

#: Fields whose answers name no option.
PLAIN = frozenset({FieldKind.QUANTITY, FieldKind.BENCH})
#: Quantities for which a reading off the scale is a thing to say: all of them allow it, whatever the key.
OPEN = "ohm"


def neutral(question: Question, marks: float, rng: random.Random) -> tuple[Question, dict[str, str]]:
    """The question with neutral ids and ``marks`` in all, and what each neutral id stands for.

    Returns
    -------
    question, names
        ``names``: ``<field>/<option>`` → the builder's id of the option; ``<field>`` → the builder's key of the field.
    """
    scale = marks / question.marks if question.marks else 0.0
    fields: list[Field] = []
    slips: list[Slip] = []
    names: dict[str, str] = {}
    for number, field in enumerate(question.fields, start=1):
        key = f"f{number}"
        options = list(field.options)
        rng.shuffle(options)
        if field.kind is FieldKind.ORDER and _stands_right([option.id for option in options], field):
            options.reverse()
        ids = {option.id: f"o{place}" for place, option in enumerate(options, start=1)}
        names[key] = field.key
        names.update({f"{key}/{new}": old for old, new in ids.items()})
        fields.append(
            replace(
                field,
                key=key,
                marks=field.marks * scale,
                answer=field.answer if field.kind in PLAIN else _renamed(field.answer, ids),
                options=tuple(replace(option, id=ids[option.id]) for option in options),
                before=tuple((ids[earlier], ids[later]) for earlier, later in field.before),
                partial=tuple((ids[option], earned * scale) for option, earned in field.partial),
                allow_open=field.allow_open or field.unit == OPEN,
            )
        )
        slips += [
            replace(
                slip,
                field=key,
                response=slip.response if field.kind in PLAIN else _renamed(slip.response, ids),
                marks=slip.marks * scale,
            )
            for slip in question.slips
            if slip.field == field.key
        ]
    return replace(question, fields=tuple(fields), slips=tuple(slips)), names


def _renamed(response: Response, ids: dict[str, str]) -> Response:
    if isinstance(response, str):
        return ids[response]
    return [ids[each] for each in response]


def _stands_right(order: list[str], field: Field) -> bool:
    place = {option: number for number, option in enumerate(order)}
    return all(place[earlier] < place[later] for earlier, later in field.before)
