"""Procedures and situations as data: what orders and stop-or-go questions are made of.

A procedure is a set of steps with what each has to come after, and the pairs that people get the wrong way round; a
situation is a person, a place to decide, and what each choice would lead to. Their texts are templates: those of a
procedure of :class:`ProcedureFacts`, those of a situation of :class:`SituationFacts`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from probebook.questions.marking import implied_pairs
from probebook.regions.facts import RegionFacts
from probebook.words import Noun

__all__ = ["Choice", "Procedure", "ProcedureFacts", "Situation", "SituationFacts", "Step", "WrongPair"]


@dataclass(frozen=True)
class ProcedureFacts(RegionFacts):
    """What the texts of a procedure may speak of: the appliance, as people call it, and the region."""

    appliance: Noun


@dataclass(frozen=True)
class SituationFacts(RegionFacts):
    """What a situation may speak of: the appliance, its supply, readings as a tester displays them, the region."""

    appliance: Noun
    supply: Literal["plug", "fixed"]
    insulation_bad: str
    insulation_good: str
    earth_bad: str
    earth_good: str


@dataclass(frozen=True, slots=True)
class Step:
    """A step; ``after`` are the ids it has to come after, ``keep`` steps are in every question drawn from it."""

    id: str
    text: str
    after: tuple[str, ...] = ()
    keep: bool = False


@dataclass(frozen=True, slots=True)
class WrongPair:
    """Two steps that are got the wrong way round: the slip that shows and what to say of it here."""

    earlier: str
    later: str
    slip: str
    here: str
    critical: bool = False


@dataclass(frozen=True)
class Procedure:
    """Steps, their precedence, and how people go wrong.

    ``asks`` is the question; ``person`` who does it; ``supply`` the kind of supply it is for (``fixed``, ``plug`` or
    ``any``); ``without`` an appliance it is not asked of; ``regions`` those it is true of, all where none is named.
    """

    id: str
    title: str
    asks: str
    person: str
    supply: str
    outcome: str
    competences: tuple[str, ...]
    source: str
    steps: tuple[Step, ...]
    wrong: tuple[WrongPair, ...]
    regions: tuple[str, ...] = ()
    without: str = ""

    @cached_property
    def before(self) -> frozenset[tuple[str, str]]:
        """Every pair (earlier, later) that has to hold, those that follow from others included."""
        return implied_pairs((earlier, step.id) for step in self.steps for earlier in step.after)


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to do next: ``slip`` is empty for the right one; ``here`` says why it is right or wrong.

    ``other`` is another wording of ``text``, shorter or longer.
    """

    text: str
    here: str
    slip: str = ""
    critical: bool = False
    other: str = ""


@dataclass(frozen=True, slots=True)
class Situation:
    """A point at which somebody goes on or stops.

    ``proposed`` is what is about to be done and ``go`` whether it may be; ``slip`` is what the wrong decision shows,
    ``critical`` whether it fails the question; ``because`` is the rule; ``supply``, ``needs`` (a part kind the
    appliance must have, or empty) and ``without`` (an appliance, or none) say which it fits, ``regions`` where it is
    true (everywhere, if empty). ``borrow`` names situations whose right choice is wrong here; ``acts`` is the slip of
    whoever does what is right here where it is not due, empty where that does no harm.
    """

    id: str
    person: str
    text: str
    proposed: str
    go: bool
    slip: str
    because: str
    choices: tuple[Choice, ...]
    outcome: str
    competences: tuple[str, ...]
    source: str
    level: int = 1
    supply: str = "any"
    needs: str = ""
    without: str = ""
    critical: bool = False
    regions: tuple[str, ...] = ()
    borrow: tuple[str, ...] = ()
    acts: str = ""

    @property
    def right(self) -> Choice:
        """The right thing to do next."""
        return next(choice for choice in self.choices if not choice.slip)
