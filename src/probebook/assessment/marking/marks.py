"""A class marked: hand-ins read as data, each bad one refused by name and reason, the rest marked."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.marking.facts import Again, GivenFacts, SheetLine
from probebook.assessment.marking.judging import Accepted, Judged, handin_files, judge
from probebook.assessment.marking.sheets import read_sheets
from probebook.assessment.model import (
    SPARE,
    Blueprint,
    Item,
    MarkedClass,
    MarkedItem,
    MarkedPaper,
    MarkedPart,
    Paper,
    PaperSet,
    Refused,
    Safety,
)
from probebook.assessment.sitting.chain import receipt
from probebook.questions.marking import mark
from probebook.questions.model import Field, FieldKind, FieldMark, Marked, Response, Standing
from probebook.workbook.markup import plain

if TYPE_CHECKING:
    from probebook.assessment.marking.benches import Benches
    from probebook.assessment.marking.overrides import Override
    from probebook.assessment.marking.sheets import GivenMark, TypedIn
    from probebook.executor import Executor
    from probebook.questions.marking import BenchMarker
    from probebook.words import Words

__all__ = ["mark_class", "mark_paper"]

#: Fields of which a report says what was chosen.
OF_OPTIONS = frozenset({FieldKind.CHOICE, FieldKind.CHOICES})
#: So many letters of an option say which it was.
LONGEST_CHOICE = 120


def mark_class(
    folder: Path | None,
    papers: PaperSet,
    words_of: Callable[[str], Words],
    *,
    most_late: float,
    overrides: Sequence[Override] = (),
    sheets: Sequence[Path] = (),
    executor: Executor | None = None,
    benches: Benches | None = None,
) -> tuple[MarkedClass, dict[str, str]]:
    """Mark the hand-ins of a folder, and what was typed in from paper.

    Parameters
    ----------
    folder, papers
        Where the hand-ins lie (nowhere where None), and what the sealed key holds.
    words_of, most_late
        Gives the words of a language; how late (minutes) a hand-in may be.
    overrides, sheets
        Marks given by hand; tables of answers typed in from paper. A hand-in counts before what was typed in.
    executor
        What reads the files; all give the same.
    benches
        Does jobs on benches again; without it an item with a bench is unreadable.

    Returns
    -------
    marked
        Papers in the order of the class; refused files by name, then lines of tables. Of two hand-ins of one paper the
        earliest counts, and the later is told among the refused with what it would have earned.
    codes
        The receipt code of each hand-in that counts, by paper.
    """
    english, files = words_of("en"), handin_files(folder) if folder else []
    judged = judge(files, papers, english, most_late, executor)
    refused = [Refused(found.file, found.reason) for found in judged if found.reason]
    known = {paper.id: paper for paper in papers.papers}
    first, marked = dict[str, Judged](), dict[str, MarkedPaper]()
    for found in sorted((each for each in judged if each.accepted), key=_by_time):
        if (handed := found.accepted) is None:
            continue
        paper = known[handed.paper]
        words = words_of(paper.learner.language)
        paper_marks = mark_paper(paper, handed, papers.blueprint, words, overrides, benches=benches)
        if paper.id not in first:
            first[paper.id], marked[paper.id] = found, paper_marks
            continue
        told = Again(paper.learner.name, first[paper.id].file, marked[paper.id].marks, paper_marks.marks)
        refused.append(Refused(found.file, english.say(told, "again")))
    lines = _mark_typed(sheets, papers, words_of, overrides, marked)
    codes = {name: receipt(found.accepted.last_hash) for name, found in first.items() if found.accepted}
    made = MarkedClass(
        set_id=papers.id,
        blueprint=papers.blueprint,
        papers=tuple(marked[paper.id] for paper in papers.papers if paper.id in marked),
        refused=(*sorted(refused, key=lambda each: each.file), *lines),
        absent=tuple(paper.learner for paper in papers.papers if paper.id not in marked),
    )
    return made, codes


def _mark_typed(
    sheets: Sequence[Path],
    papers: PaperSet,
    words_of: Callable[[str], Words],
    overrides: Sequence[Override],
    marked: dict[str, MarkedPaper],
) -> list[Refused]:
    """Mark what was typed in of papers that are not marked yet, into ``marked``; the lines that were not taken."""
    english, known = words_of("en"), {paper.id: paper for paper in papers.papers}
    typed, lines = read_sheets(sheets, papers, english)
    for name, sheet in typed.items():
        paper = known[name]
        if name in marked:
            lines.append(Refused(sheet.file, english.say(SheetLine(whole=paper.learner.name), "handed-in")))
            continue
        words = words_of(paper.learner.language)
        handed = Accepted(name, sheet.answers, "", 0.0, "")
        marked[name] = mark_paper(paper, handed, papers.blueprint, words, overrides, sheet)
    return lines


def _by_time(found: Judged) -> tuple[str, str]:
    return (found.accepted.handed_in if found.accepted else "", found.file)


def mark_paper(
    paper: Paper,
    handed: Accepted,
    blueprint: Blueprint,
    words: Words,
    overrides: Sequence[Override] = (),
    typed: TypedIn | None = None,
    benches: Benches | None = None,
) -> MarkedPaper:
    """Mark one paper: items in their order, then whether it passes; ``typed`` where it was typed in from paper."""
    by_item = {each.item: each for each in overrides if each.paper == paper.id}
    items = tuple(
        _mark_item(
            item,
            blueprint,
            handed.answers.get(item.id, {}),
            words,
            by_item.get(item.id),
            benches.marker(item.question, paper.learner.language) if benches else None,
        )
        for item in paper.items
    )
    if typed is not None:
        items = tuple(_with_given(item, typed, words) for item in items)
    found = MarkedPaper(
        paper=paper.id,
        learner=paper.learner,
        items=items,
        passed=False,
        handed_in=handed.handed_in,
        minutes_late=handed.minutes_late,
        lacking=_lacking(items, blueprint),
        typed=typed is not None,
    )
    share = found.marks / found.out_of if found.out_of else 0.0
    is_safe = not (found.critical and blueprint.safety is Safety.PAPER)
    passed = share >= blueprint.pass_share - SPARE and is_safe and not found.lacking
    grades = [grade.name for grade in blueprint.grades if share >= grade.share - SPARE]
    return replace(found, passed=passed, grade=grades[0] if passed and grades else "")


def _mark_item(
    item: Item,
    blueprint: Blueprint,
    given: Mapping[str, Response],
    words: Words,
    override: Override | None,
    bench: BenchMarker | None = None,
) -> MarkedItem:
    question = item.question
    known = {field.key: given[field.key] for field in question.fields if field.key in given}
    marked: Marked = mark(question, known, words, final=True, bench=bench)
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
        parts=tuple(
            _part(field, part, known.get(field.key, ""))
            for field, part in zip(question.fields, marked.fields, strict=True)
        ),
        message=_message(marked),
        by=override.by if override else "",
        why=override.why if override else "",
    )


def _part(field: Field, part: FieldMark, given: Response) -> MarkedPart:
    texts = {option.id: plain(option.text)[:LONGEST_CHOICE] for option in field.options}
    chosen = [given] if isinstance(given, str) else list(given)
    told = tuple(texts[each] for each in chosen if each in texts) if field.kind in OF_OPTIONS else ()
    return MarkedPart(field.key, plain(field.label), part.standing, part.marks, part.slip, told)


def _with_given(item: MarkedItem, typed: TypedIn, words: Words) -> MarkedItem:
    """The item with the marks that somebody gave its fields on paper; an override and a dangerous answer stand."""
    given = {field: mark for (name, field), mark in typed.given.items() if name == item.item}
    if not given or item.by or item.critical:
        return item
    parts = tuple(_given_part(part, given.get(part.field)) for part in item.parts)
    marks = min(round(math.fsum(part.marks for part in parts), 2), item.out_of)
    return replace(
        item,
        marks=marks,
        parts=parts,
        standing=_standing(marks, item.out_of),
        message="" if len(given) == len(parts) else item.message,
        by=", ".join(dict.fromkeys(mark.by for mark in given.values())),
        why=words.say(GivenFacts(), "given"),
    )


def _given_part(part: MarkedPart, mark: GivenMark | None) -> MarkedPart:
    return part if mark is None else replace(part, marks=mark.marks, standing=_standing(mark.marks, mark.out_of))


def _standing(marks: float, out_of: float) -> Standing:
    if marks >= out_of - SPARE:
        return Standing.RIGHT
    return Standing.PARTLY if marks > 0 else Standing.WRONG


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
