"""The text formats of ``competences.toml`` and ``practice.toml``. Loads pydantic; readers import it when needed."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from probebook.textfiles import Prose, StrictModel

#: Published caps for fitting the model (tongyuzhou.com/bkt-static): above them an answer says too little.
HIGHEST_GUESS, HIGHEST_SLIP = 0.3, 0.1


class CompetenceText(StrictModel):
    """``[[competence]]``: something a repairer can do.

    ``text`` says what; ``theme`` one or several (the first counts); ``screen`` whether a screen can judge it (``Y``
    yes, ``P`` in part, ``N`` no); ``mark`` how the requirement was seen (``S`` first where a standard states it).
    """

    id: str
    text: Prose
    theme: str | tuple[str, ...]
    screen: Literal["Y", "P", "N"]
    mark: str


class CompetencesText(StrictModel):
    """``competences.toml``: the competences of the trade, in order."""

    competence: tuple[CompetenceText, ...]


class TracingText(StrictModel):
    """``[tracing]``: knowledge tracing, as probabilities.

    ``prior``: known before the first question; ``learn``: learnt in answering one; ``guess``: right without knowing;
    ``slip``: wrong in spite of knowing.
    """

    prior: float = Field(gt=0, lt=1)
    learn: float = Field(ge=0, lt=1)
    guess: float = Field(gt=0, le=HIGHEST_GUESS)
    slip: float = Field(gt=0, le=HIGHEST_SLIP)


class AbilityText(StrictModel):
    """``[ability]``: the steps of the rating: first step ``a``, damping ``b``, an outcome's share ``own``."""

    a: float = Field(gt=0)
    b: float = Field(ge=0)
    own: float = Field(ge=0, le=1)


class OutcomeRulesText(StrictModel):
    """``[[outcome]]``: how one outcome is practised.

    ``after`` names what has to be ready first; ``safety`` outcomes are lost by one dangerous answer; ``competences``
    are those whose dangerous neglect counts against it in any question; ``tracing`` replaces the general one.
    """

    id: str
    after: tuple[str, ...] = ()
    safety: bool = False
    competences: tuple[str, ...] = ()
    tracing: TracingText | None = None


class PracticeText(StrictModel):
    """``practice.toml``: how practice is chosen.

    Probabilities of knowing an outcome: ``goal`` counts as mastered, ``ceiling`` is never passed, ``ready`` opens what
    comes after. ``success`` is the share of right answers aimed at, ``as_good`` how much
    farther from it is as good, ``unusual`` how often something else is chosen, ``recovery``
    the faultless questions in a row that make a dangerous answer good.
    """

    goal: float = Field(gt=0, lt=1)
    ceiling: float = Field(gt=0, lt=1)
    ready: float = Field(gt=0, lt=1)
    success: float = Field(gt=0, lt=1)
    as_good: float = Field(ge=0, lt=1)
    unusual: float = Field(ge=0, le=1)
    recovery: int = Field(ge=1)
    tracing: TracingText
    ability: AbilityText
    outcome: tuple[OutcomeRulesText, ...]
