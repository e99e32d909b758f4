"""The format of marking sheets, as pydantic reads it: what may stand in the JSON, of which type, with which default.

This module loads pydantic; :mod:`probebook.questions.codec` loads it when a sheet is read.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Key

from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Slip

__all__ = ["FORMAT", "MetaText", "QuestionText", "SheetText"]

#: The number of the format; a sheet of another format is refused.
FORMAT = 1

Name = Annotated[str, Key(pattern=r"\S")]
#: JSON has no infinity: the limit of an open circuit is spelt ``"inf"``.
Limit = float | Literal["inf", "-inf"]
Answer = str | list[str]


class _Strict(BaseModel):
    """Nothing unknown, nothing bent, no nan; text stays as it is, blanks included."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class OptionText(_Strict):
    """One thing to choose or to put in order."""

    id: Name
    text: str
    why: str = ""

    def value(self) -> Option:
        """The option."""
        return Option(self.id, self.text, self.why)


class FieldText(_Strict):
    """One thing to answer."""

    key: Name
    kind: FieldKind
    label: str
    marks: float
    answer: Answer
    unit: str = ""
    options: tuple[OptionText, ...] = ()
    band: tuple[Limit, Limit] | None = None
    before: tuple[tuple[str, str], ...] = ()
    partial: tuple[tuple[str, float], ...] = ()
    allow_open: bool = False

    def value(self) -> Field:
        """The field."""
        own = {name: getattr(self, name) for name in ("key", "kind", "label", "marks", "answer", "unit")}
        return Field(
            **own,
            options=tuple(option.value() for option in self.options),
            band=_band(self.band),
            before=self.before,
            partial=self.partial,
            allow_open=self.allow_open,
        )


class SlipText(_Strict):
    """A named wrong way of working, the answer it gives, what it earns and what is said."""

    slip: Name
    field: str
    response: Answer
    advice: str
    marks: float = 0.0
    band: tuple[Limit, Limit] | None = None
    critical: bool = False

    def value(self) -> Slip:
        """The slip."""
        return Slip(self.slip, self.field, self.response, self.advice, self.marks, _band(self.band), self.critical)


class QuestionText(_Strict):
    """A question with its key and its slips."""

    id: Name
    kind: Kind
    outcome: str
    level: int
    title: str
    prompt: str
    fields_: tuple[FieldText, ...] = Key(alias="fields")
    slips: tuple[SlipText, ...]
    explanation: str
    working: str = ""
    difficulty: float = 0.0
    competences: tuple[str, ...] = ()
    case: str = ""
    pictures: tuple[tuple[str, str], ...] = ()
    bench: str = ""

    def value(self) -> Question:
        """The question."""
        plain = {name: getattr(self, name) for name in QuestionText.model_fields if name not in ("fields_", "slips")}
        fields = tuple(field.value() for field in self.fields_)
        return Question(**plain, fields=fields, slips=tuple(slip.value() for slip in self.slips))


class MetaText(BaseModel):
    """What a marking sheet says of itself, as far as it is relied on."""

    model_config = ConfigDict(frozen=True, extra="allow", strict=True)

    build: str = ""
    language: str = ""
    outcomes: dict[str, str] = {}
    reader: str = ""
    region: str = ""
    scenarios: str = ""
    title: str = ""
    words: dict[str, Any] | None = None
    workbook: str = ""


class SheetText(_Strict):
    """A marking sheet: what it belongs to, and its questions."""

    format: Literal[1]
    meta: MetaText
    questions: tuple[QuestionText, ...]


def _band(limits: tuple[Limit, Limit] | None) -> Band | None:
    return None if limits is None else Band(float(limits[0]), float(limits[1]))
