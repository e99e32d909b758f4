"""What a right answer earns: marks are judgements of teaching and stand in ``scenarios/assumptions.toml``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from probebook.assumptions import Assumed, Assumptions
from probebook.questions.model import Field, FieldKind

__all__ = ["Marks", "marked", "marks_of"]


@dataclass(frozen=True)
class Marks(Assumed, table="questions.marks"):
    """Marks of answers.

    ``figure`` for a typed figure, ``ticks`` for a list that is ticked, ``alone`` for the option of a question that asks
    nothing else, ``beside`` for an option beside other answers, ``step`` for each step put in order. ``own`` says
    otherwise of single answers, as ``kind.field``, or as ``kind.field.level`` of one level alone.
    """

    figure: Annotated[float, "1"]
    ticks: Annotated[float, "1"]
    alone: Annotated[float, "1"]
    beside: Annotated[float, "1"]
    step: Annotated[float, "1"]
    own: Annotated[Mapping[str, float], "1"]


def marks_of(assumptions: Assumptions, kind: str, field: str, level: int) -> float | None:
    """Marks of one answer of a kind of question where they are its own; None where the usual ones hold."""
    own = assumptions.get(Marks).own
    return own.get(f"{kind}.{field}.{level}", own.get(f"{kind}.{field}"))


def marked(assumptions: Assumptions, kind: str, level: int, fields: Sequence[Field]) -> tuple[Field, ...]:
    """Fields with their marks; the virtual bench keeps those of its grading."""
    usual = assumptions.get(Marks)
    found = []
    for field in fields:
        own = marks_of(assumptions, kind, field.key, level)
        if field.kind is FieldKind.BENCH:
            found.append(field)
        else:
            found.append(replace(field, marks=_usual(usual, field, len(fields)) if own is None else own))
    return tuple(found)


def _usual(usual: Marks, field: Field, fields: int) -> float:
    match field.kind:
        case FieldKind.QUANTITY:
            return usual.figure
        case FieldKind.CHOICES:
            return usual.ticks
        case FieldKind.ORDER:
            return usual.step * len(field.options)
        case _:
            return usual.alone if fields == 1 else usual.beside
