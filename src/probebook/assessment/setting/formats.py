"""The text format of a blueprint. Loads pydantic; readers import it when needed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from probebook.assessment.model import Safety
from probebook.questions.model import Kind
from probebook.textfiles import Minutes, Prose, StrictModel

Share = Annotated[float, Field(ge=0, le=1)]
Name = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]*$", max_length=40)]
Shown = Annotated[Prose, Field(min_length=1, max_length=400)]


class RowText(StrictModel):
    """``[[row]]``: ``items`` questions of an outcome, kind and level, each worth ``marks``.

    ``id`` is what reports compare. ``appliances`` are drawn from, all of the library where none is named; ``options``
    are those of the kind, as in a workbook; ``competences`` those that a learner shows here. ``case`` makes each item
    a case of its own, with a job card, a diagram and readings; kinds that ask of a case and nothing else have one
    without it. ``first`` puts its items before all others where the order is mixed.
    """

    id: Name
    outcome: str
    kind: Kind
    level: int = Field(default=1, ge=1, le=4)
    marks: float = Field(default=1.0, gt=0, le=100)
    items: int = Field(default=1, ge=1, le=50)
    appliances: tuple[str, ...] = ()
    options: dict[str, str | float | bool | tuple[str, ...]] = Field(default_factory=dict)
    competences: tuple[str, ...] = ()
    case: bool = False
    first: bool = False


class GradeText(StrictModel):
    """``[[grade]]``: a grade, and the share of the marks from which it is given; the highest first."""

    name: Annotated[Prose, Field(min_length=1, max_length=40)]
    share: Share


class BlueprintText(StrictModel):
    """``blueprints/<id>.toml``: what a paper must ask, how long it takes, and what passes.

    ``band`` are the lowest and the highest mean difficulty of a paper, in logits; ``pass-share`` is the share of the
    marks that passes; ``safety`` says what a dangerous answer fails, its item or the paper; ``must-show`` are the
    competences without which nobody passes. ``mixed`` gives each learner the questions in another order, drawn from the
    tutor's secret; without it they stand as the rows do.
    """

    id: Name
    title: Shown
    summary: Annotated[Prose, Field(min_length=1, max_length=2000)]
    reader: Literal["apprentice", "owner"]
    region: str = "gb"
    minutes: Minutes
    band: tuple[float, float]
    pass_share: Share = Field(alias="pass-share")
    safety: Safety = Safety.ITEM
    must_show: tuple[str, ...] = Field(default=(), alias="must-show")
    mixed: bool = True
    grade: tuple[GradeText, ...] = ()
    row: tuple[RowText, ...] = Field(min_length=1)
