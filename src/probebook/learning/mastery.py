"""What a learner knows, judged from first answers: knowledge tracing for each outcome, and a rating in logits.

Two models, each for what it is good at:

*Knowledge tracing* (Corbett and Anderson 1995) says whether an outcome is mastered. It is known or not, L is the
probability that it is; a question is answered right with L(1 - S) + (1 - L)G, and an answer moves L by Bayes' rule and
then by what answering teaches, L + (1 - L)T. Nothing is forgotten.

*An Elo rating* says how hard a question should be. It follows the Rasch model, on whose scale
:mod:`probebook.learning.difficulty` works: a learner of ability θ gets a question of difficulty d right with the
probability 1/(1 + exp(d - θ)). Success in three questions of four wants d = θ - ln 3.

The rules, besides the published ones:

- The first marked answer to a question counts; later ones were given with the verdict in sight.
- Part of the marks is uncertain evidence: the beliefs after a right and after a wrong answer are mixed in the ratio of
  the marks (Jeffrey's rule of conditioning). In a safety outcome whatever is short of full marks is wrong.
- A dangerous answer, at any attempt, puts its outcome and every safety outcome it offends against back to the prior or
  lower, and each then stays below mastery until so many questions of it in a row were faultless.
- A belief is kept below a ceiling: the model forgets nothing, and without one a learner who had many right answers
  and now makes mistakes would be found too late.
- How long an answer took is not known here and could not count: nothing rewards haste.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from probebook.learning.rules import Course, OutcomeRules, Tracing

__all__ = [
    "Ability",
    "Answer",
    "Known",
    "expected_success",
    "nearest",
    "predicted",
    "rate",
    "taught",
    "trace",
    "update",
]

#: So many of the last answers to an outcome are told one by one.
LATELY = 3
#: From this share of the marks on an answer is told as right rather than missed.
MOSTLY = 0.5

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer as evidence.

    Attributes
    ----------
    outcome
        What the question was set for.
    share
        Marks earned over marks to be had, 0 to 1.
    difficulty
        Of the question, logits.
    offends
        Outcomes that the answer endangers; empty unless it was a safety-critical mistake.
    first
        Whether it is the first answer to its question; a later one counts only for what it offends.
    """

    outcome: str
    share: float
    difficulty: float = 0.0
    offends: frozenset[str] = frozenset()
    first: bool = True


@dataclass(frozen=True, slots=True)
class Known:
    """How far an outcome is known: the probability, the answers it rests on, and what it still has to recover.

    ``owed`` is how many faultless questions in a row are wanted before it can count as mastered again; ``lately`` says
    of the last few answers, oldest first, whether each earned most of its marks.
    """

    probability: float
    answers: int = 0
    owed: int = 0
    lately: tuple[bool, ...] = ()

    def mastered(self, goal: float) -> bool:
        """Whether it is known with the probability ``goal`` and nothing dangerous is left to make good."""
        return self.probability >= goal and not self.owed


@dataclass(frozen=True, slots=True)
class Ability:
    """The learner's rating, logits: overall, what each outcome adds, and the answers each rests on."""

    overall: float = 0.0
    answers: int = 0
    extra: Mapping[str, float] = field(default_factory=dict)
    counts: Mapping[str, int] = field(default_factory=dict)

    def of(self, outcome: str) -> float:
        """The rating in one outcome."""
        return self.overall + self.extra.get(outcome, 0.0)


# ---------------------------------------------------------------- knowledge tracing


def predicted(known: float, tracing: Tracing) -> float:
    """Probability that the next answer is right: L(1 - S) + (1 - L)G."""
    return known * (1 - tracing.slip) + (1 - known) * tracing.guess


def update(known: float, right: bool | float, tracing: Tracing) -> float:
    """The probability that an outcome is known, after an answer and before what answering it taught.

    Parameters
    ----------
    known
        The probability before.
    right
        True or False, or the share of the marks (0 to 1): the mixture of both in that ratio (Jeffrey's rule).
    tracing
        The parameters of the outcome.
    """
    share = float(right)
    after_right = _over(known * (1 - tracing.slip), (1 - known) * tracing.guess)
    after_wrong = _over(known * tracing.slip, (1 - known) * (1 - tracing.guess))
    return share * after_right + (1 - share) * after_wrong


def _over(one: float, other: float) -> float:
    return one / (one + other) if one + other > 0 else 0.0


def taught(known: float, tracing: Tracing) -> float:
    """The probability after what answering a question teaches: L + (1 - L)T."""
    return known + (1 - known) * tracing.learn


def trace(answers: Iterable[Answer], course: Course) -> dict[str, Known]:
    """How far each outcome is known after these answers, oldest first; outcomes without any are left out."""
    found: dict[str, Known] = {}
    for answer in answers:
        rules = course.rules(answer.outcome)
        if answer.first:
            found[answer.outcome] = _answered(found.get(answer.outcome), answer, rules, course.ceiling)
        for outcome in sorted(answer.offends):
            found[outcome] = _offended(found.get(outcome), course.rules(outcome), course.recovery)
    return found


def _answered(before: Known | None, answer: Answer, rules: OutcomeRules, ceiling: float) -> Known:
    state = before or Known(rules.tracing.prior)
    faultless = answer.share >= 1.0 and not answer.offends
    share = answer.share if not rules.safety or faultless else 0.0
    known = min(taught(update(state.probability, share, rules.tracing), rules.tracing), ceiling)
    owed = state.owed
    if owed:
        owed = owed - 1 if faultless else max(owed, 1)
    return Known(known, state.answers + 1, owed, (*state.lately, share >= MOSTLY)[-LATELY:])


def _offended(before: Known | None, rules: OutcomeRules, recovery: int) -> Known:
    state = before or Known(rules.tracing.prior)
    return Known(min(state.probability, rules.tracing.prior), state.answers, recovery, state.lately)


# ---------------------------------------------------------------- ability


def expected_success(ability: float, difficulty: float) -> float:
    """Probability of a right answer by the Rasch model: 1/(1 + exp(d - θ))."""
    return 1.0 / (1.0 + math.exp(min(difficulty - ability, 700.0)))


def rate(answers: Iterable[Answer], course: Course) -> Ability:
    """The learner's rating after these answers, oldest first.

    Every first answer moves the overall rating by a / (1 + b n) times the share of the marks less the success expected
    (n: the answers it rests on), and what its outcome adds by the course's ``own`` part of that with its own n. Partial
    marks count as they are.
    """
    overall, total = 0.0, 0
    extra: dict[str, float] = {}
    counts: dict[str, int] = {}
    for answer in answers:
        if not answer.first:
            continue
        own, seen = extra.get(answer.outcome, 0.0), counts.get(answer.outcome, 0)
        surprise = answer.share - expected_success(overall + own, answer.difficulty)
        overall += surprise * course.step / (1 + course.damping * total)
        extra[answer.outcome] = own + course.own * surprise * course.step / (1 + course.damping * seen)
        total, counts[answer.outcome] = total + 1, seen + 1
    return Ability(overall, total, extra, counts)


def nearest(items: Sequence[tuple[float, T]], ability: float, success: float, *, within: float = 0.0) -> list[T]:
    """Of (difficulty, item) those whose expected success is nearest to ``success``.

    All that are no more than ``within`` farther from it than the nearest are given, in the order they came.
    """
    away = [abs(expected_success(ability, difficulty) - success) for difficulty, _ in items]
    least = min(away, default=0.0)
    return [item for gap, (_, item) in zip(away, items, strict=True) if gap <= least + within]
