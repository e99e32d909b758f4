"""The head of a workbook: what one will be able to do, how long it takes, what comes before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError
from probebook.learning.duration import told_minutes
from probebook.words import Phrase, Words
from probebook.workbook.pages.lesson_facts import Aims, BookBefore, Hours, Minutes

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.model import Question
    from probebook.workbook.build.plan import Plan

__all__ = ["aims", "time_words"]

#: What so many questions practise is an aim of the workbook; what fewer do is met on the way.
ENOUGH = 2
HOUR = 60


def time_words(minutes: float, words: Words) -> Phrase:
    """A time in words, in steps of five minutes."""
    hours, over = divmod(told_minutes(minutes), HOUR)
    if not hours:
        return words.say(Minutes(over), "minutes")
    return words.say(Hours(hours, over), "hours-and-minutes" if over else "hours")


def aims(plan: Plan, questions: Sequence[Question], minutes: float, before: Iterable[Plan], library: Library) -> Phrase:
    """The head as Markdown.

    Parameters
    ----------
    plan, questions, minutes
        The workbook, what is asked in it, and the minutes that the whole takes.
    before
        The workbooks that come before.
    library
        The trade with its words.

    Raises
    ------
    ScenarioError
        The plan names an aim that too few questions are about.
    """
    words = library.words
    asked = Counter(question.outcome for question in questions)
    least = min(ENOUGH, max(asked.values(), default=0))
    for aim in plan.aims:
        if asked[aim] < ENOUGH:
            raise ScenarioError(
                f"'{aim}' is an aim, and {asked[aim]} questions are about it",
                where=f"{plan.id}.toml: aims",
                remedy=f"ask at least {ENOUGH}, or take it out",
            )
    able = tuple(
        item.able.get(plan.reader, item.title)
        for name, item in library.outcomes.items()
        if asked[name] and asked[name] >= least and (not plan.aims or name in plan.aims)
    )
    books = tuple(words.say(BookBefore(each.number, Phrase(each.title)), "book") for each in before)
    told = Aims(able, time_words(minutes, words), len(questions), books)
    return words.say(told, "after" if books else "first")
