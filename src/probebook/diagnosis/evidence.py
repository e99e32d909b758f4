"""What has been observed: readings, looks, functional runs, what the customer says, what tripped.

Evidence is a tuple of observations, in any order; the order never matters to what follows from it. Every sort has a
likelihood under every hypothesis that is never nought, because people mistake what they see and say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, Fault
from probebook.diagnosis.model import About, ApplianceModel, model_of
from probebook.diagnosis.places import place_of
from probebook.diagnosis.symptom_table import HOLDS, PROTECTION, TEMPERATURE, WAYS, Symptom, Symptoms
from probebook.diagnosis.trial import Trial, TrialKind
from probebook.memo import memo_by_identity
from probebook.meters import Reading

FloatArray = NDArray[np.float64]

#: What is seen where there is nothing to see.
NOTHING_SEEN = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading: the trial, the displayed value in SI (``inf`` over range), and whether the leads were nulled."""

    trial: Trial
    value: float
    nulled: bool = False
    display: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """A look at a part or wire: what was seen, in the words of the appliance's file, or :data:`NOTHING_SEEN`."""

    at: str
    what: str = NOTHING_SEEN


@dataclass(frozen=True, slots=True)
class Ran:
    """A functional run in one position and every symptom it showed; of a heat-up record that of the temperature."""

    position: str
    symptoms: Symptoms


@dataclass(frozen=True, slots=True)
class Complaint:
    """What the customer says: some of the symptoms, any positions."""

    symptoms: Symptoms


@dataclass(frozen=True, slots=True)
class Tripped:
    """What a protective device did in a position, as :mod:`~probebook.diagnosis.symptom_table` words it."""

    position: str
    how: str


Observation = Measured | Seen | Ran | Complaint | Tripped
Evidence = tuple[Observation, ...]


def measured(trial: Trial, reading: Reading) -> Measured:
    """The observation that a trial gave this reading."""
    return Measured(trial, reading.value, reading.nulled, reading.display)


def visible(fault: Fault) -> str:
    """What a careful look at the place of a fault shows; empty where the file says nothing is to be seen there."""
    return fault.mark_left


def sights(appliance: Appliance, at: str) -> tuple[str, ...]:
    """All that can be seen at a part or wire, nothing first, in file order."""
    there = (visible(f) for f in appliance.faults if place_of(appliance, f) == at)
    return tuple(dict.fromkeys((NOTHING_SEEN, *there)))


def sight_table(about: About, at: str) -> tuple[tuple[str, ...], FloatArray]:
    """What can be seen at a part or wire, and the probability of each under each hypothesis, shape ``(h, sights)``."""
    return _sight_table(model_of(about), at)


@memo_by_identity(2048)
def _sight_table(model: ApplianceModel, at: str) -> tuple[tuple[str, ...], FloatArray]:
    appliance, chances = model.appliance, model.assumed.chances
    finds, invents = chances.look_finds, chances.look_invents
    seen = sights(appliance, at)
    column = {what: i for i, what in enumerate(seen)}
    table = np.zeros((len(model.hypotheses), len(seen)))
    marks = {f.id: visible(f) for f in appliance.faults if place_of(appliance, f) == at and visible(f)}
    others = len(seen) - 1
    for row, hypothesis in enumerate(model.hypotheses):
        shown = [marks[f] for f in sorted(hypothesis.faults) if f in marks]
        if not others:
            table[row, 0] = 1.0
        elif not shown:
            table[row] = invents / others
            table[row, 0] = 1.0 - invents
        else:
            table[row] = invents / len(seen)
            table[row, 0] += (1.0 - invents) * (1.0 - finds)
            for what in shown:
                table[row, column[what]] += (1.0 - invents) * finds / len(shown)
    table.flags.writeable = False  # shared by all who ask again
    return seen, table


def symptom_log_likelihood(about: About, reported: Symptoms, holds: float) -> FloatArray:
    """Natural log of p(reported | hypothesis), shape ``(h,)``: each report is so with the chance ``holds``."""
    return _symptom_log_likelihood(model_of(about), reported, holds)


