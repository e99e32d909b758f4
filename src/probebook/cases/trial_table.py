"""What each trial would show under each hypothesis, coarsely enough to choose among hundreds of trials at once.

For every trial the hypotheses fall into classes that the instrument can tell apart. The expected information of a
trial is then the entropy of its classes (Shannon), and what a trial says of a hypothesis is the coarse reckoning of
:mod:`probebook.diagnosis.observing`. This only steers which readings are taken; what they prove is worked out by
:mod:`probebook.diagnosis`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, State
from probebook.appliances.probing import probe_ohms
from probebook.diagnosis.assumed import Chances
from probebook.diagnosis.model import About, ApplianceModel, model_of
from probebook.diagnosis.observing import apart_classes, display_noise, reading_log_likelihood, scale_for
from probebook.diagnosis.places import metalwork
from probebook.diagnosis.proving import proving_trials
from probebook.diagnosis.symptom_table import HOLDS, PROTECTION, WAYS, Symptoms
from probebook.diagnosis.trial import Trial, TrialKind, reading, run
from probebook.memo import memo_by_identity
from probebook.meters import Function, Meter
from probebook.numerics.rounding import rounded

__all__ = ["SymptomRows", "TrialTable", "is_earth", "symptom_rows", "trial_table"]


FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Information is compared no finer than this.
LEAST_BITS = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class SymptomRows:
    """All symptoms of all hypotheses as numbers: a column for each (position, subject), a code for each way."""

    columns: dict[tuple[str, str], int]
    codes: dict[str, int]
    table: IntArray
    chances: Chances

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
        """Ln p(complaint | hypothesis): what is told is so, and what trips in those positions is told."""
        found = self.log_likelihood(reported, self.chances.complaint_holds)
        told = {s.position for s in reported if s.subject == PROTECTION}
        for position in sorted({s.position for s in reported} - told):
            column = self.columns.get((position, PROTECTION))
            if column is not None:
                held = np.isin(self.table[:, column], [self.codes.get(HOLDS, 0), 0])
                found += np.where(held, 0.0, math.log(self.chances.trip_untold))
        return found

    def ran(self, reported: Symptoms) -> FloatArray:
        """Ln p(what a functional run showed | hypothesis)."""
        return self.log_likelihood(reported, self.chances.run_holds)


@dataclass(frozen=True, slots=True, eq=False)
class TrialTable:
    """The trials on an appliance with the instruments at hand, and what each would show.

    Attributes
    ----------
    model, meters
        The appliance and the instruments.
    trials
        Meter trials, then a functional run in each working position.
    prior
        Probability of each hypothesis, shape ``(h,)``.
    ln_shown, deviation
        ln of what would be shown and its standard deviation, shape ``(h, meter trials)``; ``inf`` over range.
    classes
        Which hypotheses a trial cannot tell apart share a number, shape ``(h, trials)``.
    symptoms
        What is noticed under each hypothesis.
    safety
        Places of earth continuity to each piece of metalwork, then of insulation of neutral and of line with most in
        circuit: what must be good before the supply goes back.
    """

    model: ApplianceModel
    meters: tuple[Meter, ...]
    trials: tuple[Trial, ...]
    prior: FloatArray
    ln_shown: FloatArray
    deviation: FloatArray
    classes: IntArray
    symptoms: SymptomRows
    safety: tuple[int, ...]

    @property
    def appliance(self) -> Appliance:
        """The appliance it is about."""
        return self.model.appliance

    @property
    def rows(self) -> dict[frozenset[str], int]:
        """Place of each hypothesis by its faults, in order."""
        return self.model.rows

    @property
    def readings(self) -> int:
        """How many of the trials are readings."""
        return int(self.ln_shown.shape[1])

    def information(self, weights: FloatArray) -> FloatArray:
        """Expected information of each trial in bits, rounded, for hypotheses of these weights (which sum to 1)."""
        most: int = self.classes.max() + 1
        count = self.classes.shape[1]
        flat = (self.classes + most * np.arange(count)).ravel()
        spread = np.broadcast_to(weights[:, None], self.classes.shape).ravel()
        share = np.bincount(flat, spread, minlength=most * count).reshape(count, most)
        logs = np.log2(share, out=np.zeros_like(share), where=share > 1e-12)
        return rounded(-(share * logs).sum(axis=1), least=LEAST_BITS)

    def reading_likelihood(self, column: int, value: float) -> FloatArray:
        """Ln p(displayed value | hypothesis) of a reading by itself, up to a constant."""
        return reading_log_likelihood(
            self.ln_shown[:, column],
            self.deviation[:, column],
            self.trials[column].function,
            value,
            self.model.assumed.reckonings.coarse,
        )


@memo_by_identity(32)
def symptom_rows(model: ApplianceModel) -> SymptomRows:
    """All symptoms of all hypotheses as numbers; worked out once for each model."""
    table = model.symptom_table
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
    return SymptomRows(columns, codes, rows, model.assumed.chances)


def is_earth(appliance: Appliance, trial: Trial) -> bool:
    """Whether a trial reads the path from the incoming earth to metalwork."""
    return bool(appliance.earth) and trial.probes[0] == appliance.earth and trial.probes[1] in metalwork(appliance)


def trial_table(about: About, meters: tuple[Meter, ...]) -> TrialTable:
    """The table of trials of an appliance with these instruments; worked out once for each."""
    return _trial_table(model_of(about), meters)


@memo_by_identity(64)
def _trial_table(model: ApplianceModel, meters: tuple[Meter, ...]) -> TrialTable:
    appliance, reckoning = model.appliance, model.assumed.reckonings.coarse
    readings = [
        replace(t, function=Function.CONTINUITY) if is_earth(appliance, t) and t.function is Function.OHMS else t
        for t in model.trials
        if t.kind is TrialKind.METER
    ]
    readings = list(dict.fromkeys([*readings, *_along(model)]))
    runs = [run(p.name) for p in appliance.positions if p.heats]
    shown, deviation = _shown(model, readings, meters)
    symptoms = symptom_rows(model)
    classes = [apart_classes(shown[:, c], deviation[:, c], reckoning) for c in range(len(readings))]
    classes += [_run_classes(symptoms, t.position) for t in runs]
    return TrialTable(
        model=model,
        meters=meters,
        trials=(*readings, *runs),
        prior=np.array([h.prior for h in model.hypotheses]),
        ln_shown=shown,
        deviation=deviation,
        classes=np.stack(classes, axis=1),
        symptoms=symptoms,
        safety=_safety(appliance, readings),
    )


def _along(model: ApplianceModel) -> list[Trial]:
    """Readings along the path: from line, and from neutral, to each point that is joined to it in a working position.

    Two neighbouring ones halve the path between a good point and a bad one.
    """
    appliance, joined = model.appliance, model.assumed.reckonings.joined
    working = sorted((p for p in appliance.positions if p.heats), key=lambda p: -len(p.heats))
    chosen: list[str] = []
    covered: set[str] = set()
    for position in working:
        if not covered.issuperset(position.heats):
            chosen.append(position.name)
            covered.update(position.heats)
    metal = set(metalwork(appliance))
    points = [t for t in appliance.terminals if t not in metal and t != appliance.earth]
    found: list[Trial] = []
    for name in chosen:
        for start in appliance.live:
            ohms = probe_ohms(appliance, [State(name)], [(start, t) for t in points if t != start])[0]
            ends = [t for t in points if t != start]
            found += [reading(name, start, t) for t, r in zip(ends, ohms.tolist(), strict=True) if r < joined]
    return found


def _safety(appliance: Appliance, readings: Sequence[Trial]) -> tuple[int, ...]:
    asked = proving_trials(appliance)
    wanted = [replace(t, function=Function.CONTINUITY) if t.function is Function.OHMS else t for t in asked]
    return tuple(i for w in wanted for i, t in enumerate(readings) if t == w)


def _shown(model: ApplianceModel, trials: Sequence[Trial], meters: tuple[Meter, ...]) -> tuple[FloatArray, FloatArray]:
    """Ln of what would be shown, ``inf`` over range, and its standard deviation; both ``(h, t)``."""
    reckoning = model.assumed.reckonings.coarse
    found = model.response(trials)
    ohms = np.exp(found.ln_ohms)
    ln, deviation = np.empty(ohms.shape), np.empty(ohms.shape)
    for column, trial in enumerate(trials):
        scale = scale_for(next(m for m in meters if trial.function in m.functions), trial.function, reckoning)
        here = ohms[:, column]
        shown = here + scale.leads
        gain, noise, least = display_noise(scale, trial.function, shown, reckoning)
        own = np.where(np.isfinite(here), (found.slope[:, column] ** 2).sum(axis=-1), 0.0)
        deviation[:, column] = np.sqrt(own + gain**2 + noise)
        seen = np.maximum(np.minimum(shown, scale.top), least)
        if trial.function is Function.INSULATION:
            ln[:, column] = np.log(np.minimum(seen, reckoning.good_insulation))
            # What is good by far hardly ever falls below: only what is left of the spread under the bound counts.
            beyond = np.maximum(np.log(seen / reckoning.good_insulation), 0.0) / reckoning.apart
            deviation[:, column] = np.maximum(deviation[:, column] - beyond, np.sqrt(gain**2 + noise))
        else:
            ln[:, column] = np.where(shown > scale.top, np.inf, np.log(seen))
    return ln, deviation


def _run_classes(symptoms: SymptomRows, position: str) -> IntArray:
    columns = [c for (where, _), c in symptoms.columns.items() if where == position]
    _, found = np.unique(symptoms.table[:, columns], axis=0, return_inverse=True)
    return np.asarray(found, dtype=np.intp).reshape(-1)
