"""The papers of a class: drawn from the tutor's secret, equally hard, none asking what another asks."""

from __future__ import annotations

import hashlib
import hmac
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.model import Blueprint, Learner, Paper, PaperSet, Row
from probebook.assessment.setting.items import Drawn, draw_item
from probebook.cases.seeds import stream
from probebook.errors import ScenarioError, VerificationError
from probebook.executor import Executor, Serial
from probebook.questions.model import Kind
from probebook.scenario_folder import here_or_packaged

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["check_blueprint", "draw_name", "set_papers"]

#: Draws of one place in a paper before its row is said to be too narrow for the class.
TRIES = 80
#: Changes of one item for another that are tried to bring a paper into the band.
CHANGES = 150


def draw_name(secret: str, *parts: object) -> str:
    """What a draw is named after: an HMAC of its place, which nobody can compute without the secret (hex)."""
    told = "\x1f".join(str(part) for part in parts)
    return hmac.new(bytes.fromhex(secret), told.encode(), hashlib.sha256).hexdigest()


@dataclass(frozen=True, slots=True)
class _Job:
    """One paper to be drawn: plain data, sent to whoever draws it."""

    blueprint: Blueprint
    learner: Learner
    secret: str
    scenarios: Path
    fingerprint: str
    avoid: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """A place in a paper: its row, its number in the row from 0, the id of its item."""

    row: Row
    number: int
    item: str


def set_papers(
    blueprint: Blueprint,
    learners: Sequence[Learner],
    secret: str,
    library: Library,
    made: str,
    executor: Executor | None = None,
    done: Callable[[], object] | None = None,
) -> PaperSet:
    """Draw a paper for each learner.

    Parameters
    ----------
    blueprint, learners
        What is asked, and who is asked.
    secret
        At least 32 hex digits. The same secret, blueprint, learners and scenarios give the same papers.
    library
        The trade; each paper is drawn in its learner's language and in the region of the blueprint.
    made
        The time of setting (UTC, ISO 8601).
    executor
        What draws the papers; all give the same.
    done
        Called after each paper that was drawn.

    Raises
    ------
    ScenarioError
        The blueprint cannot be met, or not for so many; row and reason are named.
    """
    jobs = [_Job(blueprint, learner, secret, library.folder, library.fingerprint) for learner in learners]
    found = _apart(jobs, executor or Serial(), done)
    set_id = draw_name(secret, "set", blueprint.id, *(learner.id for learner in learners))[:16]
    papers = tuple(
        Paper(
            draw_name(secret, "paper", set_id, learner.id)[:32],
            learner,
            tuple(drawn.item for drawn in found[number]),
        )
        for number, learner in enumerate(learners)
    )
    return PaperSet(set_id, blueprint, papers, made, library.fingerprint, secret)


def _apart(jobs: list[_Job], executor: Executor, done: Callable[[], object] | None) -> dict[int, tuple[Drawn, ...]]:
    """Papers of which no two ask the same: all are drawn together, then later ones give way to earlier ones."""
    papers = executor.map(_draw_paper, jobs, done)
    kept: dict[int, tuple[Drawn, ...]] = {}
    taken: set[str] = set()
    for number, paper in enumerate(papers):
        found = paper
        if any(mark in taken for drawn in paper for mark in _marks_of(drawn)):
            found = _draw_paper(replace(jobs[number], avoid=frozenset(taken)))
        taken.update(mark for drawn in found for mark in _marks_of(drawn))
        kept[number] = found
    return kept


def _marks_of(drawn: Drawn) -> tuple[str, ...]:
    """What no other item of the class may have: its wording, and its case where it has one."""
    return (drawn.text, drawn.case) if drawn.case else (drawn.text,)


def check_blueprint(blueprint: Blueprint, library: Library) -> None:
    """Draw a paper of a blueprint to see that it can be met; ScenarioError names row and reason."""
    learner = Learner("check", "check", language=library.language)
    _draw_paper(_Job(blueprint, learner, "00" * 16, library.folder, library.fingerprint))


# ---------------------------------------------------------------- one paper


