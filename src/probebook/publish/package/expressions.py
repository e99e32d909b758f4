"""The expressions that scoring is written in: short names for the standard's operators.

Operators that compare or count are given variables and constants only, never each other: players take the types of what
is nested in them in different ways. ``and``, ``or`` and ``not`` hold whatever is true or false.
"""

from __future__ import annotations

from decimal import Decimal

from probebook.publish.package.model import BaseType, Branch, Condition, Expression, Operator, Rule, SetOutcome, Value
from probebook.publish.package.model import Variable as Var

__all__ = [
    "add", "all_of", "any_of", "at", "before", "chain", "contains", "decimal", "given", "identifier",
    "integer", "is_one", "less", "missing", "no", "number", "put", "within",
]  # fmt: skip


def decimal(value: float) -> str:
    """A float as decimal digits that read back as the same float: no exponent, which some readers refuse."""
    text = format(Decimal(repr(float(value))), "f")
    return text if "." in text else f"{text}.0"


def number(value: float) -> Value:
    """A float as a constant."""
    return Value(BaseType.FLOAT, decimal(value))


def integer(value: int) -> Value:
    """A whole number as a constant."""
    return Value(BaseType.INTEGER, str(value))


def identifier(name: str) -> Value:
    """An identifier as a constant."""
    return Value(BaseType.IDENTIFIER, name)


def missing(variable: str) -> Expression:
    """Whether nothing was given."""
    return Operator("isNull", (Var(variable),))


def given(variable: str) -> Expression:
    """Whether something was given."""
    return no(missing(variable))


def no(expression: Expression) -> Expression:
    """Whether it is not so."""
    return Operator("not", (expression,))


def all_of(*expressions: Expression) -> Expression:
    """Whether all are so."""
    return expressions[0] if len(expressions) == 1 else Operator("and", expressions)


def any_of(*expressions: Expression) -> Expression:
    """Whether one of them is so."""
    return expressions[0] if len(expressions) == 1 else Operator("or", expressions)


def is_one(expression: Expression, value: Expression) -> Expression:
    """Whether two expressions have one value."""
    return Operator("match", (expression, value))


def contains(variable: str, choice: str) -> Expression:
    """Whether a choice is among those given."""
    return Operator("member", (identifier(choice), Var(variable)))


def at(variable: str, place: str) -> Expression:
    """The choice given at the place that another variable holds, counted from 1.

    The standard takes a number there too, but a player certified for it reads none (qti3-item-player 1.1.20).
    """
    return Operator("index", (Var(variable),), (("n", place),))


def before(one: Expression, other: Expression) -> Expression:
    """Whether one number is less than another."""
    return Operator("lt", (one, other))


def add(*expressions: Expression) -> Expression:
    """The sum of numbers."""
    return Operator("sum", expressions)


def within(variable: str, low: float, high: float | None) -> Expression:
    """Whether a number lies in a closed range; one without an upper end where ``high`` is None."""
    ends = [Operator("gte", (Var(variable), number(low)))]
    if high is not None:
        ends.append(Operator("lte", (Var(variable), number(high))))
    return all_of(*ends)


def less(one: Expression, other: Expression) -> Expression:
    """One number less another."""
    return Operator("subtract", (one, other))


def put(outcome: str, value: Value | Expression) -> SetOutcome:
    """Give an outcome a value."""
    return SetOutcome(outcome, value)


def chain(branches: list[Branch], otherwise: tuple[Rule, ...] = ()) -> tuple[Rule, ...]:
    """The first branch that holds, or else the rest; only the rest where there is no branch."""
    return (Condition(tuple(branches), otherwise),) if branches else otherwise
