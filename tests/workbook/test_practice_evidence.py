"""What an answer in a journal counts for: the share of its marks, the first attempt, and danger at any time."""

from __future__ import annotations

import pytest

from probebook.questions.model import Standing
from probebook.workbook.journal import Entry
from probebook.workbook.practice.shelf import Item, evidence

WORTH_TWO = Item("ohms", 2.0, 0.3)


def entry(n: int, marks: float, standing: Standing = Standing.PARTLY, question: str = "q1") -> Entry:
    """One answer."""
    return Entry(n, f"2030-01-01T00:00:0{n}Z", question, {"a": "1"}, standing, marks)


@pytest.mark.parametrize(
    ("marks", "share"), [(0.0, 0.0), (0.5, 0.25), (1.0, 0.5), (1.5, 0.75), (2.0, 1.0), (3.0, 1.0), (-1.0, 0.0)]
)
def test_part_marks_count_as_their_share(marks: float, share: float) -> None:
    """Half a mark of two counts a quarter; never more than all and never less than nothing."""
    ((_, _, _, answer),) = evidence("w", [entry(1, marks)], lambda _: WORTH_TWO, lambda _: frozenset())
    assert answer.share == pytest.approx(share)
    assert answer.first


def test_only_the_first_answer_counts_unless_it_is_dangerous() -> None:
    """A second answer is left out; one that earns nothing by a slip that endangers is kept, and not as a first."""
    later = [entry(1, 1.0), entry(2, 2.0, Standing.RIGHT), entry(3, 0.0, Standing.SLIP), entry(4, 1.0, Standing.SLIP)]
    found = evidence("w", later, lambda _: WORTH_TWO, lambda _: frozenset({"safety"}))
    assert [(n, answer.first, answer.offends) for _, _, n, answer in found] == [
        (1, True, frozenset()),
        (3, False, frozenset({"safety"})),
    ]
    harmless = evidence("w", later, lambda _: WORTH_TWO, lambda _: frozenset())
    assert [n for _, _, n, _ in harmless] == [1]


def test_what_is_not_scored_or_not_known_counts_for_nothing() -> None:
    """A blank is no attempt, so that the next answer is the first; a question nobody knows is left out."""
    given = [entry(1, 0.0, Standing.BLANK), entry(2, 2.0, Standing.RIGHT)]
    assert [n for _, _, n, _ in evidence("w", given, lambda _: WORTH_TWO, lambda _: frozenset())] == [2]
    assert evidence("w", given, lambda _: None, lambda _: frozenset()) == []
