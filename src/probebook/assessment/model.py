"""What an assessment is made of: blueprint, learners, papers, marks. Plain frozen data, SI units, no files.

A *blueprint* says what a paper must ask; a *paper* is one learner's questions that meet it; a *sitting* is a paper
being answered, and ends in a *hand-in*; *marks* are what marking made of the hand-ins of a class.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from probebook.questions.model import Kind, Question, Response, Standing

__all__ = [
    "SPARE",
    "Blueprint",
    "Grade",
    "Item",
    "Learner",
    "MarkedClass",
    "MarkedItem",
    "MarkedPaper",
    "MarkedPart",
    "Paper",
    "PaperSet",
    "Refused",
    "Row",
    "Safety",
]

#: Marks and shares are compared with this much to spare, so that 0.6 of 20 is 12.
SPARE = 1e-9


class Safety(StrEnum):
    """What a critical slip fails."""

    ITEM = "item"
    PAPER = "paper"


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade and the share of the marks (0 to 1) from which it is given."""

    name: str
    share: float


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a blueprint: ``items`` questions of an outcome, kind and level, each worth ``marks``.

    Attributes
    ----------
    id
        Unique in the blueprint; what reports compare, because every learner's item of a row is another one.
    outcome, kind, level
        As in workbooks; ``level`` is 1 to 4.
    marks
        Marks of one item when everything is right; the marks of its fields are scaled to them.
    items
        How many items a paper has of this row.
    appliances
        Ids of the appliances to draw from; any of the library that fits where empty.
    options
        Options of the kind, as in a plan.
    competences
        Ids of the competences a learner shows here (C01 to C44).
    case
        Whether each item is about a case of its own, read before it; kinds that always ask of a case have one anyhow.
    first
        Whether its items stand before all others where the order is mixed, as what must be safe before anything.
    """

    id: str
    outcome: str
    kind: Kind
    level: int = 1
    marks: float = 1.0
    items: int = 1
    appliances: tuple[str, ...] = ()
    options: Mapping[str, str | float | bool | tuple[str, ...]] = field(default_factory=dict)
    competences: tuple[str, ...] = ()
    case: bool = False
    first: bool = False


@dataclass(frozen=True, slots=True)
class Blueprint:
    """What a paper must ask.

    Attributes
    ----------
    id, title, summary
        File name without its ending; what learners and tutors read.
    reader
        ``apprentice`` or ``owner``.
    region
        Id of the region the papers are for.
    minutes
        Time allowed, without anybody's extra time.
    rows
        In the order in which a paper asks them.
    band
        Lowest and highest mean difficulty of a paper, in logits (:mod:`probebook.learning.difficulty`).
    pass_share
        Share of the marks, 0 to 1, that passes.
    grades
        From the highest to the lowest; empty where a paper is passed or not and no more is said.
    safety
        What a critical slip fails.
    must_show
        Competences without which nobody passes, whatever the marks.
    mixed
        Whether each learner meets the items in another order; else in that of the rows.
    asks_service
        Whether the benches of its papers are asked of a service of a hub; else a paper carries a table of each.
    """

    id: str
    title: str
    summary: str
    reader: str
    region: str
    minutes: float
    rows: tuple[Row, ...]
    band: tuple[float, float]
    pass_share: float
    grades: tuple[Grade, ...] = ()
    safety: Safety = Safety.ITEM
    must_show: tuple[str, ...] = ()
    mixed: bool = True
    asks_service: bool = False

    @property
    def marks(self) -> float:
        """Marks of a paper when everything is right."""
        return math.fsum(row.marks * row.items for row in self.rows)

    def minutes_for(self, learner: Learner) -> float:
        """The minutes that a learner has."""
        return round(self.minutes * learner.extra_time, 2)

    def paper_name(self, learner: Learner) -> str:
        """The stem of the file of a learner's paper."""
        return f"{self.id}-{learner.id}"


@dataclass(frozen=True, slots=True)
class Learner:
    """Somebody in a class.

    ``id`` is plain letters, digits and hyphens; ``extra_time`` a factor on the minutes (1.25 for a quarter more).
    """

    id: str
    name: str
    extra_time: float = 1.0
    large_print: bool = False
    language: str = "en"


