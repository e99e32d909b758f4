"""One appliance as it was made and as it stands: where each part lies within its tolerance, how bad its faults are.

Readings are taken on the exact circuit with the instrument's own errors, never on the linear table that conclusions are
drawn from.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import OHMMETER_VOLTS, Appliance, BranchKind, Fault
from probebook.appliances.probing import probe_ohms
from probebook.cases.seeds import stream
from probebook.diagnosis.evidence import Measured, measured
from probebook.diagnosis.response import (
    ALLOY_SPREAD,
    CONTACT_SPREAD,
    INSULATION_SPREAD,
    LAMP_SPREAD,
    MOTOR_SPREAD,
    SEVERITY,
    WIRE_SPREAD,
)
from probebook.diagnosis.trials import INSULATION_VOLTS, Trial
from probebook.meters import Function, Meter, read

__all__ = ["Made", "draw_made", "redrawn"]

#: What is made is drawn within this many standard deviations: a case is not to turn on a freak.
WITHIN = 1.5

_SPREADS = {
    BranchKind.LAMP: LAMP_SPREAD,
    BranchKind.MOTOR: MOTOR_SPREAD,
    BranchKind.NEON: MOTOR_SPREAD,
    BranchKind.INSULATION: INSULATION_SPREAD,
    BranchKind.CONTACT: CONTACT_SPREAD,
    BranchKind.FUSE: CONTACT_SPREAD,
    BranchKind.WIRE: WIRE_SPREAD,
}


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """An appliance with its faults, and the instruments that read it.

    Attributes
    ----------
    appliance
        With the faults as bad as they are here.
    faults
        Ids of those present.
    spread
        Factor on each branch, shape ``(m,)``.
    meters
        The instruments, the first with a function being used for it.
    errors
        Seed names of the instruments' errors: the gain of each, the wobble of each reading.
    """

    appliance: Appliance
    faults: frozenset[str]
    spread: NDArray[np.float64]
    meters: tuple[Meter, ...]
    errors: str

    def ohms(self, trials: Sequence[Trial]) -> list[float]:
        """Ohms at the probe tips in each trial."""
        found: list[float] = []
        for trial in trials:
            volts = INSULATION_VOLTS if trial.function is Function.INSULATION else OHMMETER_VOLTS
            state = trial.state(self.faults)
            table = probe_ohms(self.appliance, [state], [trial.probes], test_volts=volts, spread=self.spread)
            found.append(float(table[0, 0]))
        return found

    def take(self, trial: Trial) -> Measured:
        """The reading of a trial; the same trial gives the same reading."""
        return self.shown(trial, self.ohms([trial])[0])

    def shown(
        self, trial: Trial, ohms: float, *, nulled: bool = True, errors: tuple[float, float] | None = None
    ) -> Measured:
        """What the instrument shows for these ohms in this trial, nulled where it can be and is to be.

        ``errors`` are the gain and the wobble, each -1 to 1, in place of those drawn.
        """
        meter = next(m for m in self.meters if trial.function in m.functions)
        if errors is None:
            gain = stream(self.errors, meter.id, trial.function.value).uniform(-1, 1)
            wobble = stream(self.errors, *trial.key).uniform(-1, 1)
        else:
            gain, wobble = errors
        nulled = nulled and meter.can_null and trial.function.through_leads
        return measured(trial, read(meter, trial.function, ohms, gain=gain, wobble=wobble, nulled=nulled))


def draw_made(
    appliance: Appliance, faults: Sequence[str], meters: Sequence[Meter], errors: str, rng: random.Random
) -> Made:
    """Draw how an appliance was made and how bad its faults are."""
    alloy = math.exp(rng.uniform(-WITHIN, WITHIN) * ALLOY_SPREAD)
    common = {kind: rng.uniform(-WITHIN, WITHIN) for kind in BranchKind}
    spread = np.ones(len(appliance.branches))
    for i, branch in enumerate(appliance.branches):
        if branch.kind is BranchKind.ELEMENT:
            spread[i] = alloy * (1.0 + branch.tolerance * rng.uniform(-0.9, 0.9))
        elif branch.kind in (BranchKind.CONTACT, BranchKind.FUSE, BranchKind.WIRE):
            spread[i] = math.exp(_SPREADS[branch.kind] * common[branch.kind])
        else:
            spread[i] = math.exp(_SPREADS[branch.kind] * rng.uniform(-WITHIN, WITHIN))
    present = frozenset(faults)
    altered = tuple(_as_bad(f, rng) if f.id in present and f.kind in SEVERITY else f for f in appliance.faults)
    here = appliance if altered == appliance.faults else replace(appliance, faults=altered)
    return Made(here, present, spread, tuple(meters), errors)


def redrawn(made: Made, errors: str) -> Made:
    """The same appliance read with the instruments' errors drawn anew."""
    return replace(made, errors=errors)


def _as_bad(fault: Fault, rng: random.Random) -> Fault:
    factor = math.exp(SEVERITY[fault.kind] * rng.uniform(-WITHIN, WITHIN))
    changes = tuple(
        replace(
            change,
            force=change.force * factor if change.force is not None and math.isfinite(change.force) else change.force,
            force_hot=change.force_hot * factor
            if change.force_hot is not None and math.isfinite(change.force_hot)
            else change.force_hot,
            factor=change.factor * factor if change.factor != 1.0 else 1.0,
            series=change.series * factor,
        )
        for change in fault.changes
    )
    return replace(fault, changes=changes)
