"""The marks of a class turned into figures. The unit is a place in the blueprint: each learner's item of it differs."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from probebook.assessment.model import MarkedClass, MarkedPaper
from probebook.assessment.report import classical, consistency, rasch
from probebook.assessment.report.choices import AnswerFigures, answers
from probebook.assessment.report.places import Grid, grid_of
from probebook.assumptions import Assumed

__all__ = ["Danger", "ItemFigures", "LearnerFigures", "PaperFigures", "Report", "ReportLimits", "analyse"]

#: Why an item is looked at again; empty where it is not.
Look = Literal["", "turned", "hard", "easy", "weak"]


@dataclass(frozen=True)
class ReportLimits(Assumed, table="assessment.report"):
    """From where on the marks of a class say something.

    ``prior_items`` and ``prior_spread`` (logits) are what is thought before the marks are seen. An item is looked at
    again where it tells less than ``weak``, or is got right by a share below ``hard`` or above ``easy``. Fewer learners
    than ``few`` say nothing of an item, fewer than ``few_for_cut`` of a pass mark; below the share ``help`` of the
    marks of an outcome a learner needs help. ``drift`` is the chance that a place is said to have
    moved though none did.
    """

    prior_items: Annotated[float, "1"]
    prior_spread: Annotated[float, "1"]
    weak: Annotated[float, "1"]
    hard: Annotated[float, "1"]
    easy: Annotated[float, "1"]
    few: Annotated[int, "1"]
    few_for_cut: Annotated[int, "1"]
    help: Annotated[float, "1"]
    drift: Annotated[float, "1"]


@dataclass(frozen=True, slots=True)
class ItemFigures:
    """What a class's marks say of one place of the blueprint; nan where nothing can be told.

    ``low`` and ``high`` are the ends of a 95 % interval of the facility; ``foretold`` and ``estimated`` difficulties in
    logits, ``error`` the standard error of the latter; ``look`` why it is to be looked at again, empty where not.
    """

    place: str
    outcome: str
    kind: str
    learners: int
    facility: float
    low: float
    high: float
    discrimination: float
    upper_lower: float
    foretold: float
    estimated: float
    error: float
    look: Look
    slips: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class LearnerFigures:
    """A learner's marks, the mean difficulty of the paper (logits), and the outcomes help is needed with."""

    id: str
    name: str
    marks: float
    out_of: float
    passed: bool
    difficulty: float
    help: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Danger:
    """A safety mistake: who made it, where, and which slips it held."""

    learner: str
    name: str
    place: str
    slips: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PaperFigures:
    """The whole: mean share of the marks, alpha with its interval, standard error (marks), how surely it decides.

    ``equality`` is the correlation of how hard a paper was with its mark; near nought where papers were alike.
    ``is_small``: too few learners to say anything of a pass mark.
    """

    learners: int
    is_small: bool
    mean: float
    passed: int
    alpha: float
    low: float
    high: float
    kr20: float
    error: float
    decisions: consistency.Consistency | None
    equality: float
    model: float


@dataclass(frozen=True, slots=True)
class Report:
    """All of it; ``outcomes`` are (id, share of the marks, number of learners who need help), the weakest first."""

    set_id: str
    title: str
    paper: PaperFigures
    items: tuple[ItemFigures, ...]
    learners: tuple[LearnerFigures, ...]
    dangers: tuple[Danger, ...]
    outcomes: tuple[tuple[str, float, int], ...]
    slips: tuple[tuple[str, int], ...]
    answers: tuple[AnswerFigures, ...] = ()


def analyse(marked: MarkedClass, limits: ReportLimits) -> Report:
    """Work out a report. A class of nobody gives one in which nothing can be told."""
    grid = grid_of(marked)
    papers = list(grid.papers)
    learners = tuple(_learner(paper, limits.help) for paper in papers)
    shares = grid.table("share")
    items = _items(grid, shares, limits)
    dangers = tuple(
        Danger(paper.learner.id, paper.learner.name, place, item.slips)
        for paper, row in zip(papers, grid.rows, strict=True)
        for place, item in row.items()
        if item.critical
    )
    return Report(
        marked.set_id,
        marked.blueprint.title,
        _paper(
            papers,
            learners,
            shares,
            grid.table("marks"),
            (marked.blueprint.pass_share, items),
            limits.few_for_cut,
        ),
        items,
        learners,
        dangers,
        _outcomes(papers, limits.help),
        tuple(Counter(slip for paper in papers for item in paper.items for slip in item.slips).most_common()),
        answers(grid),
    )


