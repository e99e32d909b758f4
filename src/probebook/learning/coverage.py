"""Which competences of the trade the bank of questions covers, counted from the table of competences.

A competence counts only where an item can be failed for lack of it (competences C01 to C44, drawn from published unit
standards; see ``scenarios/competences.toml``). An item can be failed for lack of a competence when

- the item says so itself: whoever lacks it has no way to the key, or
- one of its slips is a lack of it, and takes at least half of its field's marks or fails the item as dangerous.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from probebook.assumptions import Assumed
from probebook.errors import ScenarioError
from probebook.learning.facts import CompetenceShort, OutcomeShort, ShareFacts
from probebook.questions.model import Kind, Question

if TYPE_CHECKING:
    from probebook.cases.library import SlipNote
    from probebook.words import Phrase, Words

__all__ = ["Competence", "Coverage", "Goal", "Share", "coverage", "load_competences", "needed"]


@dataclass(frozen=True)
class Goal(Assumed, table="learning.coverage"):
    """What a bank is to reach, and from where on a slip counts.

    ``items`` are to need a competence, ``kinds`` of question to practise an outcome; a slip that takes the part
    ``failing`` of its field's marks fails the field.
    """

    items: Annotated[int, "1"]
    kinds: Annotated[int, "1"]
    failing: Annotated[float, "1"]


@dataclass(frozen=True, slots=True)
class Competence:
    """A row of the table of competences.

    Attributes
    ----------
    id, text
        ``C15``, and what the repairer can do.
    themes
        One or more; a row is counted under the first.
    screen
        Whether a screen can judge it: ``Y`` yes, ``P`` in part, ``N`` no (hands on an appliance are needed).
    mark
        How the requirement was seen: it starts with ``S`` where at least one standard states it.
    """

    id: str
    text: str
    themes: tuple[str, ...]
    screen: str
    mark: str

    @property
    def theme(self) -> str:
        """The theme it is counted under."""
        return self.themes[0]


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many competences."""

    covered: int
    of: int

    @property
    def percent(self) -> float:
        """Per cent; 0 of none is 0."""
        return 100.0 * self.covered / self.of if self.of else 0.0

    def say(self, words: Words) -> Phrase:
        """``37 of 44 (84 %)``."""
        return words.say(ShareFacts(self.covered, self.of, self.percent), "share")


@dataclass(frozen=True, slots=True)
class Coverage:
    """What a bank covers.

    Attributes
    ----------
    competences
        The table, in its order.
    items
        Competence → ids of the items that can be failed for lack of it.
    kinds
        Outcome → kind → number of questions.
    questions
        Number of questions in the bank.
    goal
        What it is to reach.
    """

    competences: tuple[Competence, ...]
    items: Mapping[str, tuple[str, ...]]
    kinds: Mapping[str, Mapping[Kind, int]]
    questions: int
    goal: Goal

    @classmethod
    def counted(cls, competences: Sequence[Competence], goal: Goal, counts: Mapping[str, Any]) -> Coverage:
        """A bank that was counted before; ``counts`` are those of :meth:`counts`."""
        return cls(
            competences=tuple(competences),
            items={row.id: tuple(counts["items"][row.id]) for row in competences},
            kinds={name: {Kind(kind): count for kind, count in kinds} for name, kinds in counts["kinds"]},
            questions=counts["questions"],
            goal=goal,
        )

    def counts(self) -> dict[str, Any]:
        """What was counted, as plain data."""
        return {
            "items": {competence: list(names) for competence, names in self.items.items()},
            "kinds": [
                [outcome, [[str(kind), count] for kind, count in kinds.items()]]
                for outcome, kinds in self.kinds.items()
            ],
            "questions": self.questions,
        }

    def count(self, competence: str) -> int:
        """Items that can be failed for lack of a competence."""
        return len(self.items.get(competence, ()))

    def share(self, rows: Iterable[Competence], least: int = 1) -> Share:
        """How many of these rows have ``least`` items or more."""
        found = list(rows)
        return Share(sum(self.count(row.id) >= least for row in found), len(found))

    @property
    def on_screen(self) -> tuple[Competence, ...]:
        """The rows that a screen can judge, wholly or in part."""
        return tuple(row for row in self.competences if row.screen != "N")

    @property
    def out_of_scope(self) -> tuple[Competence, ...]:
        """The rows that need hands on an appliance: declared out of scope, never counted as covered."""
        return tuple(row for row in self.competences if row.screen == "N")

    def overall(self, least: int = 1) -> Share:
        """Over the whole table; hands-on rows count as not covered."""
        return Share(self.share(self.on_screen, least).covered, len(self.competences))

    def by_theme(self, least: int = 1) -> dict[str, Share]:
        """Over each theme, in the order of the table; hands-on rows count as not covered."""
        themes: dict[str, list[Competence]] = {}
        for row in self.competences:
            themes.setdefault(row.theme, []).append(row)
        return {
            theme: Share(self.share([row for row in rows if row.screen != "N"], least).covered, len(rows))
            for theme, rows in themes.items()
        }

    def seen(self) -> Share:
        """How many rows at least one standard was seen to state (a mark that starts with ``S``)."""
        return Share(sum(row.mark.startswith("S") for row in self.competences), len(self.competences))

    def short_of_goal(self, words: Words) -> list[Phrase]:
        """What is missing to the goal, one sentence each; empty when it is reached."""
        found = [
            words.say(CompetenceShort(row.id, self.count(row.id), self.goal.items, row.text), "competence")
            for row in self.on_screen
            if self.count(row.id) < self.goal.items
        ]
        found += [
            words.say(OutcomeShort(outcome, len(kinds), self.goal.kinds), "outcome")
            for outcome, kinds in self.kinds.items()
            if len(kinds) < self.goal.kinds
        ]
        return found

    def to_json(self, words: Words) -> dict[str, Any]:
        """All figures as plain data, and what is missing to the goal in sentences."""
        return {
            "questions": self.questions,
            "competences": [
                {
                    "id": row.id,
                    "text": row.text,
                    "theme": row.theme,
                    "screen": row.screen,
                    "items": self.count(row.id),
                    "questions": list(self.items.get(row.id, ())),
                }
                for row in self.competences
            ],
            "covered": {
                str(least): {
                    "all": _plain(self.overall(least)),
                    "screen": _plain(self.share(self.on_screen, least)),
                    "themes": {theme: _plain(share) for theme, share in self.by_theme(least).items()},
                }
                for least in (1, self.goal.items)
            },
            "out_of_scope": [row.id for row in self.out_of_scope],
            "standard_seen": _plain(self.seen()),
            "outcomes": {
                outcome: {str(kind): number for kind, number in kinds.items()} for outcome, kinds in self.kinds.items()
            },
            "short_of_goal": self.short_of_goal(words),
        }


