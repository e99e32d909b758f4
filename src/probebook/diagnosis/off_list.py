"""Single failures that are on no list and explain the evidence all the same.

A file lists the faults that are met; a circuit can fail in more ways. Each of these is held against the evidence by
:mod:`probebook.physical`, which knows the circuit alone. They have no probability here: a matter is settled when one
hypothesis is established among those listed and none of these is left.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from probebook.appliances import Appliance
from probebook.diagnosis.evidence import Complaint, Measured, Observation, Ran
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.probability.integration import meter_for
from probebook.diagnosis.symptom_table import TEMPERATURE, Symptoms
from probebook.diagnosis.trial import Trial
from probebook.meters import Function, Meter, limits
from probebook.physical import Failure, InUse, Mode, Read, Setting, fitting, same_as

__all__ = ["off_list", "read_of", "reads_of", "seen_in_use", "told_of_use"]


def off_list(found: Posterior, *, fits: bool = True) -> tuple[Failure, ...]:
    """Every single failure that explains all of the evidence and is none of the faults listed, by branch.

    A branch that a fault lists with some ohms may have others. Where the evidence fits nothing (``fits`` is false) no
    listed fault explains it, and none is left out. None where nothing was read, or nothing need have failed and nothing
    is complained of.
    """
    appliance = found.appliance
    reads = reads_of(appliance, found.evidence, found.meters)
    if not reads:
        return ()
    left = fitting(appliance, reads, seen_in_use(found.evidence), told_of_use(found.evidence))
    failures = (f for f in left if f.mode is not Mode.NONE)
    if not fits:
        return tuple(failures)
    best = [appliance.fault(f) for f in sorted(found.hypotheses[found.likeliest].faults)]
    same, listed = same_as(appliance, best), same_as(appliance, appliance.faults)
    near = found.model.assumed.fitting.near
    return tuple(f for f in failures if f.what not in same and not (f.what in listed and _listed(appliance, f, near)))


def _listed(appliance: Appliance, failure: Failure, near: float) -> bool:
    """Whether a fault of the file gives the branch of a failure such ohms, or about such."""
    if failure.mode is not Mode.OHMS:
        return True
    branch = appliance.branches[appliance.branch(failure.branch)]
    cold = branch.cold_ohms if np.isfinite(branch.cold_ohms) else branch.hot_ohms  # a contact that rests open
    changes = [c for f in appliance.faults for c in f.changes if c.branch == failure.branch]
    values = [(cold if c.force is None else c.force) * c.factor + c.series for c in changes]
    return any(failure.least / near <= value <= failure.most * near for value in values)


def read_of(appliance: Appliance, trial: Trial, low: float = 0.0, high: float = np.inf) -> Read:
    """A reading that finds between ``low`` and ``high`` ohms, in the terms of the floor of physical failures."""
    insulation = trial.function is Function.INSULATION
    volts = appliance.region.test_volts if insulation else 1.0
    setting = Setting(trial.position, trial.calling, trial.lifted, trial.opened, volts)
    return Read(setting, trial.probes, low, high, insulation, trial.dried)


def reads_of(appliance: Appliance, evidence: Iterable[Observation], meters: Sequence[Meter]) -> list[Read]:
    """The readings among some evidence."""
    return [_taken(appliance, o, tuple(meters)) for o in evidence if isinstance(o, Measured)]


def _taken(appliance: Appliance, item: Measured, meters: tuple[Meter, ...]) -> Read:
    meter = meter_for(meters, item.trial.function)
    return read_of(appliance, item.trial, *limits(meter, item.trial.function, item.value, nulled=item.nulled))


def _in_use(position: str, symptoms: Symptoms, *, complete: bool) -> InUse:
    # In an order of their own: of two that contradict each other the same one counts, in whatever order they come.
    return InUse(position, {s.subject: s.how for s in sorted(symptoms, key=str) if s.position == position}, complete)


def seen_in_use(evidence: Iterable[Observation]) -> list[InUse]:
    """What was seen in use; a heat-up record tells of the temperature alone."""
    return [
        _in_use(o.position, o.symptoms, complete=any(s.subject != TEMPERATURE for s in o.symptoms))
        for o in evidence
        if isinstance(o, Ran)
    ]


def told_of_use(evidence: Iterable[Observation]) -> list[InUse]:
    """What is complained of, position by position."""
    told = [s for o in evidence if isinstance(o, Complaint) for s in o.symptoms]
    return [_in_use(p, tuple(told), complete=False) for p in dict.fromkeys(s.position for s in told)]
