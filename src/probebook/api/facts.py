"""What the sentences of the command line's tables are told; the text is ``cli.toml`` of the language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.words import Facts, Phrase

CLI = "cli"


@dataclass(frozen=True)
class Shown(Facts, group=f"{CLI}/reading", says=("display",)):
    """Two terminals, and what the meter shows between them."""

    a: str
    b: str
    display: str


@dataclass(frozen=True)
class Beeper(Facts, group=f"{CLI}/reading", says=("sounds", "silent")):
    """The resistance under which the beeper sounds."""

    threshold: Annotated[float, "ohm"]


@dataclass(frozen=True)
class Observed(Facts, group=f"{CLI}/explain", says=("head",)):
    """The appliance, and how many observations there are."""

    appliance: str
    observations: int


@dataclass(frozen=True)
class ObservedLine(Facts, group=f"{CLI}/explain", says=("finding", "finding-sound")):
    """An observation, and what a sound appliance would give."""

    number: int
    text: str
    sound: str


@dataclass(frozen=True)
class ExplainTexts(Facts, group=f"{CLI}/explain", says=("determined", "unproved", "open", "exclusions", "next")):
    """Headings."""


@dataclass(frozen=True)
class ProbabilityFacts(Facts, group=f"{CLI}/explain", says=("probability",)):
    """How probable a set of faults is."""

    percent: Annotated[float, "%"]


@dataclass(frozen=True)
class AgainstFacts(Facts, group=f"{CLI}/explain", says=("against",)):
    """A contrast, and the rivals it speaks against."""

    contrast: str
    rivals: tuple[str, ...]


@dataclass(frozen=True)
class WorthFacts(Facts, group=f"{CLI}/explain", says=("worth",)):
    """A trial, what it is expected to tell, and the minutes it takes."""

    bits: float
    minutes: Annotated[float, "min"]
    trial: str


@dataclass(frozen=True)
class BankFacts(Facts, group=f"{CLI}/coverage", says=("bank",)):
    """How large the bank is."""

    questions: int
    workbooks: int


@dataclass(frozen=True)
class CoverageTexts(
    Facts,
    group=f"{CLI}/coverage",
    says=("items", "all", "screen", "out-of-scope", "by-outcome", "every-kind", "reached"),
):
    """Headings and names of rows."""


@dataclass(frozen=True)
class WantedFacts(Facts, group=f"{CLI}/coverage", says=("competences",)):
    """How many items a competence is to be covered by."""

    wanted: int


@dataclass(frozen=True)
class ThemeFacts(Facts, group=f"{CLI}/coverage", says=("theme",)):
    """A theme of the table of competences."""

    theme: str


@dataclass(frozen=True)
class SeenFacts(Facts, group=f"{CLI}/coverage", says=("seen",)):
    """How many rows of the table rest on a standard that was seen."""

    seen: Phrase


@dataclass(frozen=True)
class ShortFacts(Facts, group=f"{CLI}/coverage", says=("short",)):
    """In how many points the goal is missed."""

    points: int


@dataclass(frozen=True)
class VerifyTexts(
    Facts, group=f"{CLI}/verify", says=("workbook", "questions", "answers", "seconds", "result", "verified")
):
    """Heads of the table, and the result of a workbook whose keys hold."""


@dataclass(frozen=True)
class ProblemsFacts(Facts, group=f"{CLI}/verify", says=("problems",)):
    """How many problems a workbook has."""

    problems: int


@dataclass(frozen=True)
class VerifiedFacts(Facts, group=f"{CLI}/verify", says=("sum",)):
    """What was verified, and how long it took."""

    workbooks: int
    questions: int
    answers: int
    seconds: Annotated[float, "s"]


@dataclass(frozen=True)
class FoundFacts(Facts, group=f"{CLI}/check", says=("finding",)):
    """A finding and how much it matters."""

    severity: Literal["error", "warning", "information"]
    finding: str


@dataclass(frozen=True)
class CheckedFacts(Facts, group=f"{CLI}/check", says=("sum",)):
    """How many files were checked, and the errors in them."""

    files: int
    errors: int


@dataclass(frozen=True)
class CurrentFacts(Facts, group=f"{CLI}/build", says=("current",)):
    """How many files are as a build would make them."""

    files: int


@dataclass(frozen=True)
class SiteFacts(Facts, group=f"{CLI}/build", says=("site",)):
    """How many pages were written, and where."""

    pages: int
    folder: str


@dataclass(frozen=True)
class BuiltFacts(Facts, group=f"{CLI}/build", says=("built",)):
    """How many workbooks were built, and where they and their keys lie."""

    workbooks: int
    folder: str
    keys: str


@dataclass(frozen=True)
class StartedFacts(Facts, group=f"{CLI}/new", says=("folder", "appliance", "fault", "slip", "workbook")):
    """What was started, by its name."""

    name: str


@dataclass(frozen=True)
class WroteFacts(Facts, group=f"{CLI}/preview", says=("wrote",)):
    """A file that was written."""

    file: str


@dataclass(frozen=True)
class ServedFacts(Facts, group=f"{CLI}/open", says=("workbook", "workbooks")):
    """A workbook that is open, and its address."""

    name: str
    address: str


@dataclass(frozen=True)
class ServeTexts(Facts, group=f"{CLI}/open", says=("stop", "stopped")):
    """How the server is stopped, and that it has."""
