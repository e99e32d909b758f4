"""Fields answered by a number: a box for it in the unit that stands beside, and a box to tick for an open circuit."""

from __future__ import annotations

import math

from probebook.publish.package import expressions as x
from probebook.publish.package.asking import entry, open_box
from probebook.publish.package.bands import Range, key_range, least_typed, slip_ranges
from probebook.publish.package.facts import NumberTexts
from probebook.publish.package.model import (
    BaseType,
    Branch,
    Cardinality,
    Expression,
    ResponseDeclaration,
    Rule,
)
from probebook.publish.package.parts import Part, Scored
from probebook.questions.facts import Plain
from probebook.questions.marking import read_quantity, wrong_quantity
from probebook.questions.model import FieldMark, Standing

__all__ = ["OPEN", "typed_key", "write_number"]

#: The choice that says "open circuit".
OPEN = "OL"
#: A key is written with as few figures as come this close to it: keys are kept to seven.
NEAR = 1e-6


def write_number(part: Part) -> Scored:
    """A quantity: ranges of the typed number, compared and nothing else."""
    box, tick = part.response, part.name("OPEN")
    bands = tuple(slip.band for slip in part.slips if slip.band is not None)
    right = key_range(part.field)
    branches = [Branch(_in(part, right), part.result(part.marked(repr(right.low))))] if right else []
    branches += [
        Branch(_in(part, found), part.result(mark)) for found, mark in slip_ranges(part.field, bands, part.marked)
    ]
    rules: tuple[Rule, ...] = x.chain(branches, part.result(_other(part)))
    key = typed_key(part)
    declared = [ResponseDeclaration(box, Cardinality.SINGLE, BaseType.FLOAT, (key,) if key else ())]
    answered = x.given(box)
    body = entry(part)
    if part.field.allow_open:
        both = x.put(part.name("FEEDBACK"), x.identifier(part.saying(part.words.say(NumberTexts(), "both"))))
        is_open = part.result(part.marked("OL"))
        rules = x.chain(
            [Branch(x.all_of(x.contains(tick, OPEN), x.given(box)), (both,)), Branch(x.contains(tick, OPEN), is_open)],
            x.chain([Branch(answered, rules)]),
        )
        declared.append(ResponseDeclaration(tick, Cardinality.MULTIPLE, BaseType.IDENTIFIER, () if key else (OPEN,)))
        answered = x.any_of(answered, x.given(tick))
        body = (*body, open_box(part, tick, OPEN))
    else:
        rules = x.chain([Branch(answered, rules)])
    return part.scored(tuple(declared), body, rules, answered)


def typed_key(part: Part) -> str:
    """The key as a bare number in the unit beside the box, as short as it can be; empty where it is an open circuit."""
    field = part.field
    value = read_quantity(field, str(field.answer))
    if math.isinf(value) or field.band is None:
        return ""
    exact = least_typed(field, lambda given: given >= value)
    for digits in range(1, 18):
        short = float(f"{exact:.{digits}g}")
        given = read_quantity(field, repr(short))
        if field.band.holds(given) and math.isclose(given, value, rel_tol=NEAR):
            return x.decimal(short)
    return x.decimal(exact)


def _in(part: Part, found: Range) -> Expression:
    return x.within(part.response, found.low, found.high)


def _other(part: Part) -> FieldMark:
    """What is said of a number that is neither the key nor a slip's."""
    said = part.words.say(Plain(), wrong_quantity(part.field, 0.0))
    return FieldMark(part.field.key, Standing.WRONG, 0.0, said)
