"""Evidence as somebody takes it who makes a slip, and what then seems most probable."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance
from probebook.cases.model import Case
from probebook.diagnosis import Evidence, Expected, Measured, Observation, Posterior, expected, posterior
from probebook.diagnosis.inference import LEAST
from probebook.meters import Meter
from probebook.numerics.choosing import in_order
from probebook.numerics.rounding import rounded
from probebook.words import Facts, Phrase, Words

__all__ = ["Misreading", "Stages", "View", "believed", "changed", "stages"]


@dataclass(frozen=True, slots=True)
class Misreading:
    """The faults that a slip leads to, and a sentence with the case's own figures.

    ``reading`` is the number of the reading that the sentence quotes, 0 where it quotes none.
    """

    slip: str
    faults: frozenset[str]
    here: Phrase
    reading: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A case, what follows from its evidence, and the words to speak of it."""

    words: Words
    case: Case
    appliance: Appliance
    found: Posterior

    @property
    def meters(self) -> tuple[Meter, ...]:
        """The meters it was read with."""
        return self.found.meters

    def sound(self, item: Measured) -> Expected:
        """What a sound appliance shows where a reading was taken."""
        return expected(self.appliance, item.trial, (), self.meters, nulled=item.nulled)

    def says(self, slip: str, faults: frozenset[str], facts: Facts, key: str, reading: int = 0) -> Misreading:
        """A slip with its sentence."""
        return Misreading(slip, faults, self.words.say(facts, key), reading)


def believed(appliance: Appliance, evidence: Sequence[Observation], meters: Sequence[Meter]) -> frozenset[str]:
    """The most probable explanation of evidence as somebody takes it."""
    found = posterior(appliance, evidence, tuple(meters), draws=1)
    return found.ranked()[0][0].faults


def changed(case: Case, change: Callable[[Measured], Measured | None]) -> list[tuple[int, Measured, Evidence]]:
    """Every reading that a slip changes, by its number, with the evidence as it then looks."""
    rows: list[tuple[int, Measured, Evidence]] = []
    for i, item in enumerate(case.evidence):
        if isinstance(item, Measured) and (new := change(item)) is not None:
            rows.append((i, item, (*case.evidence[:i], new, *case.evidence[i + 1 :])))
    return rows


@dataclass(frozen=True, slots=True)
class Stages:
    """Where each hypothesis was likeliest, short of the whole evidence.

    Attributes
    ----------
    order
        Rows of the hypotheses, the likeliest first.
    share
        Probability of each at its best stage, shape ``(h,)``.
    after
        Readings known at that stage, shape ``(h,)``; -1 where it is the stage without one reading.
    without
        Number of the reading left out, shape ``(h,)``; 0 for none.
    """

    order: NDArray[np.intp]
    share: NDArray[np.float64]
    after: NDArray[np.intp]
    without: NDArray[np.intp]


def stages(case: Case, found: Posterior) -> Stages:
    """What was still possible at some stage, or would be if one reading had not been taken."""
    prior = np.log([h.prior for h in found.hypotheses])
    last = len(case.evidence) - 1
    on_the_way = _shares(prior[:, None] + np.cumsum(found.by_observation, axis=1))[:, :last]
    everything = prior + found.by_observation.sum(axis=1)
    # To leave out the last reading is to stop before it, a stage that is there already.
    without = _shares(everything[:, None] - found.by_observation)[:, 1:last]
    # Only the reading that speaks most against a rival is said to have ruled it out.
    against = rounded(found.by_observation[found.row(case.truth)] - found.by_observation, least=LEAST)
    without = np.where(np.arange(1, last) == np.argmax(against, axis=1)[:, None], without, 0.0)
    chance = rounded(np.concatenate([on_the_way, without], axis=1))
    single = np.array([len(h.faults) <= 1 for h in found.hypotheses])
    best = np.argmax(chance, axis=1)
    return Stages(
        order=in_order(-chance.max(axis=1) - single),
        share=chance.max(axis=1),
        after=np.where(best < last, best, -1),
        without=np.where(best >= last, best - last + 1, 0),
    )


def _shares(score: NDArray[np.float64]) -> NDArray[np.float64]:
    share = np.exp(score - score.max(axis=0))
    return np.asarray(share / share.sum(axis=0))
