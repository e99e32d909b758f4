"""What is probably wrong, given everything observed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, FaultKind
from probebook.diagnosis.candidates import Hypothesis, name_of, settled
from probebook.diagnosis.evidence import Evidence, Measured, Observation, plain_log_likelihood
from probebook.diagnosis.model import About, ApplianceModel, model_of
from probebook.diagnosis.probability.integration import SEED, Belief, Instrument, instrument
from probebook.diagnosis.probability.leakage import Leakage
from probebook.diagnosis.probability.linear import Linear
from probebook.errors import UsageError
from probebook.memo import memo_by_identity
from probebook.meters import Function, Meter
from probebook.numerics.rounding import rounded

FloatArray = NDArray[np.float64]

#: Number of common draws.
DRAWS = 64

#: Number of common draws where the posterior is only a step on the way.
FEW_DRAWS = 16

#: Ratios of likelihoods, in ln, are compared no finer than this.
LEAST = 1e-9

#: Faults of insulation: what drying does to them tells them apart.
LEAKS = (FaultKind.LEAK, FaultKind.DAMP)

#: One instrument, or several of which the first with the function in question is used.
Meters = Meter | Sequence[Meter]


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """Probabilities of all hypotheses.

    Attributes
    ----------
    model, evidence, meters
        What it is about, what it follows from, and the instruments used.
    hypotheses
        ``h`` of them, in the order of :func:`~probebook.diagnosis.hypotheses`.
    probabilities
        Shape ``(h,)``; they sum to 1 and none is nought.
    log_evidence
        ln p(evidence | hypothesis), shape ``(h,)``.
    by_observation
        ln p(observation | hypothesis) of each observation taken alone, shape ``(h, observations)``.
    linear
        The plain readings, and where they put the unknowns.
    """

    model: ApplianceModel
    evidence: Evidence
    meters: tuple[Meter, ...]
    hypotheses: tuple[Hypothesis, ...]
    probabilities: FloatArray
    log_evidence: FloatArray
    by_observation: FloatArray
    linear: Linear

    @property
    def appliance(self) -> Appliance:
        """The appliance it is about."""
        return self.model.appliance

    @property
    def belief(self) -> Belief:
        """Where the unknowns lie under each hypothesis, all readings taken as linear in them: to value trials by."""
        return _belief(self)

    def ranked(self) -> tuple[tuple[Hypothesis, float], ...]:
        """Hypotheses with their probabilities, most probable first; equal ones by name."""
        scores = rounded(self.probabilities).tolist()
        rows = sorted(range(len(scores)), key=lambda row: (-scores[row], self.hypotheses[row].name))
        return tuple((self.hypotheses[row], float(self.probabilities[row])) for row in rows)

    @property
    def likeliest(self) -> int:
        """Row of the most probable hypothesis; of equal ones the first by name."""
        return self.row(self.ranked()[0][0].faults)

    def log_ratios(self, row: int, rival: int) -> FloatArray:
        """Ln of how many times better ``row`` explains each observation, rounded, shape ``(observations,)``.

        Good insulation tells only of what leaks, and of metalwork that is off its earth: nought between two others.
        """
        ratios = rounded(self.by_observation[row] - self.by_observation[rival], least=LEAST)
        kinds = {self.appliance.fault(f).kind for h in (row, rival) for f in self.hypotheses[h].faults}
        if kinds.isdisjoint((*LEAKS, FaultKind.EARTH_OFF)):
            ratios[[self.is_good_insulation(o) for o in self.evidence]] = 0.0
        return ratios

    def leaks(self, row: int) -> bool:
        """Whether a hypothesis has a fault of insulation among its faults."""
        return any(self.appliance.fault(f).kind in LEAKS for f in self.hypotheses[row].faults)

    def is_good_insulation(self, item: Observation) -> bool:
        """Whether an observation is an insulation reading that counts as good."""
        good = self.model.assumed.reckonings.good_insulation
        return isinstance(item, Measured) and item.trial.function is Function.INSULATION and item.value >= good

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
        """Whether one hypothesis is established, with no rival worth a thought."""
        return determined(self)


def determined(posterior: Posterior) -> bool:
    """Whether one hypothesis is as probable as counts as determined, and no other more than a runner-up may be."""
    if len(posterior.probabilities) < 2:
        return True
    second, first = np.sort(rounded(posterior.probabilities))[-2:]
    settling = posterior.model.assumed.settling
    return bool(first >= settling.determined and second <= settling.runner_up)


def as_meters(meter: Meters) -> tuple[Meter, ...]:
    """The instruments as a tuple."""
    return (meter,) if isinstance(meter, Meter) else tuple(meter)


def posterior(
    about: About,
    evidence: Sequence[Observation],
    meter: Meters,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Posterior:
    """Probabilities of all hypotheses about an appliance, given evidence of any sort in any order.

    Parameters
    ----------
    about, evidence
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
    model = model_of(about)
    listed = model.hypotheses
    # In an order of their own, so that the order in which they come makes no difference to the last digit.
    columns = sorted((i for i, o in enumerate(evidence) if isinstance(o, Measured)), key=lambda i: _place(evidence[i]))
    readings = {i: o for i in columns if isinstance(o := evidence[i], Measured)}
    tests = {i: m for i, m in readings.items() if m.trial.function is Function.INSULATION}
    plain = {i: m for i, m in readings.items() if i not in tests}
    total = np.zeros(len(listed))
    singly = np.zeros((len(listed), len(evidence)))
    for i, observation in enumerate(evidence):
        if not isinstance(observation, Measured):
            singly[:, i] = plain_log_likelihood(model, observation)
            total += singly[:, i]
    score = np.log([h.prior for h in listed]) + total
    linear = _linear(model, list(plain.values()), meter)
    if plain:
        singly[:, list(plain)] = linear.alone()
        found = linear.log_evidence(score, draws, seed)
        total, score = total + found, score + found
    if tests:
        leakage = leakage_of(model, list(tests.values()), meter)
        singly[:, list(tests)] = leakage.alone()
        found = leakage.log_evidence(score)
        total, score = total + found, score + found
    weights = np.exp(score - score.max())
    probabilities = np.maximum(weights / weights.sum(), 1e-300)
    return Posterior(model, tuple(evidence), as_meters(meter), listed, probabilities, total, singly, linear)