def _draw_paper(job: _Job) -> tuple[Drawn, ...]:
    """The items of one paper, each answered with its key before anybody sees it."""
    from probebook.assessment.setting.proving import prove_item
    from probebook.cases.library import library

    trade = library(here_or_packaged(job.scenarios), job.blueprint.region, job.learner.language)
    if trade.fingerprint != job.fingerprint:
        raise ScenarioError("the scenarios changed meanwhile", where=str(job.scenarios), remedy="set the papers again")
    places = _places(job)
    tries = dict.fromkeys(places, 0)
    found: dict[_Place, Drawn] = {}
    for place in places:
        found[place] = _next(place, tries, found, job, trade)
    _into_band(places, tries, found, job, trade)
    for drawn in found.values():
        problem = prove_item(drawn.item, trade)
        if problem:
            raise VerificationError(problem, where=f"{job.blueprint.id}: {drawn.item.row}", remedy="mend the scenarios")
    asked = job.blueprint.asks_service
    return tuple(_with_bench(found[place], trade, asked=asked) for place in places)


def _with_bench(drawn: Drawn, trade: Library, *, asked: bool) -> Drawn:
    """The item with its bench as the paper carries it; only items that are asked are worth working one out for."""
    if not drawn.item.question.bench:
        return drawn
    from probebook.assessment.setting.benches import asked_text, bench_text

    text = asked_text(drawn.item, trade) if asked else bench_text(drawn.item, trade)
    return replace(drawn, item=replace(drawn.item, bench=text))


def _places(job: _Job) -> tuple[_Place, ...]:
    """The places of a paper as its learner meets them.

    Rows that come first, then the others, each lot in an order drawn from the secret; or as the blueprint writes them.
    """
    rows = [(row, number) for row in job.blueprint.rows for number in range(row.items)]
    if job.blueprint.mixed:
        stream("assessment", job.secret, job.learner.id, "order").shuffle(rows)
        rows.sort(key=lambda place: not place[0].first)
    return tuple(_Place(row, number, f"q{at:02d}") for at, (row, number) in enumerate(rows, start=1))


def _next(place: _Place, tries: dict[_Place, int], found: dict[_Place, Drawn], job: _Job, trade: Library) -> Drawn:
    """The next item for a place that asks nothing that is asked elsewhere."""
    seen = set(job.avoid).union(*(_marks_of(drawn) for other, drawn in found.items() if other is not place))
    for _ in range(TRIES):
        name = draw_name(job.secret, job.blueprint.id, job.learner.id, place.row.id, place.number, tries[place])
        tries[place] += 1
        try:
            drawn = draw_item(place.row, place.item, name, trade)
        except ScenarioError as error:
            number = job.blueprint.rows.index(place.row) + 1
            raise ScenarioError(
                f"row '{place.row.id}' cannot be met: {error.message}",
                where=f"{job.blueprint.id}.toml: row[{number}]",
                remedy=error.remedy,
            ) from None
        if seen.isdisjoint(_marks_of(drawn)):
            return drawn
    number = job.blueprint.rows.index(place.row) + 1
    raise ScenarioError(
        f"row '{place.row.id}' has too few different questions for so many learners",
        where=f"{job.blueprint.id}.toml: row[{number}]",
        remedy="widen its appliances or options, or set a smaller class",
    )


def _into_band(
    places: Sequence[_Place], tries: dict[_Place, int], found: dict[_Place, Drawn], job: _Job, trade: Library
) -> None:
    """Change one item after the other until the mean difficulty lies in the band."""
    low, high = job.blueprint.band
    rng = stream("assessment", job.secret, job.learner.id, "band")
    # A bench takes as long to draw as many other questions: it stays where anything else can give way.
    places = [place for place in places if place.row.kind is not Kind.BENCH] or places
    for _ in range(CHANGES):
        mean = _mean(found)
        if low <= mean <= high:
            return
        place = places[rng.randrange(len(places))]
        other = _next(place, tries, found, job, trade)
        step = other.item.question.difficulty - found[place].item.question.difficulty
        if (step > 0) == (mean < low) and step:
            found[place] = other
    mean = _mean(found)
    if not low <= mean <= high:
        raise ScenarioError(
            f"no paper of these rows is between {low:g} and {high:g} logits hard; the nearest was {mean:.2f}",
            where=f"{job.blueprint.id}.toml: band",
            remedy="move the band, or change the levels of rows",
        )


def _mean(found: dict[_Place, Drawn]) -> float:
    return math.fsum(drawn.item.question.difficulty for drawn in found.values()) / len(found)
