"""A question as an item of the standard: what is read, what is asked, how it scores, what is said."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from probebook.publish.package import expressions as x
from probebook.publish.package.choosing import write_choice, write_choices
from probebook.publish.package.content import Pictures, block, line
from probebook.publish.package.model import (
    AssessmentItem,
    BaseType,
    Branch,
    Content,
    Element,
    Feedback,
    Operator,
    OutcomeDeclaration,
    Rule,
    Variable,
)
from probebook.publish.package.numbers import write_number
from probebook.publish.package.ordering import write_order
from probebook.publish.package.parts import DANGEROUS, MAXIMUM, SCORE, Part, Scored
from probebook.questions.model import FieldKind, Question

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["WRITERS", "assessment_item", "can_carry"]

#: How each kind of field is written; the standard has nothing for the others.
WRITERS: dict[FieldKind, Callable[[Part], Scored]] = {
    FieldKind.QUANTITY: write_number,
    FieldKind.CHOICE: write_choice,
    FieldKind.CHOICES: write_choices,
    FieldKind.ORDER: write_order,
}
#: The outcome that shows the working, and its value.
SOLUTION, WORKED = "SOLUTION", "worked"
SUM = "SUM"
#: Sums of marks that differ by less than this are one sum.
SAME = 1e-9


def can_carry(question: Question) -> bool:
    """Whether the standard has a way to ask every field of a question."""
    return all(field.kind in WRITERS for field in question.fields)


def assessment_item(name: str, question: Question, before: str, words: Words) -> AssessmentItem:
    """The item of a question.

    Parameters
    ----------
    name
        Its identifier in the package.
    question
        One that :func:`can_carry` says yes to.
    before
        The Markdown that is read before it, pictures as data addresses; empty for nothing.
    words
        The language it is asked in.

    Raises
    ------
    UnsafeDrawingError
        A drawing cannot go into a package.
    """
    pictures = Pictures()
    scored = [WRITERS[field.kind](Part(question, n, words)) for n, field in enumerate(question.fields, 1)]
    read = [block(before, pictures)] if before.strip() else []
    read.append(tuple(Element("p", (pictures.image(svg),)) for _, svg in question.pictures))
    read.append(block(question.prompt, pictures))
    body: list[Content] = [Element("div", part) for part in read if part]
    for part in scored:
        body.extend(part.body)
    solution = block(question.working, pictures) + block(question.explanation, pictures)
    shown = (Feedback(SOLUTION, WORKED, solution),) if solution else ()
    return AssessmentItem(
        identifier=name,
        title=line(question.title) or name,
        language=words.source,
        responses=tuple(each for part in scored for each in part.responses),
        outcomes=(
            *_outcomes(question, scored, solved=bool(solution)),
            *(each for part in scored for each in part.outcomes),
        ),
        body=tuple(body),
        rules=(*(rule for part in scored for rule in part.rules), *_total(scored, solved=bool(solution))),
        feedback=(*(each for part in scored for each in part.feedback), *shown),
        files=pictures.files,
    )


def _outcomes(question: Question, scored: list[Scored], *, solved: bool) -> tuple[OutcomeDeclaration, ...]:
    most = x.decimal(question.marks)
    found = [
        OutcomeDeclaration(SCORE, BaseType.FLOAT, "0.0", most),
        OutcomeDeclaration(MAXIMUM, BaseType.FLOAT, most),
        OutcomeDeclaration(DANGEROUS, BaseType.INTEGER, "0"),
    ]
    if solved:
        found.append(OutcomeDeclaration(SOLUTION, BaseType.IDENTIFIER))
    if _steps(scored):
        found.append(OutcomeDeclaration(SUM, BaseType.FLOAT, "0.0"))
    return tuple(found)


def _total(scored: list[Scored], *, solved: bool) -> Iterable[Rule]:
    """The marks of the fields together, nought after a dangerous answer; the working once something was answered."""
    parts = tuple(Variable(f"{SCORE}_{n}") for n in range(1, len(scored) + 1))
    steps = _steps(scored)
    if steps:
        yield x.put(SUM, x.add(*parts))
        branches = [
            Branch(Operator("lte", (Variable(SUM), x.number(up_to))), (x.put(SCORE, x.number(marks)),))
            for up_to, marks in steps[:-1]
        ]
        yield from x.chain(branches, (x.put(SCORE, x.number(steps[-1][1])),))
    else:
        yield x.put(SCORE, x.add(*parts))
    danger = x.before(x.integer(0), Variable(DANGEROUS))
    yield from x.chain([Branch(danger, (x.put(SCORE, x.number(0.0)),))])
    if solved:
        answered = x.any_of(*(part.answered for part in scored))
        yield from x.chain([Branch(answered, (x.put(SOLUTION, x.identifier(WORKED)),))])


def _steps(scored: list[Scored]) -> list[tuple[float, float]]:
    """Where marks are no whole hundredths: up to which sum of the parts which rounded marks are given, rising.

    Players round halves differently, so the rounding of marking is written out as steps; none where every sum that can
    come about is whole hundredths anyhow.
    """
    sums = [0.0]
    for part in scored:
        reached = sorted(one + other for one, other in itertools.product(sums, part.marks))
        sums = [one for one, last in zip(reached, [-math.inf, *reached], strict=False) if one - last > SAME]
    if all(abs(each - round(each, 2)) < SAME for each in sums):
        return []
    ends = [(one + other) / 2 for one, other in itertools.pairwise(sums)]
    return [(end, round(each, 2)) for each, end in zip(sums, [*ends, math.inf], strict=True)]
