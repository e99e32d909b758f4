"""A class marked: hand-ins read as data, each bad one refused by name and reason, the rest marked."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.marking.facts import Again
from probebook.assessment.marking.judging import Accepted, Judged, handin_files, judge
from probebook.assessment.model import (
    Blueprint,
    Item,
    MarkedClass,
    MarkedItem,
    MarkedPaper,
    Paper,
    PaperSet,
    Refused,
    Safety,
)
from probebook.assessment.sitting.chain import receipt
from probebook.questions.marking import mark
from probebook.questions.model import FieldMark, Marked, Response

if TYPE_CHECKING:
    from probebook.assessment.executor import Executor
    from probebook.assessment.marking.overrides import Override
    from probebook.words import Words

__all__ = ["mark_class", "mark_paper"]

#: Shares are compared with this much to spare, so that 0.6 of 20 is 12.
SPARE = 1e-9


def mark_class(
    folder: Path,
    papers: PaperSet,
    words_of: Callable[[str], Words],
    *,
    most_late: float,
    overrides: Sequence[Override] = (),
    executor: Executor | None = None,
) -> tuple[MarkedClass, dict[str, str]]:
    """Mark the hand-ins of a folder.

    Parameters
    ----------
    folder, papers
        Where the hand-ins lie, and what the sealed key holds.
    words_of
        Gives the words of a language.
    most_late
        How late (minutes) a hand-in may be.
    overrides
        Marks given by hand.
    executor
        What reads the files; all give the same.

    Returns
    -------
    marked
        Papers in the order of the class; refused files in order of name. Of two hand-ins of one paper the earliest
        counts, and the later is told among the refused with what it would have earned.
    codes
        The receipt code of each hand-in that counts, by paper.
    """
    english = words_of("en")
    judged = judge(handin_files(folder), papers, english, most_late, executor)
    refused = [Refused(found.file, found.reason) for found in judged if found.reason]
    known = {paper.id: paper for paper in papers.papers}
    first: dict[str, Judged] = {}
    marked: dict[str, MarkedPaper] = {}
    for found in sorted((each for each in judged if each.accepted), key=_by_time):
        handed = found.accepted
        if handed is None:
            continue
        paper = known[handed.paper]
        paper_marks = mark_paper(paper, handed, papers.blueprint, words_of(paper.learner.language), overrides)
        if paper.id not in first:
            first[paper.id], marked[paper.id] = found, paper_marks
            continue
        told = Again(paper.learner.name, first[paper.id].file, marked[paper.id].marks, paper_marks.marks)
        refused.append(Refused(found.file, english.say(told, "again")))
    codes = {name: receipt(found.accepted.last_hash) for name, found in first.items() if found.accepted}
    made = MarkedClass(
        set_id=papers.id,
        blueprint=papers.blueprint,
        papers=tuple(marked[paper.id] for paper in papers.papers if paper.id in marked),
        refused=tuple(sorted(refused, key=lambda each: each.file)),
        absent=tuple(paper.learner for paper in papers.papers if paper.id not in marked),
    )
    return made, codes


def _by_time(found: Judged) -> tuple[str, str]:
    return (found.accepted.handed_in if found.accepted else "", found.file)


def mark_paper(
    paper: Paper, handed: Accepted, blueprint: Blueprint, words: Words, overrides: Sequence[Override] = ()
) -> MarkedPaper:
    """Mark one paper: items in their order, then whether it passes."""
    by_item = {each.item: each for each in overrides if each.paper == paper.id}
    items = tuple(
        _mark_item(item, blueprint, handed.answers.get(item.id, {}), words, by_item.get(item.id))
        for item in paper.items
    )
    found = MarkedPaper(
        paper=paper.id,
        learner=paper.learner,
        items=items,
        passed=False,
        handed_in=handed.handed_in,
        minutes_late=handed.minutes_late,
        lacking=_lacking(items, blueprint),
    )
    share = found.marks / found.out_of if found.out_of else 0.0
    is_safe = not (found.critical and blueprint.safety is Safety.PAPER)
    passed = share >= blueprint.pass_share - SPARE and is_safe and not found.lacking
    grades = [grade.name for grade in blueprint.grades if share >= grade.share - SPARE]
    return replace(found, passed=passed, grade=grades[0] if passed and grades else "")


def _mark_item(
    item: Item, blueprint: Blueprint, given: Mapping[str, Response], words: Words, override: Override | None
) -> MarkedItem:
    question = item.question
    known = {field.key: given[field.key] for field in question.fields if field.key in given}
    marked: Marked = mark(question, known, words, final=True)
    row = next(row for row in blueprint.rows if row.id == item.row)
    earned = min(round(marked.marks, 2), row.marks)
    return MarkedItem(
        item=item.id,
        row=item.row,
        kind=question.kind,
        outcome=question.outcome,
        level=question.level,
        appliance=item.appliance,
        competences=row.competences or question.competences,
        difficulty=question.difficulty,
        marks=override.marks if override else earned,
        out_of=row.marks,
        standing=marked.standing,
        slips=tuple(part.slip for part in marked.fields if part.slip),
        critical=marked.critical,
        response=known,
        key=question.key(),
        message=_message(marked),
        by=override.by if override else "",
        why=override.why if override else "",
    )


def _message(marked: Marked) -> str:
    """What the learner reads: the sentence of the whole, and of each part where there are several."""
    parts: list[FieldMark] = list(marked.fields)
    if len(parts) < 2:
        return str(marked.message)
    return " ".join(dict.fromkeys([str(marked.message), *(str(part.message) for part in parts)]))


def _lacking(items: Sequence[MarkedItem], blueprint: Blueprint) -> tuple[str, ...]:
    """The competences that had to be shown and were not.

    One is shown where the items that show it earn the share that passes, and none of them holds a dangerous answer.
    """
    lacking = []
    for name in blueprint.must_show:
        shown = [item for item in items if name in item.competences]
        earned, out_of = math.fsum(item.marks for item in shown), math.fsum(item.out_of for item in shown)
        is_safe = not any(item.critical for item in shown)
        if not (shown and is_safe and earned >= blueprint.pass_share * out_of - SPARE):
            lacking.append(name)
    return tuple(lacking)
