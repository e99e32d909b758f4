"""Learners who know or do not know each outcome, answer by that, and learn in answering; and ways to choose for them.

A learner is the model of knowledge tracing turned round (Corbett and Anderson 1995): an outcome is known or not; a
question about it is answered right with 1 - slip if it is and with guess if not; after it the outcome is learnt with
the probability learn. So whoever chooses by that model is given learners who are as the model says. In one respect they
may be otherwise: while something that an outcome builds on is not known, it is learnt only at a share of that.
"""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from probebook.learning.choosing import choose_outcome
from probebook.learning.mastery import Answer, Known, trace
from probebook.learning.rules import Course, Tracing

__all__ = ["WAYS", "Run", "Simulated", "interval", "run"]

#: So many questions and no more are asked of one learner.
MOST = 4000


@dataclass
class Simulated:
    """A learner: the four probabilities of each outcome, what it builds on, and what is known now.

    ``held`` is the share of its learning that an outcome keeps while something it builds on is not known.
    """

    tracing: Mapping[str, Tracing]
    after: Mapping[str, Sequence[str]]
    held: float
    rng: random.Random
    known: dict[str, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.known = {name: self.rng.random() < item.prior for name, item in self.tracing.items()}

    def answer(self, outcome: str) -> bool:
        """Answer a question, and perhaps learn from it."""
        item = self.tracing[outcome]
        right = self.rng.random() < (1.0 - item.slip if self.known[outcome] else item.guess)
        is_ready = all(self.known[earlier] for earlier in self.after[outcome] if earlier in self.known)
        chance = item.learn * (1.0 if is_ready else self.held)
        if self.rng.random() < chance:
            self.known[outcome] = True
        return right

    @property
    def knows_all(self) -> bool:
        """Whether nothing is left to learn."""
        return all(self.known.values())


#: What is asked next: given what is believed, the course, the number of questions asked, and chance.
Way = Callable[[Mapping[str, Known], Course, int, random.Random], str]


def _unmastered(known: Mapping[str, Known], course: Course) -> list[str]:
    return [name for name in course.outcomes if name not in known or not known[name].mastered(course.goal)]


def ours(known: Mapping[str, Known], course: Course, asked: int, rng: random.Random) -> str:
    """As practice chooses."""
    del asked
    return choose_outcome(known, course, course.outcomes, rng)[0]


def in_order(known: Mapping[str, Known], course: Course, asked: int, rng: random.Random) -> str:
    """One outcome after the other, each until it counts as mastered; when all are, any."""
    del asked
    unmastered = _unmastered(known, course)
    return unmastered[0] if unmastered else rng.choice(list(course.outcomes))


def rounds(known: Mapping[str, Known], course: Course, asked: int, rng: random.Random) -> str:
    """All outcomes in turn, again and again, whatever was answered: a fixed order."""
    del known, rng
    names = list(course.outcomes)
    return names[asked % len(names)]


def at_random(known: Mapping[str, Known], course: Course, asked: int, rng: random.Random) -> str:
    """Any outcome."""
    del known, asked
    return rng.choice(list(course.outcomes))


def random_open(known: Mapping[str, Known], course: Course, asked: int, rng: random.Random) -> str:
    """Any outcome that does not count as mastered."""
    del asked
    return rng.choice(_unmastered(known, course) or list(course.outcomes))


WAYS: dict[str, Way] = {
    "our choice": ours,
    "fixed order, in rounds": rounds,
    "fixed order, each to mastery": in_order,
    "random": at_random,
    "random among the unmastered": random_open,
}


@dataclass(frozen=True)
class Run:
    """What came of one learner.

    ``learnt`` is how many questions it took until everything was really known, ``believed`` until everything counted as
    mastered at the same time, ``false`` how many outcomes were then not known.
    """

    learnt: int
    believed: int
    false: int


def run(learner: Simulated, way: Way, course: Course, rng: random.Random, most: int = MOST) -> Run:
    """Ask until the learner knows everything and is believed to; ``most`` where it does not come to that."""
    answers: dict[str, list[Answer]] = {}
    known: dict[str, Known] = {}
    learnt, believed, false = (0 if learner.knows_all else most), most, 0
    for asked in range(most):
        outcome = way(known, course, asked, rng)
        right = learner.answer(outcome)
        answers.setdefault(outcome, []).append(Answer(outcome, 1.0 if right else 0.0))
        known |= trace(answers[outcome], course)
        if learnt == most and learner.knows_all:
            learnt = asked + 1
        if believed == most and not _unmastered(known, course):
            believed, false = asked + 1, sum(not knows for knows in learner.known.values())
        if learnt < most and believed < most:
            break
    return Run(learnt, believed, false)


def interval(values: Sequence[float]) -> tuple[float, float]:
    """Mean, and half the width of its 95 % confidence interval (normal approximation, 1.96 standard errors)."""
    mean = statistics.fmean(values)
    if len(values) < 2:
        return mean, math.inf
    return mean, 1.96 * statistics.stdev(values) / math.sqrt(len(values))
