"""Why the key is the key: the fewest observations that establish it, and what excludes each rival.

The factor of an observation against a rival is p(observation | key) / p(observation | rival): how many times better the
key explains it. :mod:`probebook.diagnosis.saying.contrasts` says each in plain words.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from probebook.diagnosis.inference import FEW_DRAWS, Posterior, determined, posterior
from probebook.numerics.choosing import largest, largest_of
from probebook.numerics.rounding import rounded_number


@dataclass(frozen=True, slots=True)
class Exclusion:
    """What speaks against one rival.

    Attributes
    ----------
    rival
        Its faults.
    observation
        Place in the evidence of the observation that speaks most against it; -1 where none does.
    factor
        How many times better the key explains that observation.
    total
        The same for all observations of the proof together.
    excludes
        Whether that observation alone excludes it.
    together
        How many times better the key explains all of the evidence, weighed as a whole; 1 where only some was asked
        about.
    """

    rival: frozenset[str]
    observation: int
    factor: float
    total: float
    excludes: bool
    together: float = 1.0


@dataclass(frozen=True, slots=True)
class Proof:
    """That the evidence establishes a key, or that it does not.

    Attributes
    ----------
    truth
        The faults that were to be proved.
    established
        Whether the observations below determine it (:func:`~probebook.diagnosis.determined`) and it is the key.
    observations
        Places in the evidence of the fewest observations found that are enough, in order; all of it when it is not.
    probability, runner_up
        Of the key, and of the best rival, on those observations.
    exclusions
        One for each rival with a noticeable prior, most probable first.
    """

    truth: frozenset[str]
    established: bool
    observations: tuple[int, ...]
    probability: float
    runner_up: float
    exclusions: tuple[Exclusion, ...]


def prove(found: Posterior, truth: Iterable[str], on_these: Sequence[int] | None = None) -> Proof:
    """Prove a set of faults from the evidence of a posterior.

    The set of observations is found greedily and then thinned until none can be left out, unless ``on_these`` names the
    places of those to prove it on; UsageError when the faults are not among the hypotheses.
    """
    row = found.row(truth)
    key = found.hypotheses[row]
    chosen = _fewest(found, row) if on_these is None else tuple(sorted(on_these))
    on = posterior(found.model, [found.evidence[i] for i in chosen], found.meters)
    rivals = np.delete(on.probabilities, row)
    return Proof(
        truth=key.faults,
        established=_establishes(on, row),
        observations=chosen,
        probability=float(on.probabilities[row]),
        runner_up=float(rivals.max(initial=0.0)),
        exclusions=tuple(
            exclusion(found, row, i, chosen)
            for i, h in sorted(enumerate(found.hypotheses), key=lambda p: (-rounded_number(p[1].prior), p[1].name))
            if i != row and h.prior >= found.model.assumed.settling.noticeable
        ),
    )


def _establishes(found: Posterior, row: int) -> bool:
    return determined(found) and largest(found.probabilities) == row


def _on(found: Posterior, chosen: Iterable[int]) -> Posterior:
    return posterior(found.model, [found.evidence[i] for i in sorted(chosen)], found.meters, draws=FEW_DRAWS)


def _fewest(found: Posterior, row: int) -> tuple[int, ...]:
    """Places of the fewest observations found that establish the hypothesis in ``row``; all when nothing does."""
    everything = tuple(range(len(found.evidence)))
    if not _establishes(found, row):
        return everything
    prior = np.log([h.prior for h in found.hypotheses])
    chosen: list[int] = []
    while len(chosen) < len(everything):
        score = prior + found.by_observation[:, chosen].sum(axis=1)
        best = largest_of([i for i in everything if i not in chosen], partial(_share_with, found, score, row))
        chosen.append(best)
        if _establishes(_on(found, chosen), row):
            break
    for i in list(chosen):
        fewer = [j for j in chosen if j != i]
        if _establishes(_on(found, fewer), row):
            chosen = fewer
    return tuple(sorted(chosen))


def _share_with(found: Posterior, score: np.ndarray, row: int, place: int) -> float:
    """Share of a hypothesis by a score and one observation more, as if that were independent."""
    together = score + found.by_observation[:, place]
    return float(1.0 / np.exp(together - together[row]).sum())


def exclusion(found: Posterior, row: int, rival: int, among: Sequence[int]) -> Exclusion:
    """What of the observations at places ``among`` speaks against the hypothesis ``rival``, for that in ``row``."""
    faults, settling = found.hypotheses[rival].faults, found.model.assumed.settling
    ratios = found.log_ratios(row, rival)[list(among)]
    total = _factor(math.fsum(ratios))
    whole = len(ratios) == len(found.evidence)
    together = _factor(float(found.log_evidence[row] - found.log_evidence[rival])) if whole else 1.0
    if not len(ratios) or float(ratios.max()) < math.log(settling.speaks):
        return Exclusion(faults, -1, 1.0, total, excludes=False, together=together)
    best = largest(ratios)
    factor = _factor(float(ratios[best]))
    return Exclusion(faults, among[best], factor, total, factor >= settling.excludes, together)


def _factor(ratio: float) -> float:
    return math.exp(min(max(ratio, -300.0), 300.0))