@dataclass(frozen=True, slots=True)
class Item:
    """One question of a paper.

    Attributes
    ----------
    row
        Id of the row it meets.
    question
        The question as it is asked: its options have neutral ids, in the order they are shown.
    before
        The Markdown read before it (its case, if any), pictures as data addresses.
    names
        What each neutral id stands for in the builder's words: ``<field>/<option>`` → id.
    appliance
        Id of the appliance it is about.
    bench
        Its virtual bench as the paper carries it (:mod:`probebook.assessment.setting.benches`); empty where it has
        none, and in a sealed key, which holds what the bench is set up from.
    """

    row: str
    question: Question
    before: str = ""
    names: Mapping[str, str] = field(default_factory=dict)
    appliance: str = ""
    bench: str = field(default="", compare=False)

    @property
    def id(self) -> str:
        """Unique in the paper."""
        return self.question.id


@dataclass(frozen=True, slots=True)
class Paper:
    """The paper of one learner; its id is unique in the world and tells nothing."""

    id: str
    learner: Learner
    items: tuple[Item, ...]

    @property
    def marks(self) -> float:
        """Marks when everything is right."""
        return math.fsum(item.question.marks for item in self.items)

    @property
    def difficulty(self) -> float:
        """Mean difficulty of its items, in logits."""
        return math.fsum(item.question.difficulty for item in self.items) / len(self.items)


@dataclass(frozen=True, slots=True)
class PaperSet:
    """The papers of a class, as the tutor's sealed key keeps them.

    ``made`` is the time of setting (UTC, ISO 8601); ``fingerprint`` that of the scenarios; ``secret`` (hex) is what
    every draw was named after: with it the same papers are set again.
    """

    id: str
    blueprint: Blueprint
    papers: tuple[Paper, ...]
    made: str
    fingerprint: str
    secret: str = ""


@dataclass(frozen=True, slots=True)
class MarkedPart:
    """The mark of one field: its key and label, how it stands, its marks, the slip, the texts of what was chosen."""

    field: str
    label: str
    standing: Standing
    marks: float
    slip: str = ""
    chosen: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MarkedItem:
    """The mark of one item of one learner.

    Attributes
    ----------
    item, row, kind, outcome, level, appliance, competences, difficulty
        As set; ``difficulty`` in logits.
    marks, out_of
        What it earned of what it could; ``standing`` in one word.
    slips
        Ids of the slips recognised in it, in order of fields.
    critical
        Whether it holds a safety mistake that fails it.
    response
        What was answered, by field.
    key
        The answers that earn full marks, by field.
    message
        What the learner reads of it.
    by
        Who gave the mark by hand, and ``why``; empty where nobody did.
    parts
        The fields one by one; none in marks of older make.
    """

    item: str
    row: str
    kind: Kind
    outcome: str
    level: int
    appliance: str
    competences: tuple[str, ...]
    difficulty: float
    marks: float
    out_of: float
    standing: Standing
    slips: tuple[str, ...] = ()
    critical: bool = False
    response: Mapping[str, Response] = field(default_factory=dict)
    key: Mapping[str, Response] = field(default_factory=dict)
    message: str = ""
    by: str = ""
    why: str = ""
    parts: tuple[MarkedPart, ...] = ()


@dataclass(frozen=True, slots=True)
class MarkedPaper:
    """A learner's paper, marked.

    ``minutes_late`` is 0 where it was handed in within the learner's own time; ``handed_in`` is UTC, ISO 8601, empty
    where it was ``typed`` in from paper; ``lacking`` the competences that had to be shown and were not.
    """

    paper: str
    learner: Learner
    items: tuple[MarkedItem, ...]
    passed: bool
    grade: str = ""
    handed_in: str = ""
    minutes_late: float = 0.0
    lacking: tuple[str, ...] = ()
    typed: bool = False

    @property
    def marks(self) -> float:
        """Marks earned."""
        return math.fsum(item.marks for item in self.items)

    @property
    def out_of(self) -> float:
        """Marks when everything is right."""
        return math.fsum(item.out_of for item in self.items)

    @property
    def critical(self) -> bool:
        """Whether it holds a safety mistake."""
        return any(item.critical for item in self.items)


@dataclass(frozen=True, slots=True)
class Refused:
    """A hand-in that was not marked: its file and a sentence that says why."""

    file: str
    reason: str


@dataclass(frozen=True, slots=True)
class MarkedClass:
    """The marks of a class: what ``mark`` writes as ``marks.json`` and ``report`` reads."""

    set_id: str
    blueprint: Blueprint
    papers: tuple[MarkedPaper, ...]
    refused: tuple[Refused, ...] = ()
    absent: tuple[Learner, ...] = ()
