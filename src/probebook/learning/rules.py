"""The rules by which practice is chosen, from ``scenarios/practice.toml``: thresholds, parameters, prerequisites."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError

if TYPE_CHECKING:
    from probebook.learning.formats import TracingText

__all__ = ["Course", "OutcomeRules", "Tracing", "load_course"]


@dataclass(frozen=True, slots=True)
class Tracing:
    """The four parameters of knowledge tracing, each a probability.

    ``prior``: known before the first question; ``learn``: learnt in answering one; ``guess``: right without knowing;
    ``slip``: wrong in spite of knowing.
    """

    prior: float
    learn: float
    guess: float
    slip: float


@dataclass(frozen=True, slots=True)
class OutcomeRules:
    """How one outcome is traced: its parameters, what has to be ready first, whether it is a safety outcome.

    ``competences`` (C01 to C44) name those whose dangerous neglect counts against it in any question.
    """

    id: str
    tracing: Tracing
    after: tuple[str, ...] = ()
    safety: bool = False
    competences: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Course:
    """What ``scenarios/practice.toml`` says: thresholds, shares, the steps of the rating, and the outcomes in order."""

    goal: float
    ceiling: float
    ready: float
    success: float
    as_good: float
    unusual: float
    recovery: int
    tracing: Tracing
    step: float
    damping: float
    own: float
    outcomes: Mapping[str, OutcomeRules]

    def rules(self, outcome: str) -> OutcomeRules:
        """The rules of an outcome; the general ones for one that the file does not name."""
        return self.outcomes.get(outcome) or OutcomeRules(outcome, self.tracing)

    def offended(self, outcome: str, competences: Iterable[str]) -> frozenset[str]:
        """The outcomes that a dangerous answer counts against: the question's own, and safety outcomes it neglects."""
        neglected = frozenset(competences)
        also = (rules.id for rules in self.outcomes.values() if rules.safety and rules.competences & neglected)
        return frozenset({outcome, *also})


@cache
def load_course(folder: Path) -> Course:
    """Read ``practice.toml`` of a scenarios folder.

    Raises
    ------
    ScenarioError
        A figure is out of its bounds, or outcomes wait for each other in a circle.
    """
    from probebook.learning.formats import PracticeText
    from probebook.scenario_layers import load_joined

    path = folder / "practice.toml"
    text = load_joined(path, PracticeText)
    if text.ceiling < text.goal:
        raise ScenarioError(
            "the ceiling is below the goal, so nothing could be mastered",
            where=f"{path.name}: ceiling",
            remedy="make it higher than the goal",
        )
    general = _tracing(text.tracing)
    outcomes: dict[str, OutcomeRules] = {}
    for number, row in enumerate(text.outcome, start=1):
        if row.id in outcomes:
            raise ScenarioError(
                f"the outcome '{row.id}' is listed twice",
                where=f"{path.name}: outcome[{number}].id",
                remedy="take one of the two out",
            )
        own = _tracing(row.tracing) if row.tracing else general
        outcomes[row.id] = OutcomeRules(row.id, own, row.after, row.safety, frozenset(row.competences))
    _check_order(outcomes, path.name)
    return Course(
        text.goal,
        text.ceiling,
        text.ready,
        text.success,
        text.as_good,
        text.unusual,
        text.recovery,
        general,
        text.ability.a,
        text.ability.b,
        text.ability.own,
        outcomes,
    )


def _tracing(text: TracingText) -> Tracing:
    return Tracing(text.prior, text.learn, text.guess, text.slip)


def _check_order(outcomes: Mapping[str, OutcomeRules], name: str) -> None:
    for rules in outcomes.values():
        for earlier in rules.after:
            if earlier not in outcomes:
                raise ScenarioError(
                    f"'{rules.id}' comes after '{earlier}', which is not listed",
                    where=f"{name}: outcome",
                    remedy="list it or mend its name",
                )
    left = dict(outcomes)
    while left:
        free = [rules.id for rules in left.values() if not any(earlier in left for earlier in rules.after)]
        if not free:
            raise ScenarioError(
                f"the outcomes {', '.join(sorted(left))} wait for each other",
                where=f"{name}: outcome",
                remedy="take one 'after' out of the circle",
            )
        for done in free:
            del left[done]
