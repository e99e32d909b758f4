"""How long a workbook takes: the minutes of its questions and of what there is to read, added up.

Nobody types the time of a workbook. What a question of a kind takes, what a level adds and how fast a lesson is read
are judgements in ``scenarios/assumptions.toml``; they are to be replaced by measured times when there are any.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed
from probebook.questions.model import Question

__all__ = ["Pace", "question_minutes", "reading_minutes", "told_minutes"]

#: Times are told in steps of so many minutes: nobody knows them better.
STEP = 5


@dataclass(frozen=True)
class Pace(Assumed, table="learning.minutes"):
    """Minutes of a question by kind, of each level above the first, of a hundred words, of a worked example, a case.

    ``observation`` is what each observation takes of a case that is worked aloud.
    """

    kinds: Annotated[Mapping[str, float], "min"]
    other_kind: Annotated[float, "min"]
    level: Annotated[float, "min"]
    hundred_words: Annotated[float, "min"]
    example: Annotated[float, "min"]
    case: Annotated[float, "min"]
    observation: Annotated[float, "min"]


def question_minutes(question: Question, pace: Pace) -> float:
    """Minutes that a learner is thought to need for a question, with reading what was wrong."""
    return pace.kinds.get(str(question.kind), pace.other_kind) + pace.level * (question.level - 1)


def reading_minutes(texts: Iterable[str], pace: Pace) -> float:
    """Minutes that it takes to read lessons with care."""
    return math.fsum(len(text.split()) for text in texts) / 100.0 * pace.hundred_words


def told_minutes(minutes: float) -> int:
    """Minutes as they are told: in steps of five, at least one of them."""
    return max(STEP, STEP * round(minutes / STEP))
