"""What a person would notice, computed from the circuit at work and from what it heats.

A symptom says of one subject in one position of the controls how it does: ``Symptom("oven", "base", "off")``. Subjects
are what is heated (``top``, ``base``, ``ring`` …), lamps, neons and motors by mark, :data:`PROTECTION`, and
:data:`TEMPERATURE`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from probebook.appliances import Appliance, BranchKind
from probebook.appliances.protection import Trips
from probebook.diagnosis.hypotheses import Same, hypotheses, settled
from probebook.diagnosis.temperature import COLD, NOTHING, RIGHT, SHORT_OF, TOO_COOL, TOO_HOT, temperatures
from probebook.diagnosis.work import HOLDS, Work, tripping, work_of

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
    "noticed",
    "symptom_table",
    "symptoms",
    "symptoms_in",
]

#: Below and above these shares of its usual power a heater is called weak or too strong (assumed).
WEAK, STRONG = 0.85, 1.15
#: Watts that nobody notices in a heater, lamp or motor, and in a neon (assumed; a neon lights on very little).
TRICKLE, NEON_TRICKLE = 5.0, 0.01

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


def symptoms(appliance: Appliance, faults: Iterable[str]) -> Symptoms:
    """Everything there is to notice of an appliance with these faults, in all working positions."""
    return symptom_table(appliance)[settled(appliance, faults)]


def noticed(appliance: Appliance, faults: Iterable[str]) -> Symptoms:
    """The symptoms that differ from those of the sound appliance: what a complaint can be about."""
    usual = set(symptoms(appliance, ()))
    return tuple(s for s in symptoms(appliance, faults) if s not in usual)


def symptom_table(appliance: Appliance) -> dict[frozenset[str], Symptoms]:
    """The symptoms of every hypothesis, by its faults; worked out once for each appliance."""
    return _symptom_table(Same(appliance))


def symptoms_in(appliance: Appliance, position: str, *, warmth: bool = True) -> tuple[Symptoms, ...]:
    """The symptoms in one position under each hypothesis, in their order; none in a position that is no work.

    Without ``warmth`` how the temperature does is left out, and nothing has to be simulated.
    """
    return _symptoms_in(Same(appliance), position, warmth)


@lru_cache(maxsize=32)
def _symptom_table(key: Same) -> dict[frozenset[str], Symptoms]:
    listed = hypotheses(key.appliance)
    parts = [_symptoms_in(key, position, True) for position in _work(key).positions] if _heats(key.appliance) else []
    return {h.faults: tuple(s for part in parts for s in part[row]) for row, h in enumerate(listed)}


def _heats(appliance: Appliance) -> bool:
    return any(p.heats for p in appliance.positions)


@lru_cache(maxsize=32)
def _work(key: Same) -> Work:
    return work_of(key.appliance)


@lru_cache(maxsize=256)
def _symptoms_in(key: Same, position: str, warmth: bool) -> tuple[Symptoms, ...]:
    appliance = key.appliance
    listed = hypotheses(appliance)
    if not _heats(appliance) or position not in _work(key).positions:
        return ((),) * len(listed)
    work = _work(key)
    p = work.positions.index(position)
    temperature = temperatures(appliance, work, p) if warmth else [""] * len(listed)
    subjects = _subjects(appliance)
    table: list[Symptoms] = []
    for row, hypothesis in enumerate(listed):
        stopped = {appliance.fault(f).stops for f in hypothesis.faults}
        tripped, when = tripping(appliance, work, p, row)
        off = set(subjects) if when is Trips.AT_ONCE else stopped
        shown = [(name, _does(work, p, row, rows, glow, name in off)) for name, (rows, glow) in subjects.items()]
        shown += [(TEMPERATURE, temperature[row]), (PROTECTION, tripped)]
        table.append(tuple(Symptom(position, subject, how) for subject, how in shown if how))
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


def _does(work: Work, p: int, row: int, rows: list[int], glow: bool, off: bool) -> str:
    """How a subject does; empty where it rests as it should."""
    usual = float(work.calling[p, 0, rows].sum())
    power = 0.0 if off else float(work.calling[p, row, rows].sum())
    trickle = NEON_TRICKLE if glow else TRICKLE
    if usual < trickle:
        return UNWANTED if power > trickle else ""
    share = power / usual
    if share < NOTHING:
        return OFF
    if glow:
        return NORMAL
    return WEAKLY if share < WEAK else STRONGLY if share > STRONG else NORMAL
