"""Fields answered by putting steps in order: the share of the pairs that are kept, and the slips that show."""

from __future__ import annotations

from probebook.publish.package import expressions as x
from probebook.publish.package.choosing import choice_names, choices
from probebook.publish.package.model import (
    BaseType,
    Branch,
    Cardinality,
    Expression,
    OutcomeDeclaration,
    ResponseDeclaration,
    Rule,
    Variable,
)
from probebook.publish.package.parts import Part, Scored
from probebook.questions.facts import TooEarly
from probebook.questions.marking import implied_pairs
from probebook.questions.model import FieldMark, Slip, Standing
from probebook.words import Phrase

__all__ = ["write_order"]


def write_order(part: Part) -> Scored:
    """Steps to put in order.

    The standard has no operator that asks where in an order a choice stands, so the places are written into outcomes
    first, and everything else compares them.
    """
    names = choice_names(part)
    pairs = sorted(implied_pairs(part.field.before), key=lambda pair: (names[pair[0]], names[pair[1]]))
    kept = part.name("KEPT")
    places = tuple(rule for name in names.values() for rule in _find(part, name, len(names)))
    counts = tuple(
        rule
        for earlier, later in pairs
        for rule in x.chain(
            [Branch(_stands(part, names, earlier, later), (x.put(kept, x.add(Variable(kept), x.integer(1))),))]
        )
    )
    whole = x.all_of(*(x.before(x.integer(0), Variable(_place(part, name))) for name in names.values()))
    right = Branch(x.is_one(Variable(kept), x.integer(len(pairs))), part.result(part.marked(list(part.field.answer))))
    shares = x.chain(
        [
            Branch(x.is_one(Variable(kept), x.integer(count)), part.score(_share(part, count, len(pairs))))
            for count in range(1, len(pairs))
        ]
    )
    wrong = (*shares, *x.chain(_slips(part, names), x.chain(_too_early(part, names))))
    rules: tuple[Rule, ...] = (*places, *x.chain([Branch(whole, (*counts, *x.chain([right], wrong)))]))
    declared = ResponseDeclaration(
        part.response, Cardinality.ORDERED, BaseType.IDENTIFIER, tuple(names[option] for option in part.field.answer)
    )
    counters = tuple(
        OutcomeDeclaration(name, BaseType.INTEGER, "0")
        for name in (*(_place(part, each) for each in names.values()), kept)
    )
    body = (choices(part, Cardinality.ORDERED),)
    answered = x.given(part.response)
    return part.scored((declared,), body, x.chain([Branch(answered, rules)]), answered, *counters)


def _place(part: Part, name: str) -> str:
    return part.name(f"PLACE_{name}")


def _find(part: Part, name: str, places: int) -> tuple[Rule, ...]:
    """Write the place of a choice into its outcome."""
    return x.chain(
        [
            Branch(
                x.is_one(x.at(part.response, place), x.identifier(name)),
                (x.put(_place(part, name), x.integer(place)),),
            )
            for place in range(1, places + 1)
        ]
    )


def _stands(part: Part, names: dict[str, str], earlier: str, later: str) -> Expression:
    """Whether one step stands before another."""
    return x.before(Variable(_place(part, names[earlier])), Variable(_place(part, names[later])))


def _share(part: Part, kept: int, pairs: int) -> float:
    return round(part.field.marks * kept / pairs, 2)


def _slips(part: Part, names: dict[str, str]) -> list[Branch]:
    """The slips as marking names them: critical ones first, then the one whose two steps stand closest together."""
    order = sorted(part.slips, key=lambda slip: not slip.critical)
    return [
        Branch(_apart(part, names, slip, gap), _slipped(part, slip))
        for critical in (True, False)
        for gap in range(1, len(names))
        for slip in order
        if slip.critical is critical
    ]


def _apart(part: Part, names: dict[str, str], slip: Slip, gap: int) -> Expression:
    """Whether the two steps of a slip stand in its wrong order, so many places apart."""
    first, second = (Variable(_place(part, names[option])) for option in slip.response)
    return x.is_one(x.add(first, x.integer(gap)), second)


def _slipped(part: Part, slip: Slip) -> tuple[Rule, ...]:
    """What a slip says; the marks stay as the pairs gave them, unless it is critical."""
    clear = (x.put(part.name("SCORE"), x.number(0.0)),) if slip.critical else ()
    return (*clear, *part.result(FieldMark(part.field.key, Standing.SLIP, 0.0, slip.advice, slip.slip)))


def _too_early(part: Part, names: dict[str, str]) -> list[Branch]:
    """Where no slip shows, the first pair that is broken is named."""
    texts = {option.id: Phrase(option.text.strip().rstrip(".")) for option in part.field.options}
    return [
        Branch(
            _stands(part, names, later, earlier),
            (
                x.put(
                    part.name("FEEDBACK"),
                    x.identifier(part.saying(part.words.say(TooEarly(texts[earlier], texts[later]), "too-early"))),
                ),
            ),
        )
        for earlier, later in part.field.before
    ]
