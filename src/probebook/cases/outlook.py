"""What each trial would show under each hypothesis, coarsely enough to choose among hundreds of trials at once.

For every trial the hypotheses fall into classes that the instrument can tell apart. The expected information of a
trial is then the entropy of its classes (Shannon), and what a trial says of a hypothesis is a normal density in ln ohms
with a small share of outliers. This only steers which readings are taken; what they prove is worked out by
:mod:`probebook.diagnosis`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, BranchKind, PartKind, State
from probebook.appliances.probing import probe_ohms
from probebook.diagnosis.evidence import COMPLAINT_HOLDS, RUN_HOLDS
from probebook.diagnosis.hypotheses import Same, hypotheses
from probebook.diagnosis.proving import proving_trials
from probebook.diagnosis.response import response
from probebook.diagnosis.symptoms import WAYS, Symptoms, symptom_table
from probebook.diagnosis.trials import Trial, TrialKind, reading, run, trials
from probebook.meters import Function, Meter

__all__ = ["GOOD_INSULATION", "Outlook", "SymptomRows", "is_earth", "load_between", "outlook", "symptom_rows"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Ohms below which a reading says 'connected' and nothing finer, by function.
NEAR_NOUGHT = {Function.OHMS: 0.5, Function.CONTINUITY: 0.1, Function.INSULATION: 1e4}
#: Insulation from here up counts as good and tells nothing more, ohms: nobody is to find an open part by it.
GOOD_INSULATION = 5e6
#: Share of readings that say nothing.
OUTLIERS = 1e-4
#: Two hypotheses are told apart by a trial when they lie this many joint standard deviations apart.
APART = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class SymptomRows:
    """All symptoms of all hypotheses as numbers: a column for each (position, subject), a code for each way."""

    columns: dict[tuple[str, str], int]
    codes: dict[str, int]
    table: IntArray

    def log_likelihood(self, reported: Symptoms, holds: float) -> FloatArray:
        """Ln p(reported | hypothesis), as :func:`probebook.diagnosis.evidence.symptom_log_likelihood` has it."""
        found = np.zeros(len(self.table))
        for symptom in reported:
            column = self.columns.get((symptom.position, symptom.subject))
            same = np.zeros(len(self.table), dtype=np.bool_)
            if column is not None and symptom.how in self.codes:
                same = self.table[:, column] == self.codes[symptom.how]
            found += np.where(same, math.log(holds), math.log((1.0 - holds) / (WAYS - 1)))
        return found

    def complaint(self, reported: Symptoms) -> FloatArray:
        """Ln p(complaint | hypothesis)."""
        return self.log_likelihood(reported, COMPLAINT_HOLDS)

    def ran(self, reported: Symptoms) -> FloatArray:
        """Ln p(what a functional run showed | hypothesis)."""
        return self.log_likelihood(reported, RUN_HOLDS)


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """The trials on an appliance with the instruments at hand, and what each would show.

    Attributes
    ----------
    trials
        Meter trials, then a functional run in each working position.
    prior
        Probability of each hypothesis, shape ``(h,)``.
    ln_shown, deviation
        ln of what would be shown and its standard deviation, shape ``(h, meter trials)``; ``inf`` over range.
    classes
        Which hypotheses a trial cannot tell apart share a number, shape ``(h, trials)``.
    rows
        The faults of each hypothesis.
    symptoms
        What is noticed under each hypothesis.
    safety
        Places of earth continuity to each piece of metalwork, then of insulation of neutral and of line with most in
        circuit: what must be good before the supply goes back.
    """

    appliance: Appliance
    meters: tuple[Meter, ...]
    trials: tuple[Trial, ...]
    prior: FloatArray
    ln_shown: FloatArray
    deviation: FloatArray
    classes: IntArray
    rows: dict[frozenset[str], int]
    symptoms: SymptomRows
    safety: tuple[int, ...]

    @property
    def readings(self) -> int:
        """How many of the trials are readings."""
        return int(self.ln_shown.shape[1])

    def information(self, weights: FloatArray) -> FloatArray:
        """Expected information of each trial in bits, for hypotheses of these weights (which sum to 1)."""
        most: int = self.classes.max() + 1
        count = self.classes.shape[1]
        flat = (self.classes + most * np.arange(count)).ravel()
        spread = np.broadcast_to(weights[:, None], self.classes.shape).ravel()
        share = np.bincount(flat, spread, minlength=most * count).reshape(count, most)
        logs = np.log2(share, out=np.zeros_like(share), where=share > 1e-12)
        return np.asarray(-(share * logs).sum(axis=1))

    def reading_likelihood(self, column: int, value: float) -> FloatArray:
        """Ln p(displayed value | hypothesis) of a reading by itself, up to a constant."""
        expected, deviation = self.ln_shown[:, column], self.deviation[:, column]
        if self.trials[column].function is Function.INSULATION:
            value = min(value, GOOD_INSULATION)
        if math.isinf(value):
            return np.where(np.isinf(expected), 0.0, math.log(OUTLIERS))
        floor = NEAR_NOUGHT[self.trials[column].function]
        z = (math.log(max(value, floor)) - np.where(np.isinf(expected), 1e9, expected)) / deviation
        density = np.exp(-0.5 * np.minimum(z * z, 1400.0)) / deviation * 0.02
        return np.asarray(np.log(np.minimum(density, 1.0) + OUTLIERS * 0.02))


@lru_cache(maxsize=32)
def _symptom_rows(key: Same) -> SymptomRows:
    table = symptom_table(key.appliance)
    columns: dict[tuple[str, str], int] = {}
    codes: dict[str, int] = {"": 0}
    for known in table.values():
        for s in known:
            columns.setdefault((s.position, s.subject), len(columns))
            codes.setdefault(s.how, len(codes))
    rows = np.zeros((len(table), len(columns)), dtype=np.intp)
    for row, known in enumerate(table.values()):
        for s in known:
            rows[row, columns[s.position, s.subject]] = codes[s.how]
    return SymptomRows(columns, codes, rows)


def symptom_rows(appliance: Appliance) -> SymptomRows:
    """All symptoms of all hypotheses as numbers; worked out once for each appliance."""
    return _symptom_rows(Same(appliance))


def is_earth(appliance: Appliance, trial: Trial) -> bool:
    """Whether a trial reads the path from the incoming earth to metalwork."""
    metal = {t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals}
    return bool(appliance.earth) and trial.probes[0] == appliance.earth and trial.probes[1] in metal


def load_between(appliance: Appliance, a: str, b: str) -> str:
    """Name of the load (a section, lamp or motor) between two terminals; empty where there is none."""
    kinds = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR)
    for branch in appliance.branches:
        if branch.kind in kinds and {appliance.terminals[e] for e in branch.ends} == {a, b}:
            return branch.name
    return ""


def outlook(appliance: Appliance, meters: tuple[Meter, ...]) -> Outlook:
    """The outlook on an appliance with these instruments; worked out once for each."""
    return _outlook(Same(appliance), meters)


@lru_cache(maxsize=64)
def _outlook(key: Same, meters: tuple[Meter, ...]) -> Outlook:
    appliance = key.appliance
    readings = [
        replace(t, function=Function.CONTINUITY) if is_earth(appliance, t) and t.function is Function.OHMS else t
        for t in trials(appliance)
        if t.kind is TrialKind.METER
    ]
    readings = list(dict.fromkeys([*readings, *_along(appliance)]))
    runs = [run(p.name) for p in appliance.positions if p.heats]
    listed = hypotheses(appliance)
    found = response(appliance, readings)
    ohms = np.exp(found.ln_ohms)
    shown, deviation = np.empty(ohms.shape), np.empty(ohms.shape)
    for column, trial in enumerate(readings):
        shown[:, column], deviation[:, column] = _shown(trial, ohms[:, column], found.slope[:, column], meters)
    symptoms = symptom_rows(appliance)
    classes = [_classes(shown[:, c], deviation[:, c]) for c in range(len(readings))]
    classes += [_run_classes(symptoms, t.position) for t in runs]
    return Outlook(
        appliance=appliance,
        meters=meters,
        trials=(*readings, *runs),
        prior=np.array([h.prior for h in listed]),
        ln_shown=shown,
        deviation=deviation,
        classes=np.stack(classes, axis=1),
        rows={h.faults: i for i, h in enumerate(listed)},
        symptoms=symptoms,
        safety=_safety(appliance, readings),
    )


#: Below this a sound path counts as joined, ohms.
JOINED = 2.0


def _along(appliance: Appliance) -> list[Trial]:
    """Readings along the path: from line, and from neutral, to each point that is joined to it in a working position.

    Two neighbouring ones halve the path between a good point and a bad one.
    """
    working = sorted((p for p in appliance.positions if p.heats), key=lambda p: -len(p.heats))
    chosen: list[str] = []
    covered: set[str] = set()
    for position in working:
        if not covered.issuperset(position.heats):
            chosen.append(position.name)
            covered.update(position.heats)
    metal = {t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals}
    points = [t for t in appliance.terminals if t not in metal and t != appliance.earth]
    found: list[Trial] = []
    for name in chosen:
        for start in (appliance.line, appliance.neutral):
            ohms = probe_ohms(appliance, [State(name)], [(start, t) for t in points if t != start])[0]
            ends = [t for t in points if t != start]
            found += [reading(name, start, t) for t, r in zip(ends, ohms.tolist(), strict=True) if r < JOINED]
    return found


def _safety(appliance: Appliance, readings: Sequence[Trial]) -> tuple[int, ...]:
    asked = proving_trials(appliance)
    wanted = [replace(t, function=Function.CONTINUITY) if t.function is Function.OHMS else t for t in asked]
    return tuple(i for w in wanted for i, t in enumerate(readings) if t == w)


def _shown(
    trial: Trial, ohms: FloatArray, slope: FloatArray, meters: tuple[Meter, ...]
) -> tuple[FloatArray, FloatArray]:
    meter = next(m for m in meters if trial.function in m.functions)
    ranges = meter.ranges_of(trial.function)
    nulled = meter.can_null and trial.function.through_leads
    at_terminals = ohms + meter.leads_in(trial.function, nulled=nulled)
    top = ranges[-1].full_scale
    tops = np.array([r.full_scale for r in ranges])
    place = np.minimum(np.searchsorted(tops, np.minimum(at_terminals, top)), len(ranges) - 1)
    resolution = np.array([r.resolution for r in ranges])[place]
    digits = np.array([r.digits for r in ranges])[place]
    gain = np.array([r.fraction_of_reading for r in ranges])[place] / math.sqrt(3.0)
    seen = np.maximum(np.minimum(at_terminals, top), NEAR_NOUGHT[trial.function])
    own = np.where(np.isfinite(ohms), (slope**2).sum(axis=-1), 0.0)
    deviation = np.sqrt(own + gain**2 + ((digits + 1.0) * resolution / seen) ** 2 / 3.0)
    if trial.function is Function.INSULATION:
        return np.log(np.minimum(seen, GOOD_INSULATION)), deviation
    return np.where(at_terminals > top, np.inf, np.log(seen)), deviation


def _classes(shown: FloatArray, deviation: FloatArray) -> IntArray:
    order = np.argsort(shown, kind="stable")
    with np.errstate(invalid="ignore"):
        gap = np.diff(shown[order])
    joint = np.hypot(deviation[order][1:], deviation[order][:-1])
    apart = np.where(np.isnan(gap), False, gap > APART * joint)
    number = np.concatenate([[0], np.cumsum(apart)])
    found = np.empty(len(shown), dtype=np.intp)
    found[order] = number
    return found


def _run_classes(symptoms: SymptomRows, position: str) -> IntArray:
    columns = [c for (where, _), c in symptoms.columns.items() if where == position]
    _, found = np.unique(symptoms.table[:, columns], axis=0, return_inverse=True)
    return np.asarray(found, dtype=np.intp).reshape(-1)
