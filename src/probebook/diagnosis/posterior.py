"""What is probably wrong, given everything observed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance
from probebook.diagnosis.evidence import Evidence, Measured, Observation, plain_log_likelihood
from probebook.diagnosis.hypotheses import Hypothesis, hypotheses, name_of, settled
from probebook.diagnosis.integration import (
    SEED,
    Belief,
    Instrument,
    alone,
    believe,
    draws,
    instrument,
    log_evidence,
    widen,
)
from probebook.diagnosis.response import response
from probebook.errors import UsageError
from probebook.meters import Meter

FloatArray = NDArray[np.float64]

#: A key counts as determined from this probability on, with no rival above that one.
DETERMINED, RUNNER_UP = 0.95, 0.02

#: Number of common draws.
DRAWS = 64

#: Number of common draws where the posterior is only a step on the way.
FEW_DRAWS = 16

#: Hypotheses this far, in ln of probability, behind the best at their own highest point are left at that figure.
HOPELESS = 25.0

#: One instrument, or several of which the first with the function in question is used.
Meters = Meter | Sequence[Meter]


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """Probabilities of all hypotheses.

    Attributes
    ----------
    appliance, evidence, meters
        What it is about, what it follows from, and the instruments used.
    hypotheses
        ``h`` of them, in the order of :func:`~probebook.diagnosis.hypotheses`.
    probabilities
        Shape ``(h,)``; they sum to 1 and none is nought.
    log_evidence
        ln p(evidence | hypothesis), shape ``(h,)``.
    by_observation
        ln p(observation | hypothesis) of each observation taken alone, shape ``(h, observations)``.
    belief
        Where the unknowns lie under each hypothesis.
    """

    appliance: Appliance
    evidence: Evidence
    meters: tuple[Meter, ...]
    hypotheses: tuple[Hypothesis, ...]
    probabilities: FloatArray
    log_evidence: FloatArray
    by_observation: FloatArray
    belief: Belief

    def ranked(self) -> tuple[tuple[Hypothesis, float], ...]:
        """Hypotheses with their probabilities, most probable first; equal ones by name."""
        pairs = zip(self.hypotheses, self.probabilities.tolist(), strict=True)
        return tuple(sorted(pairs, key=lambda p: (-p[1], p[0].name)))

    def row(self, faults: Iterable[str]) -> int:
        """Place of the hypothesis with exactly these faults (a user setting is no fault).

        Raises
        ------
        UsageError
            No such hypothesis is listed.
        """
        wanted = settled(self.appliance, faults)
        for row, hypothesis in enumerate(self.hypotheses):
            if hypothesis.faults == wanted:
                return row
        raise UsageError(
            f"'{name_of(wanted)}' is not among the hypotheses",
            where=self.appliance.id,
            remedy="name no fault, one fault, or two that can be present together",
        )

    def probability_of(self, faults: Iterable[str]) -> float:
        """Probability of exactly these faults; UsageError when no such hypothesis is listed."""
        return float(self.probabilities[self.row(faults)])

    def marginals(self) -> dict[str, float]:
        """Probability that each fault is present, alone or with another, in file order."""
        found = {f.id: 0.0 for f in self.appliance.faults}
        for hypothesis, probability in zip(self.hypotheses, self.probabilities.tolist(), strict=True):
            for fault in hypothesis.faults:
                found[fault] += probability
        return found

    @property
    def determined(self) -> bool:
        """Whether one hypothesis is established: at least 0.95, the runner-up at most 0.02."""
        return determined(self)


def determined(posterior: Posterior) -> bool:
    """Whether one hypothesis has at least :data:`DETERMINED` and no other more than :data:`RUNNER_UP`."""
    if len(posterior.probabilities) < 2:
        return True
    second, first = np.sort(posterior.probabilities)[-2:]
    return bool(first >= DETERMINED and second <= RUNNER_UP)


def as_meters(meter: Meters) -> tuple[Meter, ...]:
    """The instruments as a tuple."""
    return (meter,) if isinstance(meter, Meter) else tuple(meter)


def posterior(
    appliance: Appliance,
    evidence: Sequence[Observation],
    meter: Meters,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Posterior:
    """Probabilities of all hypotheses about an appliance, given evidence of any sort in any order.

    Parameters
    ----------
    appliance, evidence
        What was observed of what.
    meter
        The instrument used; or several, of which the first that has a function was used for it.
    draws, seed
        Number and seed of the common random draws of what is unknown; with 1 the integral is taken at its highest
        point (Laplace), which is quicker and nearly as good.

    Raises
    ------
    KeyError
        A reading names a position, wire or terminal that the appliance does not have.
    UsageError
        No instrument has a function that was used, or it cannot show what was read.
    """
    listed = hypotheses(appliance)
    # In an order of their own, so that the order in which they come makes no difference to the last digit.
    columns = sorted((i for i, o in enumerate(evidence) if isinstance(o, Measured)), key=lambda i: _place(evidence[i]))
    taken = [o for i in columns if isinstance(o := evidence[i], Measured)]
    known = response(appliance, [m.trial for m in taken])
    # What moves none of the readings stays as it was and need not be carried along.
    live = np.flatnonzero(np.abs(known.slope).max(axis=(0, 1), initial=0.0))
    # Hypotheses that answer these readings alike are worked out once: ``back`` leads from each to its like.
    first, back = _alike(known.ln_ohms, known.slope[..., live])
    ln_ohms, slope = known.ln_ohms[first], known.slope[first][..., live]
    device = device_of(taken, meter)
    belief = believe(ln_ohms, slope, device)
    total = np.zeros(len(listed))
    singly = np.zeros((len(listed), len(evidence)))
    if taken:
        singly[:, columns] = alone(ln_ohms, slope, device)[back]
    for i, observation in enumerate(evidence):
        if not isinstance(observation, Measured):
            singly[:, i] = plain_log_likelihood(appliance, observation)
            total += singly[:, i]
    score = np.log([h.prior for h in listed]) + total
    if taken:
        normal = _draws(draws, belief.mean.shape[-1], seed)
        best = np.full(len(first), -np.inf)
        np.maximum.at(best, back, score)
        found = _of_readings(ln_ohms, slope, belief, device, best, normal)[back]
        total, score = total + found, score + found
    weights = np.exp(score - score.max())
    probabilities = np.maximum(weights / weights.sum(), 1e-300)
    everywhere = widen(belief, back, live, len(known.unknowns))
    return Posterior(appliance, tuple(evidence), as_meters(meter), listed, probabilities, total, singly, everywhere)


_draws = draws


def _place(observation: Observation) -> tuple[object, ...]:
    if not isinstance(observation, Measured):
        return ()
    return (*observation.trial.key, observation.value, observation.nulled)


def _alike(ln_ohms: FloatArray, slope: FloatArray) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows that stand for all that predict the same to within 1 in 10⁷, and for each row the place of its like."""
    rows = np.round(np.concatenate([ln_ohms[..., None], slope], axis=-1), 7).reshape(len(ln_ohms), -1) + 0.0
    places: dict[bytes, int] = {}
    back = np.array([places.setdefault(row.tobytes(), len(places)) for row in rows], dtype=np.intp)
    return np.unique(back, return_index=True)[1], back


def _of_readings(
    ln_ohms: FloatArray,
    slope: FloatArray,
    belief: Belief,
    device: Instrument,
    score: FloatArray,
    normal: FloatArray,
) -> FloatArray:
    """Natural log of p(readings | hypothesis): at its highest point for all, by all draws for those in the running."""
    peak = log_evidence(ln_ohms, slope, belief, device, np.zeros_like(normal[:1]))
    if len(normal) == 1:
        return peak
    rows = np.flatnonzero(peak + score >= (peak + score).max() - HOPELESS)
    here = Belief(belief.mean[rows], belief.factor[rows])
    peak[rows] = log_evidence(ln_ohms[rows], slope[rows], here, device, normal)
    return peak


def device_of(taken: Sequence[Measured], meter: Meters) -> Instrument:
    """The instrument side of readings."""
    return instrument(
        as_meters(meter),
        tuple(m.trial.function for m in taken),
        np.array([m.value for m in taken], dtype=np.float64),
        tuple(m.nulled for m in taken),
    )
