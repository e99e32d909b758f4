from __future__ import annotations

import itertools
import math
import random
from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from probebook.errors import ScenarioError
from probebook.learning.mastery import Answer, Known, expected_success, nearest, predicted, rate, taught, trace, update
from probebook.learning.rules import Course, Tracing, load_course

SCENARIOS = Path(__file__).parents[2] / "scenarios"

# The published example: github.com/junchenfeng/learning-scientist, assessment/bkt/preview.md.
EXAMPLE = Tracing(prior=0.3, learn=0.5, guess=0.4, slip=0.1)

shares = st.floats(0.001, 0.999)
tracings = st.builds(Tracing, shares, shares, st.floats(0.001, 0.3), st.floats(0.001, 0.1))


@pytest.fixture(scope="module")
def course() -> Course:
    """The course of the trade's own scenarios."""
    return load_course(SCENARIOS)


def right(outcome: str, number: int = 1) -> list[Answer]:
    """So many faultless answers."""
    return [Answer(outcome, 1.0)] * number


# ---------------------------------------------------------------- the published example


def test_the_published_chance_of_a_right_answer_at_first() -> None:
    """The published example: with prior 0.3, guess 0.4 and slip 0.1 the first answer is right with 0.55."""
    assert predicted(EXAMPLE.prior, EXAMPLE) == pytest.approx(0.55, abs=1e-12)


def test_the_published_belief_after_a_right_answer() -> None:
    """The published example: after a right answer the outcome is known with 0.27/0.55 = 0.490909 (the page: 0.49)."""
    assert update(EXAMPLE.prior, True, EXAMPLE) == pytest.approx(0.490909, abs=1e-6)


def test_the_published_chance_of_a_right_answer_at_the_second_question() -> None:
    """The published example: with nothing observed the second answer is right with 0.725."""
    assert predicted(taught(EXAMPLE.prior, EXAMPLE), EXAMPLE) == pytest.approx(0.725, abs=1e-12)


def test_the_published_belief_after_wrong_then_right() -> None:
    """The published example: at the second question, known with 0.72 given a wrong answer and then a right one."""
    after_wrong = taught(update(EXAMPLE.prior, False, EXAMPLE), EXAMPLE)
    assert update(after_wrong, True, EXAMPLE) == pytest.approx(0.72, abs=1e-6)


def by_enumeration(answers: list[bool], tracing: Tracing) -> float:
    """Probability that the outcome is known at the last answer, by summing over every hidden history."""
    total = known = 0.0
    for history in itertools.product((False, True), repeat=len(answers)):
        chance = tracing.prior if history[0] else 1 - tracing.prior
        for before, after in itertools.pairwise(history):
            chance *= (1.0 if after else 0.0) if before else (tracing.learn if after else 1 - tracing.learn)
        for state, answer in zip(history, answers, strict=True):
            hit = 1 - tracing.slip if state else tracing.guess
            chance *= hit if answer else 1 - hit
        total += chance
        known += chance if history[-1] else 0.0
    return known / total


@given(st.lists(st.booleans(), min_size=1, max_size=7), tracings)
def test_tracing_is_the_hidden_markov_model_it_stands_for(answers: list[bool], tracing: Tracing) -> None:
    """Updating answer by answer gives what summing over all hidden histories gives (definition of the model)."""
    known = tracing.prior
    for number, answer in enumerate(answers):
        known = update(known if number == 0 else taught(known, tracing), answer, tracing)
    assert known == pytest.approx(by_enumeration(answers, tracing), rel=1e-9)


@given(shares, st.floats(0, 1), tracings)
def test_partial_marks_lie_between_wrong_and_right(known: float, share: float, tracing: Tracing) -> None:
    """Jeffrey's rule: the belief is the mixture of those after a wrong and a right answer; at the ends it is one."""
    low, high = update(known, False, tracing), update(known, True, tracing)
    mixed = update(known, share, tracing)
    assert mixed == pytest.approx((1 - share) * low + share * high)
    assert low <= mixed + 1e-12
    assert mixed <= high + 1e-12
    assert update(known, 0.0, tracing) == low
    assert update(known, 1.0, tracing) == high