def _items(grid: Grid, shares: classical.Table, limits: ReportLimits) -> tuple[ItemFigures, ...]:
    if not grid.places:
        return ()
    offsets = grid.table("difficulty")
    worth = np.array([max(item.out_of for _, item in grid.items(place)) for place in grid.places])
    facility = classical.facility(shares)
    tells = classical.discrimination(shares, worth)
    groups = classical.upper_lower(shares, worth)
    foretold = np.nanmean(offsets, axis=0)
    fit = rasch.fit(shares, offsets, rasch.Prior(limits.prior_items, limits.prior_spread, moving=True))
    found = []
    for column, place in enumerate(grid.places):
        items = [item for _, item in grid.items(place)]
        number = len(items)
        low, high = classical.wilson(float(facility[column]), number)
        found.append(
            ItemFigures(
                place, items[0].outcome, items[0].kind.value, number, float(facility[column]), low, high,
                float(tells[column]), float(groups[column]), float(foretold[column]),
                float(foretold[column] + fit.difficulties[column]), float(fit.errors[column]),
                _look(number, float(facility[column]), float(tells[column]), limits),
                tuple(Counter(slip for item in items for slip in item.slips).most_common()),
            )
        )  # fmt: skip
    return tuple(found)


def _look(number: int, facility: float, tells: float, limits: ReportLimits) -> Look:
    if number < limits.few:
        return ""
    if tells < 0:
        return "turned"
    if facility < limits.hard:
        return "hard"
    if facility > limits.easy:
        return "easy"
    return "weak" if tells < limits.weak else ""


def _learner(paper: MarkedPaper, least: float) -> LearnerFigures:
    difficulty = math.fsum(item.difficulty for item in paper.items) / len(paper.items)
    weak = tuple(outcome for outcome, share in _shares([paper]).items() if share < least)
    return LearnerFigures(
        paper.learner.id, paper.learner.name, paper.marks, paper.out_of, paper.passed, difficulty, weak
    )


def _shares(papers: list[MarkedPaper]) -> dict[str, float]:
    """The share of the marks of each outcome."""
    got, of = Counter[str](), Counter[str]()
    for paper in papers:
        for item in paper.items:
            got[item.outcome] += item.marks  # type: ignore[assignment]
            of[item.outcome] += item.out_of  # type: ignore[assignment]
    return {outcome: got[outcome] / whole for outcome, whole in of.items() if whole}


def _outcomes(papers: list[MarkedPaper], least: float) -> tuple[tuple[str, float, int], ...]:
    each = [_shares([paper]) for paper in papers]
    rows = [
        (outcome, share, sum(shares.get(outcome, 1.0) < least for shares in each))
        for outcome, share in _shares(papers).items()
    ]
    return tuple(sorted(rows, key=lambda row: (row[1], row[0])))


def _paper(
    papers: list[MarkedPaper],
    learners: tuple[LearnerFigures, ...],
    shares: classical.Table,
    marks: classical.Table,
    known: tuple[float, tuple[ItemFigures, ...]],
    few: int,
) -> PaperFigures:
    cut, items = known
    number = len(papers)
    whole = number > 1 and not np.isnan(marks).any()
    alpha = classical.alpha(marks) if whole else math.nan
    right = (shares >= 1 - 1e-9).astype(float)
    totals = np.array([each.marks / each.out_of for each in learners if each.out_of])
    behind = consistency.estimate(totals, alpha) if number >= few else None
    decisions = None
    if behind is not None and 0 < cut < 1:
        decisions = consistency.classify(behind, consistency.passing_count(behind.trials, cut), cut)
    low, high = classical.alpha_interval(alpha, number, marks.shape[1])
    hard = np.array([each.difficulty for each in learners if each.out_of])
    return PaperFigures(
        number, number < few, float(totals.mean()) if len(totals) else math.nan,
        sum(each.passed for each in learners), alpha, low, high,
        classical.kr20(right) if whole else math.nan, classical.standard_error(marks, alpha), decisions,
        classical.correlation(hard, totals),
        classical.correlation(np.array([i.foretold for i in items]), np.array([-i.facility for i in items])),
    )  # fmt: skip
