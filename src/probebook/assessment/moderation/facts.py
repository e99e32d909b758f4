"""What the sentences of moderation are told; the text is ``assessment/moderate.toml`` of the language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.words import Facts, Phrase

MODERATE = "assessment/moderate"


@dataclass(frozen=True)
class PackFacts(Facts, group=f"{MODERATE}/page", says=("title", "whole", "how", "signed-all", "agreement", "disputed")):
    """The title of a blueprint, its papers and distinct items, how many of them are signed."""

    title: Phrase
    papers: int = 0
    items: int = 0
    signed: int = 0


@dataclass(frozen=True)
class RowFacts(Facts, group=f"{MODERATE}/page", says=("row",)):
    """A row of a blueprint: its id, its outcome in words, kind and level."""

    row: str
    outcome: str
    kind: str
    level: int


@dataclass(frozen=True)
class ItemFacts(
    Facts,
    group=f"{MODERATE}/item",
    says=("head", "difficulty", "competences", "proved", "broken", "given", "earned", "unsigned"),
):
    """An item: its name in the pack, its title and marks, difficulty (logits), proof, and what it earned."""

    name: str
    title: Phrase
    marks: float
    difficulty: float
    competences: tuple[str, ...]
    broken: str
    given: int
    share: Annotated[float, "%"]


@dataclass(frozen=True)
class ItemHeads(
    Facts,
    group=f"{MODERATE}/item",
    says=("options", "key", "accepted", "order", "slips", "working", "why", "proof", "about", "signed", "none"),
):
    """Headings under an item."""


@dataclass(frozen=True)
class SlipLine(Facts, group=f"{MODERATE}/item", says=("slip", "critical")):
    """A slip: its name, the answer that shows it, what it earns."""

    slip: str
    answer: str
    marks: float


@dataclass(frozen=True)
class SignedLine(Facts, group=f"{MODERATE}/signed", says=("line", "note")):
    """A verdict on an item: which, whose, on which day, and what was noted."""

    verdict: Literal["agreed", "change", "withdraw"]
    by: str
    on: str
    note: str


@dataclass(frozen=True)
class AgreementFacts(Facts, group=f"{MODERATE}/agreement", says=("none", "pairs", "kappa", "untold")):
    """Pairs of marks, shares of them alike and alike by chance, kappa and the ends of its 95 % interval."""

    pairs: int
    alike: Annotated[float, "%"]
    chance: Annotated[float, "%"]
    kappa: float
    error: float
    low: float
    high: float


@dataclass(frozen=True)
class DisputedHeads(Facts, group=f"{MODERATE}/agreement", says=("learner", "item", "first", "second")):
    """Heads of the table of marks on which two markers differ."""


@dataclass(frozen=True)
class DisputedMark(Facts, group=f"{MODERATE}/agreement", says=("mark",)):
    """A mark, and who gave it."""

    marks: float
    by: str


@dataclass(frozen=True)
class ModeratedFacts(Facts, group=f"{MODERATE}/command", says=("wrote", "sheet", "signed", "broken")):
    """Distinct items, where the pack lies, how many are signed, the items whose key does not hold."""

    items: int
    folder: str
    signed: int
    names: tuple[str, ...]