def test_mastery_is_lost_by_wrong_answers_and_won_by_right_ones(course: Course) -> None:
    """Corbett and Anderson's goal of 0.95 is reached by a run of right answers and left by wrong ones after it."""
    many = trace(right("power", 12), course)["power"]
    assert many.mastered(course.goal)
    few = trace([*right("power", 12), *[Answer("power", 0.0)] * 4], course)["power"]
    assert not few.mastered(course.goal)


# ---------------------------------------------------------------- safety


SAFETY = ("isolate", "stop", "reconnect", "return")


def test_the_safety_outcomes_are_these(course: Course) -> None:
    """Isolating, stopping, reconnecting with earth and returning to service are safety outcomes; no other is."""
    assert tuple(rules.id for rules in course.outcomes.values() if rules.safety) == SAFETY


@pytest.mark.parametrize("outcome", SAFETY)
def test_a_dangerous_answer_takes_mastery_away(course: Course, outcome: str) -> None:
    """However well it was known: back to the prior or lower, and not mastered by one right answer after it."""
    before = trace(right(outcome, 30), course)[outcome]
    assert before.mastered(course.goal)
    danger = Answer(outcome, 0.0, offends=course.offended(outcome, ()))
    after = trace([*right(outcome, 30), danger], course)[outcome]
    assert after.probability <= course.rules(outcome).tracing.prior
    assert not trace([*right(outcome, 30), danger, *right(outcome)], course)[outcome].mastered(course.goal)


def test_after_a_dangerous_answer_faultless_questions_in_a_row_are_owed(course: Course) -> None:
    """A belief above the goal is not mastery while questions are owed, and a fault in between keeps one owed."""
    owing = Known(0.99, 5, course.recovery)
    assert not owing.mastered(course.goal)
    danger = Answer("isolate", 0.0, offends=frozenset({"isolate"}))
    spoilt = trace([danger, *right("isolate", course.recovery - 1), Answer("isolate", 0.9)], course)["isolate"]
    assert spoilt.owed >= 1
    made_good = trace([danger, *right("isolate", 20)], course)["isolate"]
    assert made_good.owed == 0
    assert made_good.mastered(course.goal)


def test_a_dangerous_second_attempt_counts_too(course: Course) -> None:
    """A later attempt changes nothing unless it is dangerous; then its outcome is lost although the first was right."""
    base = right("stop", 30)
    harmless = trace([*base, Answer("stop", 0.0, first=False)], course)["stop"]
    assert harmless == trace(base, course)["stop"]
    danger = Answer("stop", 0.0, offends=frozenset({"stop"}), first=False)
    assert not trace([*base, danger], course)["stop"].mastered(course.goal)


def test_a_danger_counts_where_its_competence_belongs(course: Course) -> None:
    """A tester not proved (C08) in a question about anything else counts against isolating and proving dead."""
    offended = course.offended("next-test", ["C08"])
    assert offended == {"next-test", "isolate"}
    found = trace([*right("isolate", 30), Answer("next-test", 0.0, offends=offended)], course)
    assert not found["isolate"].mastered(course.goal)
    assert course.offended("power", ["C17"]) == {"power"}


def test_short_of_full_marks_is_wrong_in_a_safety_outcome(course: Course) -> None:
    """Nine marks of ten teach a tracer nothing good about isolating, and something about ohms and watts."""
    assert trace([Answer("isolate", 0.9)], course) == trace([Answer("isolate", 0.0)], course)
    assert trace([Answer("power", 0.9)], course) != trace([Answer("power", 0.0)], course)


def test_no_time_is_known_to_the_tracer() -> None:
    """An answer as evidence has no time in it, so haste can earn nothing (Klinkenberg's timed score is not used)."""
    assert {item.name for item in fields(Answer)} == {"outcome", "share", "difficulty", "offends", "first"}


# ---------------------------------------------------------------- ability and choice


def test_three_in_four_wants_a_gap_of_ln_3() -> None:
    """Rasch model: success 0.75 (Klinkenberg et al. 2011) is an ability ln 3 = 1.098612 above the difficulty."""
    assert expected_success(math.log(3), 0.0) == pytest.approx(0.75, abs=1e-12)
    assert math.log(3) == pytest.approx(1.098612, abs=1e-6)
    assert expected_success(-800.0, 800.0) == pytest.approx(0.0, abs=1e-12)


