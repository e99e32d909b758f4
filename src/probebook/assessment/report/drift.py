"""Whether a place of a blueprint has become harder or easier from sitting to sitting.

The difficulty of a place is estimated in each sitting from its marks, beyond what the model foretold for the items that
were drawn, and beside the mean of all places: that is the link between sittings whose learners differ (mean linking,
Kolen and Brennan 2014, chapter 6). The difference of two such estimates over its standard error is nearly normal where
nothing moved (Wright and Stone 1979, chapter 5); over all places together the chance of one false alarm is held by the
correction of Holm 1979.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from probebook.assessment.model import Blueprint, MarkedClass
from probebook.assessment.report import classical, rasch
from probebook.assessment.report.analysis import Report, ReportLimits
from probebook.assessment.report.places import grid_of

__all__ = [
    "Drift",
    "History",
    "PlaceLevel",
    "Sitting",
    "drifts",
    "history_of",
    "holm",
    "levels_of",
    "series_of",
    "sitting_of",
]

#: How far (logits) a difficulty may lie from its foretelling before the marks are seen: so far that they decide alone.
LOOSE = 3.0


@dataclass(frozen=True, slots=True)
class PlaceLevel:
    """A place in one sitting: facility (0 to 1), difficulty beside the others (logits) and its standard error."""

    place: str
    facility: float
    level: float
    error: float


@dataclass(frozen=True, slots=True)
class Sitting:
    """What a history keeps of a sitting; nobody's name.

    Attributes
    ----------
    id, series
        Of the set, and of the blueprint as it stood: sittings are compared within a series.
    blueprint, title, sat_on
        Id, title, and the day (ISO 8601).
    learners, passed, mean, alpha
        Papers marked and passed, mean share of the marks (0 to 1), reliability; nan where it cannot be told.
    places
        In order of blueprint.
    """

    id: str
    series: str
    blueprint: str
    title: str
    sat_on: str
    learners: int
    passed: int
    mean: float
    alpha: float
    places: tuple[PlaceLevel, ...]


@dataclass(frozen=True, slots=True)
class Drift:
    """A place now and before: facility, difficulty beside the others (logits) with its error, z, and p by Holm."""

    place: str
    facility_before: float
    facility: float
    before: float
    before_error: float
    level: float
    error: float
    z: float
    p: float
    moved: bool


@dataclass(frozen=True, slots=True)
class History:
    """The sittings of a series up to one of them, the oldest first, and how its places moved."""

    sittings: tuple[Sitting, ...]
    drifts: tuple[Drift, ...]


def series_of(blueprint: Blueprint) -> str:
    """Names a blueprint as it stands: other rows are another series."""
    rows = [
        [row.id, row.outcome, row.kind.value, row.level, row.items, row.appliances, dict(row.options), row.case]
        for row in blueprint.rows
    ]
    told = json.dumps([blueprint.id, blueprint.reader, blueprint.region, rows], sort_keys=True)
    return f"{blueprint.id}-{hashlib.sha256(told.encode()).hexdigest()[:16]}"


def levels_of(marked: MarkedClass, limits: ReportLimits) -> tuple[PlaceLevel, ...]:
    """How hard each place was, from the marks alone; none where there are no two places to hold together."""
    grid = grid_of(marked)
    number = len(grid.places)
    if number < 2:
        return ()
    shares = grid.table("share")
    fit = rasch.fit(shares, grid.table("difficulty"), rasch.Prior(LOOSE, limits.prior_spread, moving=True))
    spread, facility = fit.covariance[:number, :number], classical.facility(shares)
    middle, across = float(fit.difficulties.mean()), spread.mean(axis=0)
    return tuple(
        PlaceLevel(
            place,
            float(facility[at]),
            float(fit.difficulties[at]) - middle,
            math.sqrt(max(float(spread[at, at] - 2 * across[at] + spread.mean()), 0.0)),
        )
        for at, place in enumerate(grid.places)
    )


def sitting_of(marked: MarkedClass, found: Report, limits: ReportLimits, sat_on: str) -> Sitting:
    """What a history keeps of a class that was marked, and of what its report found; ``sat_on`` is ISO 8601."""
    paper, series = found.paper, series_of(marked.blueprint)
    return Sitting(
        marked.set_id, series, marked.blueprint.id, found.title, sat_on, paper.learners, paper.passed, paper.mean,
        paper.alpha, levels_of(marked, limits),
    )  # fmt: skip


def history_of(now: Sitting, sittings: Sequence[Sitting], level: float) -> History:
    """The history of a sitting, from whatever sittings there are; ``level`` is the chance of a false alarm."""
    before = sorted((each for each in sittings if each.series == now.series and _when(each) < _when(now)), key=_when)
    return History((*before, now), drifts(now, before, level))


def _when(sitting: Sitting) -> tuple[str, str]:
    return sitting.sat_on, sitting.id


def drifts(now: Sitting, before: Sequence[Sitting], level: float) -> tuple[Drift, ...]:
    """How each place of a sitting moved against the earlier ones together, weighed by how sure they are."""
    found = []
    for place in now.places:
        earlier = [
            (sitting.learners, each) for sitting in before for each in sitting.places if each.place == place.place
        ]
        if not earlier or not place.error > 0 or not all(each.error > 0 for _, each in earlier):
            continue
        weights = [1 / each.error**2 for _, each in earlier]
        whole = math.fsum(weights)
        mean = math.fsum(weight * each.level for weight, (_, each) in zip(weights, earlier, strict=True)) / whole
        learners = sum(number for number, _ in earlier)
        facility = math.fsum(number * each.facility for number, each in earlier) / learners
        z = (place.level - mean) / math.sqrt(place.error**2 + 1 / whole)
        found.append(
            Drift(
                place.place, facility, place.facility, mean, math.sqrt(1 / whole), place.level, place.error, z,
                math.erfc(abs(z) / math.sqrt(2)), moved=False,
            )
        )  # fmt: skip
    corrected = holm([each.p for each in found])
    return tuple(replace(each, p=p, moved=p < level) for each, p in zip(found, corrected, strict=True))


def holm(likely: Sequence[float]) -> list[float]:
    """Probabilities corrected for their number (Holm 1979), in their order."""
    order = sorted(range(len(likely)), key=lambda at: likely[at])
    found, most = [1.0] * len(likely), 0.0
    for rank, at in enumerate(order):
        most = max(most, min(1.0, (len(likely) - rank) * likely[at]))
        found[at] = most
    return found
