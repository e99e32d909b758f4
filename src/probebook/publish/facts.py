"""What the sentences of printed papers are told; the text is ``publish/print.toml`` of the language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Phrase

PRINT = "publish/print"


@dataclass(frozen=True)
class PaperTexts(
    Facts,
    group=f"{PRINT}/paper",
    says=("name", "date", "caution", "sheet", "scheme", "choose", "tick", "order", "open", "bench", "case"),
):
    """Headings, and how a question is answered on paper."""


@dataclass(frozen=True)
class PaperFacts(Facts, group=f"{PRINT}/paper", says=("sum", "sum-timed")):
    """How many questions and marks a paper has, and the minutes allowed."""

    questions: int
    marks: Annotated[float, "1"]
    minutes: float


@dataclass(frozen=True)
class HeadingFacts(Facts, group=f"{PRINT}/paper", says=("question", "answer-to")):
    """A question's number, title and marks."""

    number: int
    title: Phrase
    marks: Annotated[float, "1"]


@dataclass(frozen=True)
class UnitFacts(Facts, group=f"{PRINT}/paper", says=("unit",)):
    """The sign of the unit a number is given in."""

    sign: str


@dataclass(frozen=True)
class BenchTexts(
    Facts,
    group=f"{PRINT}/bench",
    says=("caption", "controls", "wires-off", "probes", "function", "shows", "tells", "conclusion"),
):
    """The form on which a job at the bench is recorded."""


@dataclass(frozen=True)
class SchemeTexts(Facts, group=f"{PRINT}/scheme", says=("key", "working", "slips", "critical", "why", "any-order")):
    """Headings of a mark scheme."""


@dataclass(frozen=True)
class BandFacts(Facts, group=f"{PRINT}/scheme", says=("accept",)):
    """The ends of what is accepted, with their unit."""

    low: str
    high: str


@dataclass(frozen=True)
class PartialFacts(Facts, group=f"{PRINT}/scheme", says=("partly",)):
    """An answer that earns some of the marks."""

    answer: Phrase
    marks: Annotated[float, "1"]


@dataclass(frozen=True)
class SlipFacts(Facts, group=f"{PRINT}/scheme", says=("slip", "before")):
    """An answer that shows a slip (or the step put too early, and the one it came before), its marks and advice."""

    answer: Phrase
    other: Phrase
    name: str
    marks: Annotated[float, "1"]
    advice: Phrase


@dataclass(frozen=True)
class PairFacts(Facts, group=f"{PRINT}/scheme", says=("pair",)):
    """A step, and the one that has to come after it."""

    earlier: Phrase
    later: Phrase


@dataclass(frozen=True)
class PrintedFacts(Facts, group=f"{PRINT}/command", says=("printed", "benches")):
    """How many papers were printed into a folder, and which questions are jobs for the bench."""

    papers: int
    folder: str
    questions: tuple[str, ...]