def test_the_nearest_item_is_the_one_ln_3_below() -> None:
    """Of items at every tenth of a logit, the one nearest to ability - ln 3 is chosen, whatever their order."""
    items = [(tenth / 10, tenth) for tenth in range(-40, 41)]
    random.Random(3).shuffle(items)
    assert nearest(items, 1.0, 0.75) == [round((1.0 - math.log(3)) * 10)]
    assert nearest([], 1.0, 0.75) == []
    assert len(nearest(items, 1.0, 0.75, within=0.05)) > 1


def test_the_rating_finds_the_ability_of_a_simulated_learner(course: Course) -> None:
    """A learner who answers by the Rasch model at θ = 0.8 is rated there within the noise of 600 answers."""
    rng, theta = random.Random(11), 0.8
    answers = []
    for _ in range(600):
        difficulty = rng.uniform(-2, 2)
        hit = rng.random() < 1 / (1 + math.exp(difficulty - theta))
        answers.append(Answer("power", float(hit), difficulty))
    assert rate(answers, course).of("power") == pytest.approx(theta, abs=0.35)


def test_the_first_step_of_a_rating_is_as_published(course: Course) -> None:
    """Pelánek 2016 (from memory): θ moves by a/(1 + b n) (x - P); from 0 at an even item by half of a = 1."""
    found = rate([Answer("power", 1.0, 0.0)], course)
    assert found.overall == pytest.approx(0.5)
    second = rate([Answer("power", 1.0, 0.0), Answer("trace", 0.0, 0.5)], course)
    assert second.overall == pytest.approx(0.5 - 0.5 / 1.05)


def test_choosing_by_the_rating_leads_to_the_success_aimed_at(course: Course) -> None:
    """Items chosen nearest to 0.75 are answered right by a simulated learner about three times in four."""
    rng, theta = random.Random(5), 0.4
    bank = [(d / 20, d) for d in range(-80, 81)]
    answers: list[Answer] = []
    for _ in range(800):
        chosen = nearest(bank, rate(answers[-200:], course).of("power"), course.success)[0]
        hit = rng.random() < expected_success(theta, chosen / 20)
        answers.append(Answer("power", float(hit), chosen / 20))
    success = sum(answer.share for answer in answers[200:]) / 600
    assert success == pytest.approx(0.75, abs=0.05)


# ---------------------------------------------------------------- the file


def test_every_outcome_of_the_trade_has_its_rules(course: Course) -> None:
    """practice.toml and outcomes.toml name the same outcomes, so that none is practised by oversight."""
    import tomllib

    named = {row["id"] for row in tomllib.loads((SCENARIOS / "outcomes.toml").read_text("utf-8"))["outcome"]}
    assert set(course.outcomes) == named
    assert course.goal == 0.95
    assert course.success == 0.75


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("guess = 0.15", "guess = 0.31", "guess"),
        ("slip = 0.08", "slip = 0.11", "slip"),
        ("ceiling = 0.98", "ceiling = 0.9", "the ceiling is below the goal"),
        ('id = "trace"', 'id = "trace"\nafter = ["controls"]', "wait for each other"),
        ('after = ["function"]', 'after = ["fnction"]', "comes after 'fnction', which is not listed"),
        ('id = "record"', 'id = "power"', "the outcome 'power' is listed twice"),
    ],
)
def test_a_figure_above_its_cap_or_a_circle_is_refused(tmp_path: Path, old: str, new: str, sentence: str) -> None:
    """Guess above 0.3 and slip above 0.1 (published caps) are refused in a sentence that names the place."""
    text = (SCENARIOS / "practice.toml").read_text("utf-8")
    assert old in text
    (tmp_path / "practice.toml").write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(ScenarioError, match=r"practice\.toml") as caught:
        load_course(tmp_path)
    assert sentence in str(caught.value)


def test_an_outcome_without_rules_is_traced_by_the_general_ones(course: Course) -> None:
    """An outcome that the file does not name is traced with the general parameters and needs nothing first."""
    rules = course.rules("something new")
    assert rules.tracing == course.tracing
    assert rules.after == ()
    assert not rules.safety
    assert replace(rules, id="x").id == "x"
