"""The kinds of question and the module that builds each; one entry adds a kind."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module

from probebook.cases.library import Library
from probebook.cases.seeds import stream
from probebook.errors import ScenarioError
from probebook.questions.frame import Ask, Builder, Unfit
from probebook.questions.model import Kind, Question
from probebook.questions.soundness import check_question

__all__ = ["build_question", "builder_of"]

#: Kind → (module, function). Modules load at first use, so that a paper of power questions loads no diagnosis.
_BUILDERS: Mapping[Kind, tuple[str, str]] = {
    kind: (f"probebook.questions.{kind.replace('-', '_')}", f"build_{kind.replace('-', '_')}") for kind in Kind
}

#: Draws tried before a request is given up as impossible.
DRAWS = 60


def builder_of(kind: Kind) -> Builder:
    """The builder of a kind of question."""
    module, name = _BUILDERS[kind]
    builder: Builder = getattr(import_module(module), name)
    return builder


def build_question(ask: Ask, library: Library) -> Question:
    """Build one question, drawing again until the draw is fair.

    Raises
    ------
    ScenarioError
        No fair question was found in :data:`DRAWS` draws: the request cannot be met as it stands.
    """
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
