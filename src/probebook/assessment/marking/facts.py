"""What the sentences of marking are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Phrase

MARK = "assessment/mark"
FEEDBACK = "assessment/feedback"


@dataclass(frozen=True)
class Unmarked(
    Facts,
    group=f"{MARK}/refused",
    says=("not-readable", "truncated", "other-paper", "answers-edited", "receipt", "replayed"),
):
    """A file that is not marked."""


@dataclass(frozen=True)
class TooLarge(Facts, group=f"{MARK}/refused", says=("too-large",)):
    """Size of a file and the most there may be, MB."""

    size: float
    most: float


@dataclass(frozen=True)
class Belongs(Facts, group=f"{MARK}/refused", says=("other-set", "other-learner")):
    """What a file says it belongs to, and what was wanted."""

    given: str
    wanted: str


@dataclass(frozen=True)
class Edited(Facts, group=f"{MARK}/refused", says=("edited",)):
    """The first entry, from 1, that is not as it was written."""

    entry: int


@dataclass(frozen=True)
class Copied(Facts, group=f"{MARK}/refused", says=("duplicate",)):
    """The file that another is a copy of."""

    other: str


@dataclass(frozen=True)
class Again(Facts, group=f"{MARK}/refused", says=("again",)):
    """A second hand-in: whose, the file that counts, its marks, and the marks of this one."""

    name: str
    other: str
    counts: float
    this: float


@dataclass(frozen=True)
class Late(Facts, group=f"{MARK}/refused", says=("late",)):
    """How late, and how late may be, minutes."""

    minutes: float
    most: float


@dataclass(frozen=True)
class MarkDone(Facts, group=f"{MARK}/summary", says=("marked", "rule", "again", "typed", "written")):
    """How many papers were marked, files not, learners absent; where marks lie; how many were overridden, typed in."""

    marked: int
    refused: int
    absent: int
    folder: str
    times: int
    typed: int


@dataclass(frozen=True)
class RefusedLine(Facts, group=f"{MARK}/summary", says=("refused",)):
    """A file and why it was not marked."""

    file: str
    reason: str


@dataclass(frozen=True)
class TableHeads(
    Facts,
    group=f"{MARK}/table",
    says=(
        "learner", "name", "paper", "marks", "out-of", "percent", "passed", "grade", "critical", "late", "lacking",
        "handed-in", "typed", "yes", "no",
    ),
):  # fmt: skip
    """Headings of the table of marks."""


@dataclass(frozen=True)
class SheetLine(
    Facts,
    group=f"{MARK}/sheet",
    says=(
        "columns", "no-learner", "no-item", "no-field", "twice", "both", "too-long", "one-letter", "no-letter",
        "letter-twice", "all-letters", "no-mark", "no-by", "handed-in",
    ),
):  # fmt: skip
    """What stands in a line typed in from paper; what it was looked for in; the place that was first; the most."""

    given: str = ""
    whole: str = ""
    other: str = ""
    most: float = 0.0


@dataclass(frozen=True)
class GivenFacts(Facts, group=f"{MARK}/sheet", says=("given",)):
    """Why a mark that was typed in counts."""


# ---------------------------------------------------------------- feedback


@dataclass(frozen=True)
class FeedbackHead(
    Facts,
    group=f"{FEEDBACK}/page",
    says=(
        "title", "result", "passed", "passed-grade", "failed", "danger", "danger-item", "lacking", "late", "receipt",
    ),
):  # fmt: skip
    """A paper's result."""

    title: Phrase
    name: str
    marks: float
    out_of: float
    percent: Annotated[float, "%"]
    grade: str
    competences: tuple[str, ...]
    minutes: float
    code: str


@dataclass(frozen=True)
class FeedbackItem(Facts, group=f"{FEEDBACK}/item", says=("head",)):
    """A question's number, title and marks."""

    number: int
    title: Phrase
    marks: float
    out_of: float


@dataclass(frozen=True)
class FeedbackHeads(Facts, group=f"{FEEDBACK}/item", says=("dangerous", "answer", "key", "said", "working", "nothing")):
    """Headings under a question."""


@dataclass(frozen=True)
class JobHeads(Facts, group=f"{FEEDBACK}/job", says=("number", "act", "told", "minutes")):
    """Headings over what was done on a bench."""


@dataclass(frozen=True)
class Overridden(Facts, group=f"{FEEDBACK}/item", says=("overridden",)):
    """Who gave a mark, and why."""

    by: str
    why: str
