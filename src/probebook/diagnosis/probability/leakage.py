"""Insulation readings weighed under every hypothesis of an appliance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.physics.paths import Leaks, LeaksTable
from probebook.diagnosis.probability.displays import Display, window
from probebook.diagnosis.probability.insulation import Seen, log_evidence, seen_by, tail_probability
from probebook.diagnosis.probability.integration import Instrument
from probebook.meters import log_likelihood
from probebook.meters.likelihood import ENDLESS
from probebook.meters.scale import Scale
from probebook.numerics.choosing import in_order
from probebook.numerics.rounding import rounded

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: What cannot come within this, in ln, of the best is left at the most that it can be.
OUT_OF_REACH = 12.0
#: Scores are compared no finer than this.
LEAST = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Leakage:
    """What insulation readings see under each hypothesis, and what they showed.

    Attributes
    ----------
    seen
        The different ways in which the readings may see the paths.
    singly
        Natural log of the probability of each display alone in each of these ways, shape ``(ways, t)``.
    back
        For each hypothesis which of these it is, shape ``(h,)``.
    displays
        What each reading showed.
    """

    seen: tuple[Seen, ...]
    singly: FloatArray
    back: IntArray
    displays: tuple[Display, ...]

    @classmethod
    def of(cls, found: Sequence[LeaksTable], device: Instrument) -> Leakage:
        """From what each reading finds under each hypothesis, and the instrument side of the readings."""
        displays = _displays(device)
        rows, back = np.unique(np.stack([each.back for each in found], axis=1), axis=0, return_inverse=True)
        ways = [tuple(each.kinds[k] for each, k in zip(found, row, strict=True)) for row in rows.tolist()]
        seen = tuple(seen_by(way) for way in ways)
        singly = np.array([[log_alone(f, d) for f, d in zip(way, displays, strict=True)] for way in ways])
        return cls(seen, singly, back.reshape(-1).astype(np.intp), displays)

    def alone(self) -> FloatArray:
        """Natural log of p(display | hypothesis) of each reading as if it were the only one, shape ``(h, t)``."""
        return np.asarray(self.singly[self.back])

    def log_evidence(self, score: FloatArray, best_score: float = -np.inf) -> FloatArray:
        """Natural log of p(all displays | hypothesis), shape ``(h,)``.

        Hypotheses that by their ``score``, shape ``(h,)``, ln of prior and other evidence, cannot come near the best
        are left at the most that theirs can be: all displays are no more probable than one of them times the most
        that the others can be. ``best_score`` is that of the best of others, its insulation taken in.
        """
        if len(self.displays) == 1:
            return np.asarray(self.singly[self.back, 0])
        best = np.full(len(self.seen), -np.inf)
        np.maximum.at(best, self.back, score)
        tops = np.log([window((d,)).chance.max() + d.slipped for d in self.displays])
        most = (self.singly - tops).min(axis=1) + tops.sum()
        found, reach, top = most.copy(), rounded(most + best, least=LEAST), best_score
        for i in in_order(-reach).tolist():
            if reach[i] < top - OUT_OF_REACH:
                break
            found[i] = log_evidence(self.seen[i], self.displays)
            top = max(top, found[i] + best[i])
        return np.asarray(found[self.back])

    def tail_probability(self, row: int) -> float:
        """The p-value of the insulation readings under the hypothesis in ``row``: see :func:`tail_probability`."""
        return tail_probability(self.seen[self.back[row]], self.displays)


@lru_cache(maxsize=1 << 14)
def log_alone(leaks: Leaks, display: Display) -> float:
    """Natural log of p(display) of one reading that finds these paths."""
    return log_evidence(seen_by((leaks,)), (display,))


def _displays(device: Instrument) -> tuple[Display, ...]:
    found: list[Display] = []
    for i, (meter, function) in enumerate(zip(device.meters, device.functions, strict=True)):
        value = float(device.shown[i])
        scale = Scale.of(meter, function)
        step = float(scale.resolution[scale.range_of(value)])
        # What is farthest from the display shows what is left where a reading says nothing.
        far = 0.0 if math.isinf(value) else ENDLESS
        slipped = math.exp(float(log_likelihood(meter, function, [value], [far])[0]))
        own = (float(device.noise[i]), float(device.gain[i]))
        found.append(Display(value, *own, step, float(device.top[i]), slipped, 1.0 - meter.astray.share))
    return tuple(found)


__all__ = ["Leakage"]