@memo_by_identity(16)
def _belief(found: Posterior) -> Belief:
    readings = [o for o in found.evidence if isinstance(o, Measured)]
    if all(m.trial.function is not Function.INSULATION for m in readings):
        return found.linear.everywhere
    return _linear(found.model, sorted(readings, key=_place), found.meters).everywhere


def _linear(model: ApplianceModel, taken: Sequence[Measured], meter: Meters) -> Linear:
    return Linear.of(model.response([m.trial for m in taken]), device_of(taken, meter))


def leakage_of(about: About, tests: Sequence[Measured], meter: Meters) -> Leakage:
    """Insulation readings as they stand under every hypothesis; errors as of :func:`posterior`."""
    responses = model_of(about).responses
    return Leakage.of([responses.leaks(m.trial) for m in tests], device_of(tests, meter))


def insulation_tail(found: Posterior, row: int) -> float:
    """The p-value of the insulation readings of the evidence under the hypothesis in ``row``; 1 without any.

    See :func:`~probebook.diagnosis.probability.insulation.tail_probability`.
    """
    tests = [o for o in found.evidence if isinstance(o, Measured) and o.trial.function is Function.INSULATION]
    if not tests:
        return 1.0
    return leakage_of(found.model, sorted(tests, key=_place), found.meters).tail_probability(row)


def _place(observation: Observation) -> tuple[object, ...]:
    if not isinstance(observation, Measured):
        return ()
    return (*observation.trial.key, observation.value, observation.nulled)


def device_of(taken: Sequence[Measured], meter: Meters) -> Instrument:
    """The instrument side of readings."""
    return instrument(
        as_meters(meter),
        tuple(m.trial.function for m in taken),
        np.array([m.value for m in taken], dtype=np.float64),
        tuple(m.nulled for m in taken),
    )
