"""Marks and messages at their edges: shares that do not divide evenly, what is said of several parts, counts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from question_samples import ELEMENT

from english import WORDS
from probebook.learning.mastery import Answer, Tracing, trace, update
from probebook.learning.rules import load_course
from probebook.questions.marking import mark
from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Standing

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"


def ticks(right: int) -> Question:
    """A question with so many right ticks and one wrong one."""
    options = tuple(Option(f"o{i}", f"option {i}") for i in range(right + 1))
    asked = Field("which", FieldKind.CHOICES, "Which?", 1.0, [o.id for o in options[:right]], options=options)
    return replace(ELEMENT, kind=Kind.TRACE, fields=(asked,), slips=())


def test_shares_are_rounded_to_hundredths_of_a_mark() -> None:
    """One of three right ticks earns 0.33 and two earn 0.67, as they are shown; one of seven 0.14."""
    assert mark(ticks(3), {"which": ["o0"]}, WORDS).marks == 0.33
    assert mark(ticks(3), {"which": ["o0", "o1"]}, WORDS).marks == 0.67
    assert mark(ticks(7), {"which": ["o0"]}, WORDS).marks == 0.14
    assert mark(ticks(3), {"which": ["o0", "o3"]}, WORDS).marks == 0.0


def two(first: str, second: str) -> Question:
    """Two choices with these keys."""
    options = (Option("a", "this"), Option("b", "that"))
    fields = tuple(
        Field(key, FieldKind.CHOICE, f"{key}?", 1.0, answer, options=options)
        for key, answer in (("one", first), ("two", second))
    )
    return replace(ELEMENT, kind=Kind.TRACE, fields=fields, slips=())


def test_what_is_said_of_two_parts_tells_how_many_are_right() -> None:
    """Both, one of two and none are three different sentences."""
    said = [mark(two("a", "a"), {"one": x, "two": y}, WORDS).message for x, y in (("a", "a"), ("a", "b"), ("b", "b"))]
    assert len(set(said)) == 3
    assert "both" in said[0].lower()
    assert "1" in said[1] or "one" in said[1].lower()


def test_a_figure_where_nothing_joins_is_told_so() -> None:
    """Where the key is an open circuit a figure gets another hint than where a figure is the key."""
    opened = Field("ohms", FieldKind.QUANTITY, "Ohms", 1.0, "OL", unit="ohm", band=Band(float("inf"), float("inf")))
    question = replace(ELEMENT, fields=(opened,), slips=())
    nothing = mark(question, {"ohms": "47 ohm"}, WORDS)
    other = mark(replace(ELEMENT, slips=()), {"ohms": "1 ohm"}, WORDS)
    assert nothing.standing is other.standing is Standing.WRONG
    assert nothing.message != other.message


def test_an_impossible_answer_leaves_nothing_known() -> None:
    """Where what was seen could not be seen at all, the belief is nought and no error (0 divided by 0)."""
    assert update(0.0, True, Tracing(prior=0.0, learn=0.1, guess=0.0, slip=0.1)) == 0.0


def test_answers_are_counted_one_by_one() -> None:
    """Each first answer of an outcome adds one to its count; a second attempt adds none."""
    course = load_course(SCENARIOS)
    outcome = next(iter(course.outcomes))
    given = [Answer(outcome, 1.0, 0.0), Answer(outcome, 0.0, 0.0), Answer(outcome, 1.0, 0.0)]
    assert [trace(given[:n], course)[outcome].answers for n in (1, 2, 3)] == [1, 2, 3]
