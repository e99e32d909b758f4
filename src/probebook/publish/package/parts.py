"""A field on its way into an item: its names, what marking says of an answer, and the rules that repeat that."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from probebook.publish.package import expressions as x
from probebook.publish.package.content import Pictures, block
from probebook.publish.package.model import (
    BaseType,
    Content,
    Expression,
    Feedback,
    OutcomeDeclaration,
    ResponseDeclaration,
    Rule,
    SetOutcome,
)
from probebook.publish.package.names import identifier
from probebook.questions.marking import mark
from probebook.questions.model import Field, FieldMark, Question, Response, Slip

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["DANGEROUS", "MAXIMUM", "SCORE", "Part", "Scored"]

#: Outcomes of the whole item. DANGEROUS is 1 after a critical slip, else 0: not every player compares booleans.
SCORE, MAXIMUM, DANGEROUS = "SCORE", "MAXSCORE", "DANGEROUS"


@dataclass(frozen=True, slots=True)
class Scored:
    """What a field adds to an item.

    Attributes
    ----------
    responses, outcomes, body, rules, feedback
        Its parts of the item.
    answered
        Whether something was given in it.
    marks
        Every number of marks that its rules can set, nought among them.
    """

    responses: tuple[ResponseDeclaration, ...]
    outcomes: tuple[OutcomeDeclaration, ...]
    body: tuple[Content, ...]
    rules: tuple[Rule, ...]
    feedback: tuple[Feedback, ...]
    answered: Expression
    marks: frozenset[float]


@dataclass(slots=True)
class Part:
    """A field being written, the ``number``-th of its question counted from 1; collects what is said and earned."""

    question: Question
    number: int
    words: Words
    said: dict[str, str] = field(default_factory=dict)
    earned: set[float] = field(default_factory=lambda: {0.0})

    @property
    def field(self) -> Field:
        """The field."""
        return self.question.fields[self.number - 1]

    @property
    def slips(self) -> tuple[Slip, ...]:
        """Its slips, in the order of the question."""
        return tuple(slip for slip in self.question.slips if slip.field == self.field.key)

    def name(self, what: str) -> str:
        """The name of a variable of this field."""
        return f"{what}_{self.number}"

    @property
    def response(self) -> str:
        """The name of its response."""
        return self.name("RESPONSE")

    def marked(self, response: Response) -> FieldMark:
        """What marking says of an answer in this field alone."""
        found = mark(self.question, {self.field.key: response}, self.words, final=True)
        return found.fields[self.number - 1]

    def result(self, found: FieldMark) -> tuple[SetOutcome, ...]:
        """The rules that give what marking gave: marks, what is said, the slip, danger."""
        rules = [*self.score(found.marks), x.put(self.name("FEEDBACK"), x.identifier(self.saying(found.message)))]
        if found.slip:
            rules.append(x.put(self.name("SLIP"), x.identifier(identifier(found.slip))))
        if any(slip.critical and slip.slip == found.slip for slip in self.slips):
            rules.append(x.put(DANGEROUS, x.integer(1)))
        return tuple(rules)

    def score(self, marks: float) -> tuple[SetOutcome, ...]:
        """The rule that gives marks; none for nought, which stands already."""
        self.earned.add(marks)
        return (x.put(self.name(SCORE), x.number(marks)),) if marks else ()

    def saying(self, message: str) -> str:
        """The identifier of what is said."""
        return self.said.setdefault(message, f"said-{len(self.said) + 1}")

    def outcomes(self, *more: OutcomeDeclaration) -> tuple[OutcomeDeclaration, ...]:
        """The outcomes that every field has, and more."""
        return (
            OutcomeDeclaration(self.name(SCORE), BaseType.FLOAT, "0.0", x.decimal(self.field.marks)),
            OutcomeDeclaration(self.name("FEEDBACK"), BaseType.IDENTIFIER),
            OutcomeDeclaration(self.name("SLIP"), BaseType.IDENTIFIER),
            *more,
        )

    def feedback(self) -> tuple[Feedback, ...]:
        """What can be said, each once."""
        return tuple(
            Feedback(self.name("FEEDBACK"), name, block(message, Pictures())) for message, name in self.said.items()
        )

    def scored(
        self,
        responses: tuple[ResponseDeclaration, ...],
        body: tuple[Content, ...],
        rules: tuple[Rule, ...],
        answered: Expression,
        *more: OutcomeDeclaration,
    ) -> Scored:
        """All that the field adds."""
        marks = frozenset(self.earned)
        assert all(math.isfinite(each) for each in marks)
        return Scored(responses, self.outcomes(*more), body, rules, self.feedback(), answered, marks)
