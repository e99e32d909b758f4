"""What a case is: a job card, the appliance with a fault that nobody names, the evidence it leaves, the proof."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from probebook.diagnosis import Evidence, Proof

__all__ = ["Case", "JobCard"]


@dataclass(frozen=True, slots=True)
class JobCard:
    """What the repairer is handed: who, where, when, and what the customer said (computed from the fault).

    ``said`` are the sentences of the customer, in order; ``found`` says how the controls stood on arrival, ``note``
    anything else that was written down.
    """

    number: str
    customer: str
    premises: str
    said: tuple[str, ...]
    note: str = ""
    time: str = ""
    found: str = ""

    @property
    def reported(self) -> str:
        """All that the customer said."""
        return " ".join(self.said)


@dataclass(frozen=True, slots=True)
class Case:
    """An invented job whose fault is determined by the evidence.

    Attributes
    ----------
    id, seed
        Identity, which fixes every draw, and the seed it was asked for with.
    appliance, meter
        Ids in the library; insulation and earth continuity are read with the library's insulation tester.
    level
        1 (a single reading decides) to 4 (two faults, or the usual cause is not the cause).
    truth
        Ids of the faults present, sorted; empty when nothing is wrong.
    card
        The job card.
    evidence
        What was observed and measured, in order; the complaint comes first.
    proof
        Which observations establish the key and what excludes each rival.
    rivals
        The fault sets worth offering beside the truth, most plausible first.
    par_trials, par_minutes
        Length of a good investigation.
    """

    id: str
    seed: str
    appliance: str
    meter: str
    level: int
    truth: tuple[str, ...]
    card: JobCard
    evidence: Evidence
    proof: Proof
    rivals: tuple[tuple[str, ...], ...]
    par_trials: int
    par_minutes: float
