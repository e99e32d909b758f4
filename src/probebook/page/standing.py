"""How far a learner has come in one workbook: question by question, and in all."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any, Literal

from probebook.page.facts import GoOnAt, PageTexts, Stand
from probebook.questions.codec import Sheet
from probebook.questions.model import Standing
from probebook.scenario_folder import scenarios_dir
from probebook.scenario_layers import languages_in
from probebook.words import Words
from probebook.words.pseudo import PSEUDO
from probebook.words.words import ENGLISH
from probebook.workbook.journal import Entry
from probebook.workbook.progress import progress_html, progress_rows

__all__ = ["Standings", "State", "page_words", "standings"]

#: How a question stands: by the last answer that counted.
State = Literal["open", "right", "partly", "wrong"]


@dataclass(frozen=True, slots=True)
class Standings:
    """Where a workbook stands.

    Attributes
    ----------
    states
        Of each question by its id, in order.
    answered, questions
        How many of how many questions have an answer that counted.
    marks, out_of
        Marks of the answers that stand, of those to be had.
    following
        The question to go on with: the first open one after the last that was answered, else the first open one; empty
        when none is open.
    table
        The table of outcomes and what to practise next, as HTML of ours.
    """

    states: dict[str, State]
    answered: int
    questions: int
    marks: float
    out_of: float
    following: str
    table: str

    def told(self, words: Words) -> dict[str, Any]:
        """What a page is told, as plain JSON data with its sentences."""
        stand = Stand(self.answered, self.questions, self.marks, self.out_of)
        number = self.following.removeprefix("q").lstrip("0") or self.following
        going_on = (
            words.say(GoOnAt(number), "go-on" if self.answered else "begin")
            if self.following
            else words.say(PageTexts(), "nothing-open")
        )
        return {**asdict(self), "stand": words.say(stand, "stand"), "goOn": going_on}


@lru_cache(maxsize=32)
def page_words(language: str) -> Words:
    """The words of our pages in a language; English where it is empty, or none that the scenarios are said in."""
    folder = scenarios_dir()
    return Words(folder, language if language in (*languages_in(folder), PSEUDO) else ENGLISH)


def standings(sheet: Sheet, of: Callable[[str], Sequence[Entry]], words: Words) -> Standings:
    """Where a workbook stands; ``of`` gives the answers to a question, oldest first."""
    states: dict[str, State] = {}
    marks: list[float] = []
    latest = (0, "")
    for question in sheet.questions:
        scored = [entry for entry in of(question.id) if entry.scored]
        states[question.id] = _state(scored[-1]) if scored else "open"
        if scored:
            marks.append(scored[-1].marks)
            latest = max(latest, (scored[-1].n, question.id))
    rows = progress_rows(sheet.questions, of, words, sheet.meta.get("outcomes"))
    return Standings(
        states=states,
        answered=len(marks),
        questions=len(states),
        marks=math.fsum(marks),
        out_of=math.fsum(question.marks for question in sheet.questions),
        following=_following(states, latest[1]),
        table=progress_html(rows, words),
    )


def _state(entry: Entry) -> State:
    if entry.standing is Standing.RIGHT:
        return "right"
    return "partly" if entry.marks > 0 else "wrong"


def _following(states: dict[str, State], latest: str) -> str:
    ids = list(states)
    after = ids.index(latest) + 1 if latest else 0
    return next((name for name in (*ids[after:], *ids[:after]) if states[name] == "open"), "")