def _plain(share: Share) -> dict[str, float]:
    return {"covered": share.covered, "of": share.of, "percent": round(share.percent, 1)}


def needed(question: Question, slips: Mapping[str, SlipNote], failing: float) -> frozenset[str]:
    """The competences for lack of which a question can be failed.

    Parameters
    ----------
    question
        The question.
    slips
        The slips of the trade, by id.
    failing
        The part of a field's marks that fails it.
    """
    found = set(question.competences)
    for slip in question.slips:
        lost = question.field(slip.field).marks - slip.marks
        if slip.slip in slips and (slip.critical or lost >= failing * question.field(slip.field).marks):
            found.update(slips[slip.slip].competences)
    return frozenset(found)


def coverage(
    bank: Sequence[tuple[str, Question]],
    competences: Sequence[Competence],
    slips: Mapping[str, SlipNote],
    goal: Goal,
    outcomes: Iterable[str] = (),
) -> Coverage:
    """Count a bank against the table.

    Parameters
    ----------
    bank
        Each question with the name it goes by (``03-ohms-and-watts/q07``).
    competences
        The table.
    slips
        The slips of the trade, by id.
    goal
        What it is to reach.
    outcomes
        Outcomes to list even when no question is about them, in this order.
    """
    items: dict[str, list[str]] = {row.id: [] for row in competences}
    kinds: dict[str, dict[Kind, int]] = {outcome: {} for outcome in outcomes}
    for name, question in bank:
        for competence in needed(question, slips, goal.failing):
            if competence in items:
                items[competence].append(name)
        own = kinds.setdefault(question.outcome, {})
        own[question.kind] = own.get(question.kind, 0) + 1
    return Coverage(tuple(competences), {key: tuple(names) for key, names in items.items()}, kinds, len(bank), goal)


@cache
def load_competences(folder: Path, words: Words | None = None) -> tuple[Competence, ...]:
    """Read ``competences.toml`` of a scenarios folder, in the language of ``words`` (English for None).

    Raises
    ------
    ScenarioError
        The file is bad; an id is listed twice.
    """
    from probebook.learning.formats import CompetencesText
    from probebook.scenario_layers import load_joined

    path = folder / "competences.toml"
    found: dict[str, Competence] = {}
    for number, row in enumerate(load_joined(path, CompetencesText, words).competence, start=1):
        where = f"{path.name}: competence[{number}]"
        if row.id in found:
            raise ScenarioError(f"'{row.id}' is listed twice", where=where, remedy="take one of the two out")
        themes = tuple(part.strip() for part in row.theme.split(",")) if isinstance(row.theme, str) else row.theme
        if not themes or not all(themes):
            raise ScenarioError("a theme is empty", where=where, remedy='write theme = "isolation"')
        found[row.id] = Competence(row.id, row.text, themes, row.screen, row.mark)
    return tuple(found.values())
