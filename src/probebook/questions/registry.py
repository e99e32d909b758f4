"""The kinds of question and the folder that builds each; a folder adds a kind."""

from __future__ import annotations

from importlib import import_module

from probebook.cases.library import Library
from probebook.cases.seeds import stream
from probebook.errors import ScenarioError
from probebook.questions.checks import check_question
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.model import Kind, Question
from probebook.questions.options.named import check_options, options_of

__all__ = ["build_question", "builder_of", "options_of"]

#: Draws tried before a request is given up as impossible.
DRAWS = 60

#: Kinds whose sums and sentences know three lines. Any other, a tutor's own too, may reckon with one voltage, or call
#: three pairs a whole test for dead.
THREE_LINES = ("bench", "fault", "next-test", "record")


def _refuse_lines(ask: Ask, library: Library) -> None:
    """Refuse a question about a three-phase appliance unless its kind is known to handle three lines."""
    if ask.kind not in THREE_LINES and ask.appliance and library.appliance(ask.appliance).other_lines:
        raise ScenarioError(
            f"a {ask.kind} question knows one line and neutral, and {ask.appliance} has three lines",
            where=f"question {ask.id}",
            remedy=f"ask it of an appliance of one phase, or ask another kind: {', '.join(THREE_LINES)}",
        )


def builder_of(kind: Kind) -> Builder:
    """The builder of a kind of question; its module loads now, so that a power question loads no diagnosis."""
    name = kind.replace("-", "_")
    builder: Builder = getattr(import_module(f"probebook.questions.{name}.build"), f"build_{name}")
    return builder


def build_question(ask: Ask, library: Library) -> Question:
    """Build one question, drawing again until the draw is fair; how hard it is has still to be weighed.

    Raises
    ------
    ScenarioError
        An option names what there is not, or no fair question was found in :data:`DRAWS` draws: the request cannot be
        met as it stands.
    UsageError
        There is no such appliance.
    """
    check_options(ask, library)
    _refuse_lines(ask, library)
    build = builder_of(ask.kind)
    reason = ""
    for draw in range(DRAWS):
        try:
            question = build(ask, library, stream(ask.seed, ask.id, ask.kind, draw))
        except Unfit as unfit:
            reason = str(unfit)
            continue
        check_question(question)
        return question
    raise ScenarioError(
        f"no fair {ask.kind} question was found in {DRAWS} draws ({reason})",
        where=f"question {ask.id}",
        remedy="change its options, level or appliance",
    )
