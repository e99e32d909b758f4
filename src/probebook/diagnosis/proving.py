"""Whether the supply may go back: earth continuity and insulation, from what has been read.

Limits of in-service rules that the item or tutor may tighten: earth path at most 1 Ω (AS/NZS 3760, in-service) read
with a meter whose leads are a few tenths, insulation at least 1 MΩ (class I, IET Code of Practice). They decide here
only whether a functional run may be thought of; a verdict names the rule it applies.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from probebook.appliances import Appliance, PartKind
from probebook.diagnosis.evidence import Measured, Observation
from probebook.diagnosis.trials import Trial, reading, rest
from probebook.meters import Function

MOST_EARTH_OHMS = 1.0
LEAST_INSULATION_OHMS = 1e6


class Proved(StrEnum):
    """What the readings say of earth and insulation."""

    GOOD = "good"
    BAD = "bad"
    NOT_YET = "not yet"


def proving_trials(appliance: Appliance) -> tuple[Trial, ...]:
    """The readings that must be good before the supply goes back; none for an appliance without metalwork."""
    metal = [t for p in appliance.parts if p.kind is PartKind.METALWORK for t in p.terminals]
    if not metal:
        return ()
    still = rest(appliance)
    working = max(appliance.positions, key=lambda p: (len(p.heats), p.name))
    to_earth = appliance.earth or metal[0]
    earth = [reading(still, appliance.earth, t) for t in metal] if appliance.earth else []
    return (
        *earth,
        reading(still, appliance.neutral, to_earth, Function.INSULATION),
        reading(working.name, appliance.line, to_earth, Function.INSULATION),
    )


def proved(appliance: Appliance, evidence: Sequence[Observation]) -> tuple[Proved, tuple[Trial, ...]]:
    """Whether earth and insulation were read and found good, and the readings still wanting.

    Any reading that is out of bounds on the same question makes it bad, whatever else was read; a reading taken after
    drying out stands for the one before, and low-ohms continuity for ohms.
    """
    taken: dict[Trial, float] = {}
    for o in evidence:
        if isinstance(o, Measured):
            function = Function.OHMS if o.trial.function.through_leads else o.trial.function
            plain = reading(o.trial.position, *o.trial.probes, function, lifted=o.trial.lifted)
            if plain not in taken or o.trial.dried:
                taken[plain] = o.value
    wanted = proving_trials(appliance)
    for trial in wanted:
        if trial in taken and not _good(trial, taken[trial]):
            return Proved.BAD, ()
    missing = tuple(t for t in wanted if t not in taken)
    return (Proved.NOT_YET if missing else Proved.GOOD), missing


def _good(trial: Trial, value: float) -> bool:
    return value >= LEAST_INSULATION_OHMS if trial.function is Function.INSULATION else value <= MOST_EARTH_OHMS
