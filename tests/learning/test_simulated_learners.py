"""The machinery of simulated learners: who knows, answers and learns as the figures say, and what is counted."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from simulated_learners import WAYS, Simulated, interval, run

from probebook.learning.rules import Tracing, load_course

COURSE = load_course(Path(__file__).parents[2] / "scenarios")
AFTER = {name: rules.after for name, rules in COURSE.outcomes.items()}


def learner(tracing: Tracing, seed: int, held: float = 1.0) -> Simulated:
    """A learner with the same figures for every outcome."""
    return Simulated(dict.fromkeys(COURSE.outcomes, tracing), AFTER, held, random.Random(seed))


def test_answers_come_right_as_often_as_the_published_example_says() -> None:
    """Prior .3, guess .4, slip .1: 0.55 at first; after learning .5 once, 0.725 (learning-scientist, preview.md)."""
    firsts, seconds = [], []
    for seed in range(1500):
        one = learner(Tracing(0.3, 0.5, 0.4, 0.1), seed)
        firsts.append(one.answer("power"))
        seconds.append(one.answer("power"))
    assert sum(firsts) / 1500 == pytest.approx(0.55, abs=0.04)
    assert sum(seconds) / 1500 == pytest.approx(0.725, abs=0.04)


def test_nothing_is_learnt_before_what_it_builds_on_where_that_is_held_back() -> None:
    """With a held share of nought an outcome stays unknown until its prerequisites are known."""
    one = learner(Tracing(1e-9, 1.0, 0.1, 0.1), 1, held=0.0)
    one.answer("continuity")
    assert not one.known["continuity"]
    one.answer("function")
    one.answer("continuity")
    assert one.known["continuity"]


@pytest.mark.parametrize("name", list(WAYS))
def test_the_same_seeds_give_the_same_run(name: str) -> None:
    """A run depends on its seeds alone, and who knows everything from the start has nothing to learn."""
    figures = Tracing(0.2, 0.3, 0.15, 0.08)
    first, again = (run(learner(figures, 7), WAYS[name], COURSE, random.Random(3)) for _ in range(2))
    assert first == again
    assert first.believed >= len(COURSE.outcomes)
    knowing = learner(Tracing(1 - 1e-9, 0.3, 0.15, 0.08), 7)
    assert run(knowing, WAYS[name], COURSE, random.Random(3)).learnt == 0


def test_choosing_by_what_is_not_mastered_needs_fewer_questions_than_going_round() -> None:
    """Twelve learners: our choice is believed sooner than a fixed order that ignores the answers, each of them."""
    figures = Tracing(0.2, 0.15, 0.15, 0.08)
    for seed in range(12):
        own = run(learner(figures, seed), WAYS["our choice"], COURSE, random.Random(seed))
        other = run(learner(figures, seed), WAYS["fixed order, in rounds"], COURSE, random.Random(seed))
        assert own.believed < other.believed


def test_an_interval_is_the_textbook_one() -> None:
    """Of 1, 2, 3, 4, 5: mean 3, standard error sqrt(2.5 / 5), times 1.96."""
    mean, half = interval([1.0, 2.0, 3.0, 4.0, 5.0])
    assert (mean, half) == (3.0, pytest.approx(1.96 * (2.5 / 5) ** 0.5))
