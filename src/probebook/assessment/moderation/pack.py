"""What is moderated: each distinct item of a set with its proof, its marks, and what two markers gave by hand."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from probebook.assessment.model import SPARE, Item, MarkedClass, Paper, PaperSet
from probebook.assessment.moderation.agreement import Agreement, agreement
from probebook.assessment.setting.items import name_of_text
from probebook.assessment.setting.proving import prove_item

if TYPE_CHECKING:
    from probebook.assessment.marking.overrides import Override
    from probebook.cases.library import Library

__all__ = ["Compared", "Disputed", "Moderated", "compare", "moderated_items"]

#: Hex digits that name an item in a pack.
NAME = 10


@dataclass(frozen=True, slots=True)
class Moderated:
    """A distinct item: its name in the pack, its competences, what is wrong with its key (empty where nothing is).

    ``given`` is the number of learners who have it, ``earned`` the marks of those who are marked.
    """

    name: str
    item: Item
    competences: tuple[str, ...]
    broken: str
    given: int
    earned: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Disputed:
    """A mark on which two markers differ: whose, of which item, and what each gave."""

    learner: str
    item: str
    one: float
    other: float
    by: str
    by_other: str


@dataclass(frozen=True, slots=True)
class Compared:
    """Two markers: how they agree on none, some and all of the marks, and where their marks differ."""

    found: Agreement
    disputed: tuple[Disputed, ...]


def moderated_items(
    papers: PaperSet, library_of: Callable[[str], Library], marked: MarkedClass | None = None
) -> tuple[Moderated, ...]:
    """The distinct items of a set, row by row, each with its key proved again."""
    rows = {row.id: row for row in papers.blueprint.rows}
    order = {row: at for at, row in enumerate(rows)}
    first: dict[str, tuple[Item, Paper]] = {}
    given: dict[str, list[tuple[str, str]]] = {}
    for paper in papers.papers:
        for item in paper.items:
            name = _name(item)
            first.setdefault(name, (item, paper))
            given.setdefault(name, []).append((paper.id, item.id))
    earned = {
        (paper.paper, item.item): item.marks for paper in (marked.papers if marked else ()) for item in paper.items
    }
    found = [
        Moderated(
            name,
            item,
            rows[item.row].competences or item.question.competences,
            prove_item(item, library_of(paper.learner.language)),
            len(given[name]),
            tuple(earned[each] for each in given[name] if each in earned),
        )
        for name, (item, paper) in first.items()
    ]
    return tuple(sorted(found, key=lambda each: (order[each.item.row], each.name)))


def _name(item: Item) -> str:
    """Names an item by what is read of it, its options and its key, whatever the order of the options."""
    keys = []
    for field in item.question.fields:
        texts = {option.id: option.text for option in field.options}
        answer = [field.answer] if isinstance(field.answer, str) else list(field.answer)
        keys.append([sorted(texts.values()), [texts.get(each, each) for each in answer]])
    told = json.dumps([name_of_text(item), keys, item.question.working], ensure_ascii=False)
    return hashlib.sha256(told.encode()).hexdigest()[:NAME]


def compare(marked: MarkedClass, second: Sequence[Override]) -> Compared:
    """Hold the marks given by hand against those that a second marker gave to the same answers."""
    by_place = {(each.paper, each.item): each for each in second}
    one, other, disputed = [], [], []
    for paper in marked.papers:
        for item in paper.items:
            theirs = by_place.get((paper.paper, item.item))
            if not item.by or theirs is None:
                continue
            one.append(_category(item.marks, item.out_of))
            other.append(_category(theirs.marks, item.out_of))
            if abs(item.marks - theirs.marks) > SPARE:
                disputed.append(Disputed(paper.learner.name, item.item, item.marks, theirs.marks, item.by, theirs.by))
    return Compared(agreement(one, other), tuple(disputed))


def _category(marks: float, out_of: float) -> str:
    if marks <= SPARE:
        return "none"
    return "all" if marks >= out_of - SPARE else "some"
