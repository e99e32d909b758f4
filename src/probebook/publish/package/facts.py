"""What the sentences of an item package are told; the text is ``publish/package.toml`` of the language."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

PACKAGE = "publish/package"


@dataclass(frozen=True)
class AskTexts(Facts, group=f"{PACKAGE}/ask", says=("choose", "tick", "order", "open", "open-circuit")):
    """How a question is answered in a player."""


@dataclass(frozen=True)
class LabelFacts(Facts, group=f"{PACKAGE}/ask", says=("label", "label-marks")):
    """The words before a field, and its marks in words."""

    label: Phrase
    marks: Phrase


@dataclass(frozen=True)
class UnitFacts(Facts, group=f"{PACKAGE}/ask", says=("number", "number-plain", "prefixes")):
    """The unit that a bare number is typed in: its name in the plural, and its sign."""

    unit: Phrase
    sign: str


@dataclass(frozen=True)
class NumberTexts(Facts, group=f"{PACKAGE}/said", says=("both",)):
    """What is said of a number and an open circuit given at once."""


@dataclass(frozen=True)
class LeftOutTexts(Facts, group=f"{PACKAGE}/left-out", says=("bench", "drawing")):
    """Why a question is not in a package."""


@dataclass(frozen=True)
class LeftOutFacts(Facts, group=f"{PACKAGE}/report", says=("left-out",)):
    """A question that is not in the package: where it is from, which it is, its title, and why."""

    source: str
    question: str
    title: Phrase
    why: Phrase


@dataclass(frozen=True)
class PackagedFacts(
    Facts, group=f"{PACKAGE}/report", says=("written", "none-left-out", "some-left-out", "answers", "changes")
):
    """How many questions of how many are in which file, in which standard, and how many sources they are from."""

    questions: int
    out: int
    sources: int
    file: str
    standard: str
