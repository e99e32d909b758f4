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
from probebook.questions.marking import implied_pairs, marks_for_pairs
from probebook.questions.model import FieldMark, Slip, Standing
from probebook.words import Phrase

__all__ = ["write_order"]


def write_order(part: Part) -> Scored:
    """Steps to put in order.

    The standard has no operator that asks where in an order a choice stands. So the choice at each place is written
    into an outcome, from those the place of each choice, and everything else compares places.
    """
    names = choice_names(part)
    pairs = sorted(implied_pairs(part.field.before), key=lambda pair: (names[pair[0]], names[pair[1]]))
    numbers = range(1, len(names) + 1)
    rules: tuple[Rule, ...] = (
        *(x.put(part.name(f"AT_{n}"), x.at(part.response, part.name(f"NTH_{n}"))) for n in numbers),
        *(rule for name in names.values() for rule in _find(part, name, numbers)),
        *x.chain([Branch(_whole(part, names), _judged(part, names, pairs))]),
    )
    key = tuple(names[option] for option in part.field.answer)
    declared = ResponseDeclaration(part.response, Cardinality.ORDERED, BaseType.IDENTIFIER, key)
    answered = x.given(part.response)
    return part.scored(
        (declared,),
        (choices(part, Cardinality.ORDERED),),
        x.chain([Branch(answered, rules)]),
        answered,
        *_outcomes(part, names),
    )


def _outcomes(part: Part, names: dict[str, str]) -> tuple[OutcomeDeclaration, ...]:
    """The numbers of places, the choice at each, the place of each choice, how far slips stand apart, pairs kept."""
    zero = [part.name(f"PLACE_{name}") for name in names.values()]
    zero += [part.name(f"APART_{n}") for n in range(1, len(part.slips) + 1)]
    zero.append(part.name("KEPT"))
    numbers = [str(n) for n in range(1, len(names) + 1)]
    return (
        *(OutcomeDeclaration(part.name(f"NTH_{n}"), BaseType.INTEGER, n) for n in numbers),
        *(OutcomeDeclaration(part.name(f"AT_{n}"), BaseType.IDENTIFIER) for n in numbers),
        *(OutcomeDeclaration(name, BaseType.INTEGER, "0") for name in zero),
    )


def _place(part: Part, name: str) -> Variable:
    return Variable(part.name(f"PLACE_{name}"))


def _find(part: Part, name: str, numbers: range) -> tuple[Rule, ...]:
    """Write the place of a choice into its outcome."""
    return x.chain(
        [
            Branch(
                x.is_one(Variable(part.name(f"AT_{n}")), x.identifier(name)),
                (x.put(_place(part, name).identifier, x.integer(n)),),
            )
            for n in numbers
        ]
    )


def _whole(part: Part, names: dict[str, str]) -> Expression:
    """Whether every choice has a place."""
    return x.all_of(*(x.before(x.integer(0), _place(part, name)) for name in names.values()))


def _judged(part: Part, names: dict[str, str], pairs: list[tuple[str, str]]) -> tuple[Rule, ...]:
    """The marks of a whole order, and what is said of it."""
    kept = part.name("KEPT")
    counts = tuple(
        rule
        for earlier, later in pairs
        for rule in x.chain(
            [Branch(_stands(part, names, earlier, later), (x.put(kept, x.add(Variable(kept), x.integer(1))),))]
        )
    )
    right = Branch(x.is_one(Variable(kept), x.integer(len(pairs))), part.result(part.marked(list(part.field.answer))))
    shares = x.chain(
        [
            Branch(
                x.is_one(Variable(kept), x.integer(count)), part.score(marks_for_pairs(part.field, count, len(pairs)))
            )
            for count in range(1, len(pairs))
        ]
    )
    apart = tuple(
        x.put(part.name(f"APART_{n}"), x.less(*(_place(part, names[step]) for step in reversed(slip.response))))
        for n, slip in enumerate(part.slips, 1)
    )
    wrong = (*shares, *apart, *x.chain(_slips(part, len(names)), x.chain(_too_early(part, names))))
    return (*counts, *x.chain([right], wrong))


def _stands(part: Part, names: dict[str, str], earlier: str, later: str) -> Expression:
    """Whether one step stands before another."""
    return x.before(_place(part, names[earlier]), _place(part, names[later]))


def _slips(part: Part, steps: int) -> list[Branch]:
    """The slips as marking names them: critical ones first, then the one whose two steps stand closest together."""
    return [
        Branch(x.is_one(Variable(part.name(f"APART_{n}")), x.integer(gap)), _slipped(part, slip))
        for critical in (True, False)
        for gap in range(1, steps)
        for n, slip in enumerate(part.slips, 1)
        if slip.critical is critical
    ]


def _slipped(part: Part, slip: Slip) -> tuple[Rule, ...]:
    """What a slip says; the marks stay as the pairs gave them, unless it is critical."""
    clear = (x.put(part.name("SCORE"), x.number(0.0)),) if slip.critical else ()
    return (*clear, *part.result(FieldMark(part.field.key, Standing.SLIP, 0.0, slip.advice, slip.slip)))


def _too_early(part: Part, names: dict[str, str]) -> list[Branch]:
    """Where no slip shows: the first broken pair as listed; marking names the one met first in the order given."""
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
