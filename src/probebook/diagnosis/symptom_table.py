"""What a person would notice, computed from the circuit at work and from what it heats.

A symptom says of one subject in one position of the controls how it does: ``Symptom("oven", "base", "off")``. Subjects
are what is heated (``top``, ``base``, ``ring`` …), lamps, neons and motors by mark, :data:`PROTECTION`, and
:data:`TEMPERATURE`.
"""

from __future__ import annotations

from dataclasses import dataclass

from probebook.appliances import Appliance, BranchKind
from probebook.appliances.protection import Trips
from probebook.diagnosis.assumed import Noticing
from probebook.diagnosis.physics.temperature import COLD, RIGHT, SHORT_OF, TOO_COOL, TOO_HOT, temperatures
from probebook.diagnosis.physics.work import HOLDS, Work, trip_id, tripping

__all__ = [
    "COLD",
    "HOLDS",
    "NORMAL",
    "OFF",
    "PROTECTION",
    "RIGHT",
    "SHORT_OF",
    "STRONGLY",
    "TEMPERATURE",
    "TOO_COOL",
    "TOO_HOT",
    "UNWANTED",
    "WAYS",
    "WEAKLY",
    "Symptom",
    "Symptoms",
    "heats",
    "symptoms_at",
    "trip_id",
]

PROTECTION = "protection"
TEMPERATURE = "temperature"

OFF, WEAKLY, NORMAL, STRONGLY, UNWANTED = "off", "weak", "normal", "too strong", "on when it should be off"

#: How many ways a subject can do, for the share of wrong reports that falls on each.
WAYS = 5


@dataclass(frozen=True, slots=True, order=True)
class Symptom:
    """How one subject does in one position of the controls."""

    position: str
    subject: str
    how: str


#: What is noticed: symptoms in order, one a subject and position.
Symptoms = tuple[Symptom, ...]


def heats(appliance: Appliance) -> bool:
    """Whether any position of the controls works anything."""
    return any(p.heats for p in appliance.positions)


def symptoms_at(
    appliance: Appliance, work: Work, position: str, noticing: Noticing, *, warmth: bool = True
) -> tuple[Symptoms, ...]:
    """The symptoms in one working position under each hypothesis, in their order.

    Without ``warmth`` how the temperature does is left out, and nothing has to be simulated.
    """
    p = work.positions.index(position)
    count = len(work.faults)
    temperature = temperatures(appliance, work, p, noticing) if warmth else [""] * count
    subjects = _subjects(appliance)
    table: list[Symptoms] = []
    # Hundreds of hypotheses show much the same: each symptom, and each row of them, is kept once.
    known: dict[tuple[str, str], Symptom] = {}
    same: dict[Symptoms, Symptoms] = {}
    for row, faults in enumerate(work.faults):
        stopped = {appliance.fault(f).stops for f in faults}
        tripped, when = tripping(appliance, work, p, row)
        off = set(subjects) if when is Trips.AT_ONCE else stopped
        shown = [
            (name, _does(_powers(work, p, row, rows), glow, name in off, noticing))
            for name, (rows, glow) in subjects.items()
        ]
        shown += [(TEMPERATURE, temperature[row]), (PROTECTION, tripped)]
        found = tuple(known.setdefault(each, Symptom(position, *each)) for each in shown if each[1])
        table.append(same.setdefault(found, found))
    return tuple(table)


def _subjects(appliance: Appliance) -> dict[str, tuple[list[int], bool]]:
    """What can be seen to work: the branches of each heated place, lamp, motor and neon, and whether it only glows."""
    found: dict[str, tuple[list[int], bool]] = {}
    for i, branch in enumerate(appliance.branches):
        if branch.place:
            found.setdefault(branch.place, ([], False))[0].append(i)
        elif branch.kind in (BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON):
            found[branch.name] = ([i], branch.kind is BranchKind.NEON)
    return found


def _powers(work: Work, p: int, row: int, rows: list[int]) -> tuple[float, float]:
    return float(work.calling[p, 0, rows].sum()), float(work.calling[p, row, rows].sum())


def _does(powers: tuple[float, float], glow: bool, off: bool, noticing: Noticing) -> str:
    """How a subject does whose usual and present watts are ``powers``; empty where it rests as it should."""
    usual, power = powers
    if off:
        power = 0.0
    trickle = noticing.neon_trickle if glow else noticing.trickle
    if usual < trickle:
        return UNWANTED if power > trickle else ""
    share = power / usual
    if share < noticing.nothing:
        return OFF
    if glow:
        return NORMAL
    return WEAKLY if share < noticing.weak else STRONGLY if share > noticing.strong else NORMAL
