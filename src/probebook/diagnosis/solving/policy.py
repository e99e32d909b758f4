"""Solving a case as the core would: always the trial worth most a minute, until the key is determined.

Its length and minutes are the par for that case.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from probebook.diagnosis.effort import ARRIVED, Person, after, minutes
from probebook.diagnosis.evidence import Evidence, Observation
from probebook.diagnosis.inference import FEW_DRAWS, Meters, Posterior, as_meters, determined, posterior
from probebook.diagnosis.solving.specimens import Specimen, observe
from probebook.diagnosis.value import values

#: Trials after which the policy gives up.
PATIENCE = 20


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """How a case was solved.

    Attributes
    ----------
    evidence
        What was known at first, then what each trial showed, in order.
    trials
        Number of trials done: the par.
    minutes
        What they took.
    final
        The posterior at the end.
    solved
        Whether the true faults were determined.
    """

    evidence: Evidence
    trials: int
    minutes: float
    final: Posterior
    solved: bool


def solve(
    item: Specimen,
    meter: Meters,
    *,
    evidence: Sequence[Observation] = (),
    person: Person = Person.APPRENTICE,
    enough: float = 0.0,
    patience: int = PATIENCE,
) -> Run:
    """Solve the case of a specimen.

    Parameters
    ----------
    item, meter, person
        What is on the bench, the instruments, and who does the job.
    evidence
        What is known at first.
    enough
        Go on until the best hypothesis has this probability: above what counts as determined when a second fault may
        hide behind the first.
    patience
        Trials after which to give up.
    """
    meters = as_meters(meter)
    known, setup, took, count = tuple(evidence), ARRIVED, 0.0, 0
    now = posterior(item.appliance, known, meters, draws=FEW_DRAWS)
    while count < patience and not (determined(now) and float(now.probabilities.max()) >= enough):
        worth = values(now, setup=setup, person=person, planning=True)
        best = next((w for w in worth if w.bits >= now.model.assumed.settling.worthless), None)
        if best is None:
            break
        trial = best.first[0] if best.first else best.trial
        took += minutes(item.appliance, trial, setup)
        setup = after(item.appliance, trial, setup)
        known = (*known, observe(item, trial, meters))
        count += 1
        now = posterior(item.appliance, known, meters, draws=FEW_DRAWS)
    final = posterior(item.appliance, known, meters)
    right = final.ranked()[0][0].faults == final.hypotheses[final.row(item.faults)].faults
    return Run(known, count, took, final, right and determined(final))