@memo_by_identity(1024)
def _symptom_log_likelihood(model: ApplianceModel, reported: Symptoms, holds: float) -> FloatArray:
    warm = {s.position for s in reported if s.subject == TEMPERATURE}
    positions = sorted({s.position for s in reported})
    parts = [model.symptoms_in(position, warmth=position in warm) for position in positions]
    wrong = math.log((1.0 - holds) / (WAYS - 1))
    right = math.log(holds)
    found = np.empty(len(model.hypotheses))
    for row in range(len(found)):
        have = {s for part in parts for s in part[row]}
        found[row] = math.fsum(right if s in have else wrong for s in reported)
    found.flags.writeable = False  # shared by all who ask again
    return found


def plain_log_likelihood(about: About, observation: Seen | Ran | Complaint | Tripped) -> FloatArray:
    """Natural log of p(observation | hypothesis) of whatever is not a reading, shape ``(h,)``; always finite."""
    model = model_of(about)
    chances = model.assumed.chances
    if isinstance(observation, Seen):
        seen, table = sight_table(model, observation.at)
        if observation.what in seen:
            return np.asarray(np.log(table[:, seen.index(observation.what)]))
        return np.zeros(len(table))
    if isinstance(observation, Tripped):
        told = (Symptom(observation.position, PROTECTION, observation.how),)
        return symptom_log_likelihood(model, told, chances.run_holds)
    if isinstance(observation, Ran):
        return symptom_log_likelihood(model, observation.symptoms, chances.run_holds)
    return _complaint_log_likelihood(model, observation.symptoms)


@memo_by_identity(1024)
def _complaint_log_likelihood(model: ApplianceModel, reported: Symptoms) -> FloatArray:
    """Natural log of p(complaint | hypothesis): what is told is so, and what trips in those positions is told."""
    chances = model.assumed.chances
    found = symptom_log_likelihood(model, reported, chances.complaint_holds).copy()
    told = {s.position for s in reported if s.subject == PROTECTION}
    for position in sorted({s.position for s in reported} - told):
        rows = model.symptoms_in(position, warmth=False)
        trips = [any(s.subject == PROTECTION and s.how != HOLDS for s in row) for row in rows]
        found += np.where(trips, math.log(chances.trip_untold), 0.0)
    found.flags.writeable = False  # shared by all who ask again
    return found


def trial_of(observation: Observation) -> Trial | None:
    """The trial an observation comes from; None for what nobody tried (a complaint, a trip)."""
    if isinstance(observation, Measured):
        return observation.trial
    if isinstance(observation, Seen):
        return Trial(TrialKind.LOOK, at=observation.at)
    if isinstance(observation, Ran):
        # A run always tells of protection too; a heat-up record of the temperature alone.
        record = all(s.subject == TEMPERATURE for s in observation.symptoms)
        return Trial(TrialKind.RECORD if record else TrialKind.RUN, observation.position)
    return None


def shown_by(trial: Trial, everything: Symptoms) -> Symptoms:
    """What of all symptoms a functional run shows (those of its position), or a heat-up record (the temperature)."""
    here = tuple(s for s in everything if s.position == trial.position)
    return here if trial.kind is TrialKind.RUN else tuple(s for s in here if s.subject == TEMPERATURE)


def shown_classes(about: About, trial: Trial) -> NDArray[np.intp]:
    """Which hypotheses a functional run or heat-up record cannot tell apart: a class number each, shape ``(h,)``."""
    return _shown_classes(model_of(about), trial)


@memo_by_identity(1024)
def _shown_classes(model: ApplianceModel, trial: Trial) -> NDArray[np.intp]:
    shows = [shown_by(trial, here) for here in model.symptoms_in(trial.position)]
    number = {what: i for i, what in enumerate(dict.fromkeys(shows))}
    return np.array([number[what] for what in shows], dtype=np.intp)


def readings(evidence: Sequence[Observation]) -> tuple[Measured, ...]:
    """The readings among the evidence, in order."""
    return tuple(o for o in evidence if isinstance(o, Measured))
