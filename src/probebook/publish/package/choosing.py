"""Fields answered by choosing: one option, or several."""

from __future__ import annotations

from probebook.assessment.letters import letter_of
from probebook.publish.package import expressions as x
from probebook.publish.package.asking import prompt
from probebook.publish.package.content import inline
from probebook.publish.package.model import (
    BaseType,
    Branch,
    Cardinality,
    Choice,
    ChoiceInteraction,
    Expression,
    OutcomeDeclaration,
    ResponseDeclaration,
    Rule,
    Variable,
)
from probebook.publish.package.parts import Part, Scored
from probebook.questions.facts import Ticks
from probebook.questions.marking import marks_for_ticks
from probebook.questions.model import FieldMark, Slip, Standing
from probebook.workbook.forms.view import shown_options

__all__ = ["choice_names", "choices", "write_choice", "write_choices"]


def choice_names(part: Part) -> dict[str, str]:
    """Option id → identifier of its choice, in the order shown: its letter on paper, which tells nothing."""
    return {option.id: letter_of(place) for place, option in enumerate(shown_options(part.field))}


def choices(part: Part, cardinality: Cardinality) -> ChoiceInteraction:
    """The options of a field as choices."""
    options = shown_options(part.field)
    shown = tuple(
        Choice(name, inline(option.text)) for name, option in zip(choice_names(part).values(), options, strict=True)
    )
    return ChoiceInteraction(part.response, prompt(part), shown, cardinality)


def write_choice(part: Part) -> Scored:
    """One option of several: each of them has its marks and its sentence."""
    names = choice_names(part)
    branches = [
        Branch(x.is_one(Variable(part.response), x.identifier(name)), part.result(part.marked(option)))
        for option, name in names.items()
    ]
    key = (names[str(part.field.answer)],)
    declared = ResponseDeclaration(part.response, Cardinality.SINGLE, BaseType.IDENTIFIER, key)
    body = (choices(part, Cardinality.SINGLE),)
    return part.scored((declared,), body, x.chain(branches), x.given(part.response))


def write_choices(part: Part) -> Scored:
    """Several options: right ticks and wrong ticks are counted, then slips are looked for as marking looks for them."""
    names = choice_names(part)
    wanted = [option for option in names if option in part.field.answer]
    others = [option for option in names if option not in part.field.answer]
    good, bad = part.name("GOOD"), part.name("BAD")
    count: tuple[Rule, ...] = (*_count(part, wanted, names, good), *_count(part, others, names, bad))
    exact = _ticked(part, frozenset(part.field.answer), names)
    right = Branch(exact, part.result(part.marked(list(part.field.answer))))
    slips = [_slip(part, slip, names) for slip in sorted(part.slips, key=lambda slip: not slip.critical)]
    counted = _counted(part, len(wanted), len(others))
    by_count = tuple(Branch(each.when, part.score(marks_for_ticks(part.field, *pair))) for pair, each in counted)
    marks = x.chain([branch for branch in by_count if branch.rules])
    told = x.chain([right, *slips], x.chain([branch for _, branch in counted]))
    answered = x.given(part.response)
    declared = ResponseDeclaration(
        part.response, Cardinality.MULTIPLE, BaseType.IDENTIFIER, tuple(names[option] for option in wanted)
    )
    counters = tuple(OutcomeDeclaration(name, BaseType.INTEGER, "0") for name in (good, bad))
    body = (choices(part, Cardinality.MULTIPLE),)
    rules = x.chain([Branch(answered, (*count, *marks, *told))])
    return part.scored((declared,), body, rules, answered, *counters)


def _count(part: Part, options: list[str], names: dict[str, str], counter: str) -> tuple[Rule, ...]:
    one = x.integer(1)
    return tuple(
        rule
        for option in options
        for rule in x.chain(
            [Branch(x.contains(part.response, names[option]), (x.put(counter, x.add(Variable(counter), one)),))]
        )
    )


def _ticked(part: Part, wanted: frozenset[str], names: dict[str, str]) -> Expression:
    """Whether exactly these are ticked: each option asked for by itself, which no player counts another way."""
    each = (x.contains(part.response, name) for name in names.values())
    return x.all_of(*(found if option in wanted else x.no(found) for option, found in zip(names, each, strict=True)))


def _slip(part: Part, slip: Slip, names: dict[str, str]) -> Branch:
    """A wrong tick leaves the marks as they were counted, unless it is critical; a list of ticks sets them."""
    sets = isinstance(slip.response, list) or slip.critical
    marks = slip.marks if sets and not slip.critical else 0.0
    found = FieldMark(part.field.key, Standing.SLIP, marks, slip.advice, slip.slip)
    rules = part.result(found)
    if isinstance(slip.response, list):
        when = _ticked(part, frozenset(slip.response), names)
    else:
        when = x.contains(part.response, names[slip.response])
    clear = (x.put(part.name("SCORE"), x.number(0.0)),) if sets and not marks else ()
    return Branch(when, (*clear, *rules))


def _counted(part: Part, wanted: int, others: int) -> list[tuple[tuple[int, int], Branch]]:
    """For every number of right and wrong ticks short of the key: when it is so, and what is said."""
    found = []
    for good in range(wanted + 1):
        for bad in range(others + 1):
            if good + bad == 0 or (good, bad) == (wanted, 0):
                continue
            when = x.all_of(
                x.is_one(Variable(part.name("GOOD")), x.integer(good)),
                x.is_one(Variable(part.name("BAD")), x.integer(bad)),
            )
            said = part.saying(part.words.say(Ticks(good, bad, wanted - good), "count"))
            found.append(((good, bad), Branch(when, (x.put(part.name("FEEDBACK"), x.identifier(said)),))))
    return found
