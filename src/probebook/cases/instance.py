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

from probebook.appliances import OHMMETER_VOLTS, Appliance, BranchKind, Fault, State
from probebook.appliances.probing import probe_ohms
from probebook.cases.assumed import Drawing
from probebook.cases.seeds import stream
from probebook.diagnosis.assumed import Spreads
from probebook.diagnosis.evidence import Measured, measured
from probebook.diagnosis.model import model_of
from probebook.diagnosis.trial import Trial
from probebook.meters import Function, Meter, read

__all__ = ["Instance", "draw_instance", "redrawn"]


def _spreads(spreads: Spreads) -> dict[BranchKind, float]:
    return {
        BranchKind.LAMP: spreads.lamp,
        BranchKind.MOTOR: spreads.motor,
        BranchKind.NEON: spreads.motor,
        BranchKind.COIL: spreads.motor,
        BranchKind.INSULATION: spreads.insulation,
        BranchKind.CONTACT: spreads.contact,
        BranchKind.FUSE: spreads.contact,
        BranchKind.WIRE: spreads.wire,
    }


@dataclass(frozen=True, slots=True, eq=False)
class Instance:
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
        Seed names of the instruments' errors: the gain of each, what its leads read, the wobble of each reading.
    """

    appliance: Appliance
    faults: frozenset[str]
    spread: NDArray[np.float64]
    meters: tuple[Meter, ...]
    errors: str

    def ohms(self, trials: Sequence[Trial]) -> list[float]:
        """Ohms at the probe tips in each trial."""
        alike: dict[tuple[State, float], list[int]] = {}
        for place, trial in enumerate(trials):
            volts = self.appliance.region.test_volts if trial.function is Function.INSULATION else OHMMETER_VOLTS
            alike.setdefault((trial.state(self.faults), volts), []).append(place)
        found = [math.nan] * len(trials)
        for (state, volts), places in alike.items():
            probes = [trials[place].probes for place in places]
            table = probe_ohms(self.appliance, [state], probes, test_volts=volts, spread=self.spread)
            for place, ohms in zip(places, table[0].tolist(), strict=True):
                found[place] = ohms
        return found

    def takes(self, trials: Sequence[Trial]) -> list[Measured]:
        """The readings of several trials, each as :meth:`take` gives it."""
        return [self.shown(trial, ohms) for trial, ohms in zip(trials, self.ohms(trials), strict=True)]

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
        function = trial.function
        nulled = nulled and meter.can_null and function.through_leads
        if errors is None:
            wobble = stream(self.errors, *trial.key).uniform(-1, 1)
            if function.through_leads and not nulled:
                wobble = self._leads(meter, function)
            errors = self._gain(meter, function), wobble
        return measured(trial, read(meter, function, ohms, gain=errors[0], wobble=errors[1], nulled=nulled))

    def steady(self, function: Function, *, nulled: bool) -> tuple[float, float]:
        """Gain and wobble of an instrument that errs alike in every reading of a function, each -1 to 1."""
        meter = next(m for m in self.meters if function in m.functions)
        if function.through_leads and not (nulled and meter.can_null):
            return self._gain(meter, function), self._leads(meter, function)
        wobble = stream(self.errors, meter.id, function.value, "steady").uniform(-1, 1)
        return self._gain(meter, function), wobble

    def together(self, function: Function) -> str:
        """What the instrument shows with its probes together and its leads not nulled: no reading lies below that."""
        meter = next(m for m in self.meters if function in m.functions)
        return read(meter, function, 0.0, gain=self._gain(meter, function), wobble=self._leads(meter, function)).display

    def _gain(self, meter: Meter, function: Function) -> float:
        return stream(self.errors, meter.id, function.value).uniform(-1, 1)

    def _leads(self, meter: Meter, function: Function) -> float:
        """How far leads that are not nulled read high, of the digits of the statement; the same in every reading."""
        most = self.appliance.assumptions.get(Drawing).lead_share
        return stream(self.errors, meter.id, function.value, "leads").uniform(0.0, most)


def draw_instance(
    appliance: Appliance, faults: Sequence[str], meters: Sequence[Meter], errors: str, rng: random.Random
) -> Instance:
    """Draw how an appliance was made and how bad its faults are."""
    assumed, drawing = model_of(appliance).assumed.spreads, appliance.assumptions.get(Drawing)
    of_kind, severity, within = _spreads(assumed), assumed.severity, drawing.within
    alloy = math.exp(rng.uniform(-within, within) * assumed.alloy)
    # A coil has nothing in common with another: one draw more would make every case of before another.
    common = {kind: rng.uniform(-within, within) for kind in BranchKind if kind is not BranchKind.COIL}
    spread = np.ones(len(appliance.branches))
    for i, branch in enumerate(appliance.branches):
        if branch.kind is BranchKind.ELEMENT:
            spread[i] = alloy * (
                1.0 + branch.tolerance * rng.uniform(-drawing.within_tolerance, drawing.within_tolerance)
            )
        elif branch.kind in (BranchKind.CONTACT, BranchKind.FUSE, BranchKind.WIRE):
            spread[i] = math.exp(of_kind[branch.kind] * common[branch.kind])
        else:
            spread[i] = math.exp(of_kind[branch.kind] * rng.uniform(-within, within))
    present = frozenset(faults)
    altered = tuple(
        _as_bad(f, severity[f.kind] * rng.uniform(-within, within)) if f.id in present and f.kind in severity else f
        for f in appliance.faults
    )
    here = appliance if altered == appliance.faults else replace(appliance, faults=altered)
    return Instance(here, present, spread, tuple(meters), errors)


def redrawn(made: Instance, errors: str) -> Instance:
    """The same appliance read with the instruments' errors drawn anew."""
    return replace(made, errors=errors)


def _as_bad(fault: Fault, ln_factor: float) -> Fault:
    factor = math.exp(ln_factor)
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
