"""An item, a test and a package in the standard's own terms. Plain frozen data; no XML and no version of the standard.

Names of elements and attributes are those of QTI 2.2 (``choiceInteraction``); :mod:`.standards` says how each version
spells them. Content is HTML as far as both versions carry it. A rule of response processing is run from top to bottom
over the declared variables, as the standard's information model says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "AssessmentItem",
    "AssessmentTest",
    "BaseType",
    "Branch",
    "Cardinality",
    "Choice",
    "ChoiceInteraction",
    "Condition",
    "Content",
    "Element",
    "Expression",
    "Feedback",
    "NumberEntry",
    "Operator",
    "OutcomeDeclaration",
    "Package",
    "ResponseDeclaration",
    "Rule",
    "SetOutcome",
    "Value",
    "Variable",
]


class BaseType(StrEnum):
    """What a variable holds."""

    IDENTIFIER = "identifier"
    FLOAT = "float"
    INTEGER = "integer"


class Cardinality(StrEnum):
    """How many values a variable holds."""

    SINGLE = "single"
    MULTIPLE = "multiple"
    ORDERED = "ordered"


# ---------------------------------------------------------------- variables


@dataclass(frozen=True, slots=True)
class ResponseDeclaration:
    """What a learner answers; ``correct`` are the values of the key, empty where a number has none to give."""

    identifier: str
    cardinality: Cardinality
    base: BaseType
    correct: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OutcomeDeclaration:
    """What scoring sets; ``default`` stands before it has, ``maximum`` is the most it can become."""

    identifier: str
    base: BaseType
    default: str = ""
    maximum: str = ""


# ---------------------------------------------------------------- response processing


@dataclass(frozen=True, slots=True)
class Variable:
    """The value of a declared variable; NULL where it has none."""

    identifier: str


@dataclass(frozen=True, slots=True)
class Value:
    """A constant, as the standard writes it."""

    base: BaseType
    text: str


@dataclass(frozen=True, slots=True)
class Operator:
    """An operator of the standard over other expressions; ``attributes`` such as ``n`` of ``index``."""

    name: str
    operands: tuple[Expression, ...]
    attributes: tuple[tuple[str, str], ...] = ()


Expression = Variable | Value | Operator


@dataclass(frozen=True, slots=True)
class SetOutcome:
    """Give an outcome the value of an expression."""

    identifier: str
    value: Expression


@dataclass(frozen=True, slots=True)
class Branch:
    """Rules that run when a condition is true."""

    when: Expression
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class Condition:
    """The first branch whose condition is true runs; ``otherwise`` runs where none is. At least one branch."""

    branches: tuple[Branch, ...]
    otherwise: tuple[Rule, ...] = ()


Rule = SetOutcome | Condition


# ---------------------------------------------------------------- what is shown


@dataclass(frozen=True, slots=True)
class Element:
    """An element of content: a name of HTML, its attributes, text and elements in it."""

    name: str
    children: tuple[Content, ...] = ()
    attributes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose or to put in order."""

    identifier: str
    content: tuple[Content, ...]


@dataclass(frozen=True, slots=True)
class ChoiceInteraction:
    """Choices of which one, several or an order is given, by the cardinality of the response."""

    response: str
    prompt: tuple[Content, ...]
    choices: tuple[Choice, ...]
    cardinality: Cardinality


@dataclass(frozen=True, slots=True)
class NumberEntry:
    """A box for a number, in a line of text."""

    response: str
    length: int


Content = str | Element | ChoiceInteraction | NumberEntry


@dataclass(frozen=True, slots=True)
class Feedback:
    """What is shown after scoring where an outcome has the value ``identifier``."""

    outcome: str
    identifier: str
    content: tuple[Content, ...]


# ---------------------------------------------------------------- the whole


@dataclass(frozen=True, slots=True)
class AssessmentItem:
    """One question, with its scoring and its feedback; ``files`` are the pictures in it: path → bytes."""

    identifier: str
    title: str
    language: str
    responses: tuple[ResponseDeclaration, ...]
    outcomes: tuple[OutcomeDeclaration, ...]
    body: tuple[Content, ...]
    rules: tuple[Rule, ...]
    feedback: tuple[Feedback, ...]
    files: Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class AssessmentTest:
    """Items in order, by their identifiers; ``seconds`` allowed for all of them, 0 where none are stated."""

    identifier: str
    title: str
    items: tuple[str, ...]
    seconds: int = 0


@dataclass(frozen=True, slots=True)
class Package:
    """All that goes into one package."""

    identifier: str
    items: tuple[AssessmentItem, ...]
    tests: tuple[AssessmentTest, ...]
