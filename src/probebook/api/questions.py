"""Cases and questions made from a seed, and answers marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from probebook.api.trade import load_library
from probebook.cases.generate import make_case as draw_case
from probebook.learning.difficulty import rated_question as draw_question
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import Kind

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.cases.model import Case
    from probebook.questions.model import Marked, Question

__all__ = ["build_question", "make_case", "mark_answer"]


def make_case(
    appliance: str, seed: str, level: int = 1, *, truth: Sequence[str] | None = None, library: Library | None = None
) -> Case:
    """Make an invented job with a computed fault, its evidence and its proof.

    Parameters
    ----------
    appliance
        Id of the appliance.
    seed
        Names every draw: the same seed gives the same case.
    level
        1 (a single reading decides), 2 (two or three), 3 (a misleading parallel path, or several positions of the
        controls), 4 (two faults, or the usual cause is not the cause).
    truth
        Ids of the faults it must have; any that fits when None; empty for an appliance with nothing wrong.
    library
        The trade; :func:`probebook.load_library` when None.

    Returns
    -------
    Case
        Job card, evidence, proof, rivals, and the length of a good investigation (minutes).

    Raises
    ------
    UsageError
        There is no such appliance, fault or level.
    ScenarioError
        No draw gave a fair case.

    Examples
    --------
    >>> from probebook import make_case
    >>> make_case("conventional-oven", "guide", 1, truth=["base-open"]).truth
    ('base-open',)
    """
    wanted = None if truth is None else tuple(truth)
    return draw_case(library or load_library(), appliance, seed, level, truth=wanted)


def build_question(
    kind: str | Kind,
    seed: str,
    *,
    appliance: str = "conventional-oven",
    level: int = 1,
    options: Mapping[str, str | float | bool | Sequence[str]] | None = None,
    case: Case | None = None,
    library: Library | None = None,
) -> Question:
    """Build one question with its key, its slips and their advice, its explanation and its rated difficulty.

    Parameters
    ----------
    kind
        A kind of question, such as ``power``.
    seed
        Names every draw: the same seed gives the same question.
    appliance, level
        What it is about (id), and 1 (a single step) to 4.
    options
        What else a plan may say; each kind has its own, listed in ``docs/formats.md``.
    case
        The case that it is about, for the kinds that ask about one; the appliance is then that of the case.
    library
        The trade; :func:`probebook.load_library` when None.

    Returns
    -------
    Question
        Values of quantities are in SI.

    Raises
    ------
    ScenarioError
        No draw gave a fair question: the request cannot be met as it stands.
    ValueError
        There is no such kind.

    Examples
    --------
    >>> from probebook import build_question
    >>> question = build_question("power", "guide", options={"form": "watts"})
    >>> [(field.key, field.unit) for field in question.fields]
    [('watts', 'W')]
    """
    ask = Ask(
        id="q01",
        kind=Kind(kind),
        seed=seed,
        level=level,
        appliance=case.appliance if case else appliance,
        options=options or {},
        case=case,
    )
    return draw_question(ask, library or load_library())


def mark_answer(question: Question, response: Mapping[str, object], library: Library | None = None) -> Marked:
    """Mark a response to a question.

    Parameters
    ----------
    question
        The question.
    response
        By field key: typed text, an option id, a list of option ids, or the log of a bench. Whatever it holds, the
        result is a mark and never an exception.
    library
        In whose language the learner is told; :func:`probebook.load_library` when None.

    Returns
    -------
    Marked
        Marks, how the answer stands, and for each field what the learner reads.

    Examples
    --------
    >>> from probebook import build_question, mark_answer
    >>> question = build_question("power", "guide", options={"form": "watts"})
    >>> marked = mark_answer(question, question.key())
    >>> marked.marks == question.marks, str(marked.standing)
    (True, 'right')
    """
    trade = library or load_library()
    marker = None
    if question.bench:
        from probebook.questions.bench.marking import bench_marker

        marker = bench_marker(question, trade)
    return mark(question, response, trade.words, bench=marker)
