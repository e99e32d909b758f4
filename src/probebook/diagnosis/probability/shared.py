"""An integral over quantities of which readings show sums, some of them seen by several readings.

A quantity that one reading alone sees is integrated in closed form. Each other is summed over nodes, one after the
other: every node so far becomes as many as the quantity's panels have, and once a reading has all that it sees, what it
showed leaves few of them in the running. Panels begin and end where the displays, less what is already there, put them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.probability.displays import Window
from probebook.diagnosis.probability.lognormal import Spread

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Nodes and weights of the gain, in standard deviations (Gauss and Hermite, three nodes).
GAIN = np.array([-math.sqrt(3.0), 0.0, math.sqrt(3.0)])
GAIN_WEIGHTS = np.array([1.0, 4.0, 1.0]) / 6.0
#: Nodes and weights of Gauss and Legendre on a panel from 0 to 1.
NODES = np.array([0.5 - math.sqrt(0.15), 0.5, 0.5 + math.sqrt(0.15)])
WEIGHTS = np.array([5.0, 8.0, 5.0]) / 18.0
#: Panels of a quantity are at most this many of its standard deviations wide.
PANEL = 1.5
#: Nodes of less weight than this share of the heaviest are left out.
LEFT_OUT = 1e-7
#: More nodes than this are thinned before each becomes many: so many are kept, evenly spaced by weight.
MOST = 2000
#: Siemens that stand for none.
NOTHING = 1e-30


@dataclass(frozen=True, slots=True, eq=False)
class Test:
    """Readings that see the very same: their window, siemens of plain conductors, and ohms in series by quantity."""

    window: Window
    shunt: float
    series: tuple[float, ...]


@dataclass(slots=True, eq=False)
class _Integral:
    """An integral over quantities while it is worked out: nodes so far.

    Attributes
    ----------
    tests, spreads
        The readings, and how each quantity is distributed.
    gain
        For each node the place of its gain.
    weight
        Of each node, readings taken in so far included.
    siemens
        At the probes of each reading at each node, from quantities taken in so far, shape ``(nodes, readings)``.
    """

    tests: list[Test]
    spreads: list[Spread]
    gain: IntArray
    weight: FloatArray
    siemens: FloatArray

    @classmethod
    def over(cls, spreads: list[Spread], tests: list[Test]) -> FloatArray:
        """Probability of the displays at each gain, shape of :data:`GAIN`."""
        shunts = np.tile([t.shunt for t in tests], (len(GAIN), 1))
        work = cls(tests, spreads, np.arange(len(GAIN)), np.ones(len(GAIN)), shunts)
        shared, private = _order(tests, spreads)
        ahead = [t for t, test in enumerate(tests) if any(s >= 0.0 for s in test.series)]
        for t in set(range(len(tests))).difference(ahead):
            work.weight = work.weight * work.shown(t)
        for n, q in enumerate(shared):
            work.take(q)
            to_come = {*shared[n + 1 :], *private.values()}
            for t in [t for t in ahead if not any(tests[t].series[k] >= 0.0 for k in to_come)]:
                work.weight = work.weight * work.shown(t)
                ahead.remove(t)
            work.prune()
        for t in ahead:
            work.weight = work.weight * work.beyond(t, private[t])
        return np.asarray(np.bincount(work.gain, weights=work.weight, minlength=len(GAIN)), dtype=np.float64)

    def shown(self, t: int) -> FloatArray:
        """Probability of a reading at each node, all that it sees being there."""
        return self.tests[t].window.at(self.siemens[:, t] * self.factor(t))

    def factor(self, t: int) -> FloatArray:
        """What siemens of a reading count for at each node: a gain that shows more stands for less conductance."""
        return np.exp(-GAIN * self.tests[t].window.gain)[self.gain]

    def take(self, q: int) -> None:
        """Sum over a quantity: each node becomes many."""
        self.thin()
        spread = self.spreads[q]
        marks = [np.broadcast_to(_even(spread), (len(self.weight), len(_even(spread))))]
        high = np.full((len(self.weight), 1), spread.high)
        sees = [(t, test.window, test.series[q]) for t, test in enumerate(self.tests) if test.series[q] >= 0.0]
        for t, shown, series in sees:
            wanted = np.append(shown.marks, shown.most) / self.factor(t)[:, None] - self.siemens[:, t : t + 1]
            at = np.log(np.maximum(_before(wanted, series), NOTHING))
            marks.append(at[:, :-1])
            high = np.minimum(high, at[:, -1:])
        edges = np.sort(np.clip(np.concatenate(marks, axis=1), spread.low, np.maximum(high, spread.low)), axis=1)
        rows, columns = np.nonzero(np.diff(edges, axis=1) > 0.0)
        left = edges[rows, columns]
        wide = edges[rows, columns + 1] - left
        ln = left[:, None] + wide[:, None] * NODES
        weight = wide[:, None] * WEIGHTS * spread.density_at(ln) * self.weight[rows, None]
        kept, node = np.nonzero(weight > LEFT_OUT * weight.max(initial=0.0))
        more = np.exp(ln[kept, node])
        self.gain, self.weight = self.gain[rows[kept]], weight[kept, node]
        self.siemens = self.siemens[rows[kept]]
        for t, _, series in sees:
            self.siemens[:, t] += _behind(more, series)

    def prune(self) -> None:
        """Leave out nodes that weigh nothing."""
        kept = np.flatnonzero(self.weight > LEFT_OUT * self.weight.max(initial=0.0))
        self.gain, self.weight, self.siemens = self.gain[kept], self.weight[kept], self.siemens[kept]

    def thin(self) -> None:
        """Let nodes at even steps of the running weight stand for all, where there are too many."""
        if len(self.weight) > MOST:
            running = np.cumsum(self.weight)
            each = running[-1] / MOST
            kept = np.searchsorted(running, each * (np.arange(MOST) + 0.5))
            self.gain, self.siemens = self.gain[kept], self.siemens[kept]
            self.weight = np.full(MOST, each)

    def beyond(self, t: int, q: int) -> FloatArray:
        """Probability of a reading at each node, summed over the quantity that it alone sees."""
        test = self.tests[t]
        wanted = test.window.siemens / self.factor(t)[:, None] - self.siemens[:, t : t + 1]
        below = self.spreads[q].below_at(np.log(np.maximum(_before(wanted, test.series[q]), NOTHING)))
        below[wanted <= 0.0] = 0.0
        return np.asarray(test.window.chance[-1] + (test.window.jumps * below).sum(axis=1))


def _order(tests: list[Test], spreads: list[Spread]) -> tuple[list[int], dict[int, int]]:
    """Quantities to be summed over, in order, and for each reading that has one a quantity that it alone sees."""
    sees = [[t for t, test in enumerate(tests) if test.series[q] >= 0.0] for q in range(len(spreads))]
    private: dict[int, int] = {}
    for q in sorted((q for q in range(len(spreads)) if len(sees[q]) == 1), key=lambda q: (-spreads[q].deviation, q)):
        private.setdefault(sees[q][0], q)
    left = [q for q in range(len(spreads)) if q not in private.values()]
    order: list[int] = []
    while left:
        # Next what leaves a reading with least to come, so that the reading narrows it down.
        def to_come(q: int) -> tuple[int, float, int]:
            ahead = {*left, *private.values()} - {q}
            least = min((sum(tests[t].series[k] >= 0.0 for k in ahead) for t in sees[q]), default=0)
            return least, spreads[q].deviation, q

        chosen = min(left, key=to_come)
        order.append(chosen)
        left.remove(chosen)
    return order, private


def _even(spread: Spread) -> FloatArray:
    """Where even panels of a quantity begin and end."""
    count = max(2, math.ceil((spread.high - spread.low) / (PANEL * spread.deviation)))
    return np.linspace(spread.low, spread.high, count + 1)


def _behind(siemens: FloatArray, series: float) -> FloatArray:
    """Siemens of a quantity with ohms in series."""
    return siemens if series == 0.0 else siemens / (1.0 + series * siemens)


def _before(siemens: FloatArray, series: float) -> FloatArray:
    """Siemens that a quantity must have to make so many with ohms in series; without end where none does."""
    if series == 0.0:
        return siemens
    left = 1.0 - series * siemens
    return np.where(left > 0.0, siemens / np.where(left > 0.0, left, 1.0), np.where(siemens > 0.0, 1.0, siemens))


def integral(spreads: list[Spread], tests: list[Test]) -> FloatArray:
    """Probability of the displays of all readings at each gain, shape of :data:`GAIN`.

    ``spreads`` say how each quantity is distributed; the readings see all that hangs together.
    """
    return _Integral.over(spreads, tests)


__all__ = ["GAIN", "GAIN_WEIGHTS", "Test", "integral"]
