"""How probable insulation readings are under a hypothesis: leakage paths in parallel, over decades, wet and dry.

A reading shows the sum of the conductances of the paths it reaches (:mod:`probebook.diagnosis.physics.paths`), each
lognormal with a spread of its own. That is nothing linear in the logarithm: the lowest path counts, whichever that
happens to be. So the readings of one hypothesis are integrated over the paths themselves:

- Paths that all readings see alike add up to one quantity, whose distribution is worked out once and remembered
  (:mod:`probebook.diagnosis.probability.lognormal`). Damp that has been dried is another path than damp.
- A quantity that one reading alone sees is integrated in closed form: the probability of a display is a sum of
  differences of that quantity's distribution function.
- Each quantity that several readings see is summed over nodes of Gauss and Legendre, in panels that begin and end
  where the displays, less what is already there, put them: a difference of two displays is found as exactly as a
  display. Narrow ones go first, so that few nodes lie in the running.
- The gain, which all readings of an instrument share, is summed over nodes of Gauss and Hermite.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

import numpy as np

from probebook.diagnosis.physics.paths import Law, Leaks
from probebook.diagnosis.probability.displays import Display, window
from probebook.diagnosis.probability.lognormal import Spread, in_series, parallel
from probebook.diagnosis.probability.shared import GAIN, GAIN_WEIGHTS, Test, integral

#: Slipped readings are reckoned with where they may add this share to the probability.
NOTICEABLE = 1e-3
#: A bound that was reckoned another way is at most so many times too small by rounding.
SURELY = 1.0 + 1e-9
#: A probability is never less than this.
LEAST = 1e-300
#: Sets of slipped readings of one size, times the readings, that are summed at most: up to thirteen readings, all.
MOST_STEPS = 25_000


@dataclass(frozen=True, slots=True)
class Quantity:
    """Paths that a set of readings all see alike.

    Attributes
    ----------
    laws
        How the sum of their siemens is distributed: the laws of what stands in series, nearly always one.
    seen
        For each reading the ohms in series with it, -1 where the reading does not see it.
    pieces
        For each reading the piece that it is reached through, where there are such ohms, else 0.
    """

    laws: tuple[Law, ...]
    seen: tuple[float, ...]
    pieces: tuple[int, ...]

    @property
    def spread(self) -> Spread:
        """How ln of its siemens is distributed."""
        return parallel(self.laws[0]) if len(self.laws) == 1 else in_series(self.laws)


@dataclass(frozen=True, slots=True)
class Seen:
    """What readings see under a hypothesis: quantities in a fixed order, and the siemens beside them of each reading.

    Two hypotheses under which readings see the same are equal here, whatever the paths are called.
    """

    quantities: tuple[Quantity, ...]
    shunts: tuple[float, ...]

    @classmethod
    def of(cls, leaks: Sequence[Leaks]) -> Seen:
        """What a hypothesis makes of readings, from what each of them finds."""
        count = len(leaks)
        paths: dict[tuple[object, ...], tuple[tuple[Law, ...], list[float], list[int]]] = {}
        for i, found in enumerate(leaks):
            for path in found.paths:
                _, series, pieces = paths.setdefault(path.name, (path.laws, [-1.0] * count, [0] * count))
                series[i], pieces[i] = path.series, path.piece if path.series else 0
        every = (Quantity(laws, tuple(series), tuple(pieces)) for laws, series, pieces in paths.values())
        return cls(_together(every), tuple(found.shunt for found in leaks))

    def to(self, readings: Sequence[int]) -> Seen:
        """What some of the readings see: quantities that these see alike become one."""
        cut = (
            Quantity(q.laws, tuple(q.seen[i] for i in readings), tuple(q.pieces[i] for i in readings))
            for q in self.quantities
        )
        return Seen(_together(cut), tuple(self.shunts[i] for i in readings))


def _together(quantities: Iterable[Quantity]) -> tuple[Quantity, ...]:
    """Quantities in order, those that are seen alike as one and those that nothing sees left out."""
    sums: dict[tuple[tuple[float, ...], tuple[int, ...]], list[tuple[float, float]]] = {}
    found: list[Quantity] = []
    for q in quantities:
        if max(q.seen, default=-1.0) < 0.0:
            continue
        if len(q.laws) > 1:
            found.append(q)
        else:
            sums.setdefault((q.seen, q.pieces), []).extend(q.laws[0])
    found += [Quantity((tuple(sorted(law)),), *alike) for alike, law in sums.items()]
    return tuple(sorted(found, key=lambda q: (q.seen, q.pieces, q.laws)))


@lru_cache(maxsize=1 << 14)
def seen_by(leaks: tuple[Leaks, ...]) -> Seen:
    """What readings see that find these paths, worked out once."""
    return Seen.of(leaks)


@lru_cache(maxsize=1 << 16)
def evidence(seen: Seen, displays: tuple[Display, ...]) -> float:
    """Probability of all displays, given what the readings see.

    Any of the readings may have slipped and say nothing: the sum is over which. Sets of slipped readings are left out
    where they cannot add anything to speak of, by the bound that all displays are no more probable than one of them
    times the most that the others can be. A number of slipped readings is left out whole where even its likeliest set
    cannot: the least of the bounds is at most that of the least probable reading that is surely kept. With more than
    thirteen readings so many slips at once that their sets are past counting are no explanation, and are left out.
    """
    everything = tuple(range(len(displays)))
    total = _true(seen, displays)
    singly = [_true(seen.to((i,)), (d,)) for i, d in enumerate(displays)]
    most = [window((d,)).chance.max() for d in displays]
    likeliest, rarest = sorted((d.slipped for d in displays), reverse=True), [*sorted(singly), 1.0]
    high = math.prod(max(float(chance), 1.0) for chance in most) * SURELY
    for count in range(1, len(displays) + 1):
        if math.prod(likeliest[:count]) * rarest[count] * high <= NOTICEABLE * total:
            continue
        if math.comb(len(displays), count) * len(displays) > MOST_STEPS:
            break
        for out in combinations(everything, count):
            kept = tuple(i for i in everything if i not in out)
            slipped = math.prod(displays[i].slipped for i in out)
            bound = min((singly[i] * math.prod(most[k] for k in kept if k != i) for i in kept), default=1.0)
            if slipped * bound > NOTICEABLE * total:
                total += slipped * _true(seen.to(kept), tuple(displays[i] for i in kept))
    return max(total, LEAST)


def log_evidence(seen: Seen, displays: tuple[Display, ...]) -> float:
    """Natural log of :func:`evidence`."""
    return math.log(evidence(seen, displays))


@lru_cache(maxsize=1 << 16)
def _true(seen: Seen, displays: tuple[Display, ...]) -> float:
    """Probability that all displays are shown and none has slipped."""
    by_gain = np.ones(len(GAIN))
    for quantities, tests in _components(seen, displays):
        by_gain = by_gain * integral([q.spread for q in quantities], tests)
    return math.fsum((GAIN_WEIGHTS * by_gain).tolist())


def tail_probability(seen: Seen, displays: tuple[Display, ...]) -> float:
    """How probable it is that insulation readings as extreme as these arise under a hypothesis.

    Each reading is held against what is to be expected of it after those before it: the share of what would be less
    or more, whichever is rarer, counted twice; the least of these for so many readings (Šidák 1967, Journal of the
    American Statistical Association 62, 626-633). A p-value: near nought when the readings fit no values of the
    hypothesis's paths, uniform or larger when the hypothesis is true. 1 without readings.
    """
    least = 1.0
    for i, display in enumerate(displays):
        known, before = seen.to(range(i + 1)), displays[:i]
        whole = evidence(seen.to(range(i)), before) if i else 1.0
        surely = replace(display, slipped=0.0)
        if math.isinf(display.value):
            sides = [evidence(known, (*before, surely)) / whole]
        else:
            below = evidence(known, (*before, replace(surely, tail=True))) / whole
            sides = [below, 1.0 - below]
        least = min(least, 1.0, *(max(2.0 * side, 0.0) for side in sides))
    return 1.0 - (1.0 - least) ** max(len(displays), 1)


def _components(seen: Seen, displays: tuple[Display, ...]) -> list[tuple[list[Quantity], list[Test]]]:
    """Quantities and readings parted into what hangs together; readings that see the same are one."""
    alike: dict[tuple[object, ...], list[int]] = {}
    for i, display in enumerate(displays):
        sees = tuple(q.seen[i] for q in seen.quantities)
        alike.setdefault((sees, seen.shunts[i], display.gain), []).append(i)
    left = list(alike.values())
    found: list[tuple[list[Quantity], list[Test]]] = []
    while left:
        rows, held = _hanging_together(seen.quantities, left)
        left = [row for row in left if row not in rows]
        tests = [
            Test(
                window(tuple(displays[i] for i in row)),
                seen.shunts[row[0]],
                tuple(q.seen[row[0]] for q in held),
            )
            for row in rows
        ]
        found.append((held, tests))
    return found


def _hanging_together(
    quantities: tuple[Quantity, ...], rows: list[list[int]]
) -> tuple[list[list[int]], list[Quantity]]:
    """The first of some rows of readings, all that shares a quantity with it by way of others, and the quantities."""
    mine = rows[:1]
    while True:
        held = [q for q in quantities if any(q.seen[row[0]] >= 0.0 for row in mine)]
        joined = [row for row in rows if row in mine or any(q.seen[row[0]] >= 0.0 for q in held)]
        if len(joined) == len(mine):
            return mine, held
        mine = joined


__all__ = ["Quantity", "Seen", "evidence", "log_evidence", "seen_by", "tail_probability"]
