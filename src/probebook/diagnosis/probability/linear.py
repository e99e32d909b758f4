"""Readings whose logarithm is linear in what is unknown, weighed under every hypothesis of an appliance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.physics.responses import Response
from probebook.diagnosis.probability.integration import (
    Belief,
    Instrument,
    alone,
    believe,
    draws,
    log_evidence,
    widen,
)

FloatArray = NDArray[np.float64]

#: Hypotheses this far, in ln of probability, behind the best at their own highest point are left at that figure.
HOPELESS = 25.0


@dataclass(frozen=True, slots=True, eq=False)
class Linear:
    """Readings whose logarithm is linear in what is unknown.

    Attributes
    ----------
    ln_ohms, slope, device, belief
        What they would find, the instrument, and where the unknowns lie: of hypotheses that differ, over unknowns that
        move a reading.
    back
        Leads from each hypothesis to its like.
    live, unknowns
        Places of the unknowns that move a reading, and the number of all.
    """

    ln_ohms: FloatArray
    slope: FloatArray
    device: Instrument
    belief: Belief
    back: NDArray[np.intp]
    live: NDArray[np.intp]
    unknowns: int

    @classmethod
    def of(cls, known: Response, device: Instrument) -> Linear:
        """Solve the linear problem of readings, from what they would find and the instrument side of them."""
        # What moves none of the readings stays as it was and need not be carried along.
        live = np.flatnonzero(np.abs(known.slope).max(axis=(0, 1), initial=0.0))
        # Hypotheses that answer these readings alike are worked out once.
        first, back = _alike(known.ln_ohms, known.slope[..., live])
        ln_ohms, slope = known.ln_ohms[first], known.slope[first][..., live]
        return cls(ln_ohms, slope, device, believe(ln_ohms, slope, device), back, live, len(known.unknowns))

    @property
    def everywhere(self) -> Belief:
        """Where all unknowns lie under every hypothesis."""
        return widen(self.belief, self.back, self.live, self.unknowns)

    def alone(self) -> FloatArray:
        """Natural log of p(display | hypothesis) of each reading as if it were the only one, shape ``(h, t)``."""
        return alone(self.ln_ohms, self.slope, self.device)[self.back]

    def log_evidence(self, score: FloatArray, count: int, seed: int) -> FloatArray:
        """Natural log of p(readings | hypothesis), shape ``(h,)``.

        At its highest point for all, by ``count`` draws for those in the running by their ``score``.
        """
        normal = draws(count, self.belief.mean.shape[-1], seed)
        peak = log_evidence(self.ln_ohms, self.slope, self.belief, self.device, np.zeros_like(normal[:1]))
        if len(normal) > 1:
            best = np.full(len(peak), -np.inf)
            np.maximum.at(best, self.back, score)
            rows = np.flatnonzero(peak + best >= (peak + best).max() - HOPELESS)
            here = Belief(self.belief.mean[rows], self.belief.factor[rows])
            peak[rows] = log_evidence(self.ln_ohms[rows], self.slope[rows], here, self.device, normal)
        return peak[self.back]


def _alike(ln_ohms: FloatArray, slope: FloatArray) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows that stand for all that predict the same to within 1 in 10⁹, and for each row the place of its like."""
    rows = np.round(np.concatenate([ln_ohms[..., None], slope], axis=-1), 9).reshape(len(ln_ohms), -1) + 0.0
    places: dict[bytes, int] = {}
    back = np.array([places.setdefault(row.tobytes(), len(places)) for row in rows], dtype=np.intp)
    return np.unique(back, return_index=True)[1], back


__all__ = ["Linear"]
