"""One appliance as it stands on the bench: what is wrong with it, how its parts happen to be made, what a trial shows.

The same specimen gives the same reading for the same trial, whenever and in whatever order trials are done: the seed
and the trial decide the last digit.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import OHMMETER_VOLTS, Appliance
from probebook.appliances.probing import probe_ohms
from probebook.diagnosis.evidence import Measured, Observation, Ran, Seen, measured, shown_by, visible
from probebook.diagnosis.model import symptoms
from probebook.diagnosis.places import place_of
from probebook.diagnosis.probability.integration import meter_for
from probebook.diagnosis.trial import Trial, TrialKind
from probebook.meters import Function, Meter, read

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Specimen:
    """An appliance with faults, as made.

    Attributes
    ----------
    appliance, faults
        Which, and what is wrong with it.
    spread
        Factor on the nominal ohms of each branch, shape ``(m,)``: where each part lies within its making tolerance.
    gain
        Where the instrument's gain lies within its accuracy statement, -1 to 1.
    seed
        Decides the last digit of every reading.
    """

    appliance: Appliance
    faults: frozenset[str]
    spread: FloatArray
    gain: float
    seed: int


def specimen(appliance: Appliance, faults: Iterable[str], seed: int) -> Specimen:
    """An appliance with these faults, made somewhere within tolerance; the same for the same seed."""
    rng = np.random.default_rng(seed)
    half_widths = np.array([b.tolerance for b in appliance.branches])
    spread = 1.0 + half_widths * rng.uniform(-1.0, 1.0, len(half_widths))
    return Specimen(appliance, frozenset(faults), spread, float(rng.uniform(-1.0, 1.0)), seed)


def observe(item: Specimen, trial: Trial, meters: Sequence[Meter]) -> Observation:
    """What a trial shows on a specimen.

    A look shows what there is to see, a run every symptom of its position, a heat-up record that of the temperature.
    KeyError for unknown names, UsageError when no instrument has the function.
    """
    appliance = item.appliance
    if trial.kind is TrialKind.METER:
        return _read(item, trial, meters)
    if trial.kind is TrialKind.LOOK:
        shown = (visible(f) for f in appliance.faults if f.id in item.faults and place_of(appliance, f) == trial.at)
        return Seen(trial.at, next((what for what in shown if what), ""))
    return Ran(trial.position, shown_by(trial, symptoms(appliance, item.faults)))


def _read(item: Specimen, trial: Trial, meters: Sequence[Meter]) -> Measured:
    insulation = trial.function is Function.INSULATION
    volts = item.appliance.region.test_volts if insulation else OHMMETER_VOLTS
    state = trial.state(item.faults)
    ohms = float(probe_ohms(item.appliance, [state], [trial.probes], test_volts=volts, spread=item.spread)[0, 0])
    meter = meter_for(tuple(meters), trial.function)
    digest = hashlib.blake2b(repr((item.seed, trial.key)).encode(), digest_size=8).digest()
    wobble = int.from_bytes(digest, "big") / 2**63 - 1.0
    return measured(trial, read(meter, trial.function, ohms, gain=item.gain, wobble=wobble, test_volts=volts))
