"""What may be wrong: nothing, each fault alone, and pairs of faults that can be present together.

Priors are shares of how often each is met. A fault's own weight comes from the appliance's file, which declares it an
assumption; how much rarer two faults at once are, and how often nothing at all is wrong, are assumptions made here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from probebook.appliances import Appliance, FaultKind
from probebook.appliances.pairs import compatible

#: Weight of *nothing wrong* (a setting, a misunderstanding) beside a weight of 1 for all single faults together.
NOTHING_WEIGHT = 0.10

#: Weight of a pair: this times the product of the shares of its two faults. All pairs together weigh less than this.
PAIR_WEIGHT = 0.02

#: Name of the hypothesis without a fault.
NOTHING_WRONG = "nothing wrong"


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """A set of faults that may be present, and how probable it is before anything is known.

    Attributes
    ----------
    faults
        Ids of the faults present; empty for *nothing wrong*.
    prior
        Prior probability among the hypotheses it was listed with.
    """

    faults: frozenset[str]
    prior: float

    @property
    def name(self) -> str:
        """Ids in alphabetical order joined by `` + ``, or ``nothing wrong``."""
        return name_of(self.faults)


def name_of(faults: Iterable[str]) -> str:
    """Name of a set of faults: ids in alphabetical order joined by `` + ``, or ``nothing wrong``."""
    return " + ".join(sorted(faults)) or NOTHING_WRONG


def title_of(appliance: Appliance, faults: Iterable[str]) -> str:
    """A set of faults in words, as the appliance's file puts them; KeyError for an unknown fault."""
    return " and ".join(appliance.fault(f).title for f in sorted(faults)) or NOTHING_WRONG


def hypotheses(appliance: Appliance, *, pairs: bool = True) -> tuple[Hypothesis, ...]:
    """Every hypothesis about an appliance: *nothing wrong*, the single faults in file order, then the pairs.

    A user setting changes nothing in the appliance: its weight goes to *nothing wrong*. Priors sum to 1.
    """
    return _hypotheses(Same(appliance), pairs)


def settled(appliance: Appliance, faults: Iterable[str]) -> frozenset[str]:
    """The faults less any user setting: the set by which the hypothesis is listed."""
    return frozenset(f for f in faults if appliance.fault(f).kind is not FaultKind.USER_SETTING)


class Same:
    """Cache key that compares appliances by identity: they are large, frozen and shared."""

    __slots__ = ("appliance",)

    def __init__(self, appliance: Appliance) -> None:
        self.appliance = appliance

    def __hash__(self) -> int:
        return id(self.appliance)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.appliance is self.appliance


@lru_cache(maxsize=64)
def _hypotheses(key: Same, pairs: bool) -> tuple[Hypothesis, ...]:
    appliance = key.appliance
    faults = [f for f in appliance.faults if f.kind is not FaultKind.USER_SETTING]
    total = sum(f.likelihood for f in appliance.faults) or 1.0
    share = {f.id: f.likelihood / total for f in faults}
    setting = sum(f.likelihood for f in appliance.faults if f.kind is FaultKind.USER_SETTING) / total
    weights: dict[frozenset[str], float] = {frozenset(): NOTHING_WEIGHT + setting}
    weights |= {frozenset((f.id,)): share[f.id] for f in faults}
    if pairs:
        weights |= {
            frozenset((a.id, b.id)): PAIR_WEIGHT * share[a.id] * share[b.id]
            for a, b in combinations(faults, 2)
            if compatible(appliance, a, b)
        }
    whole = sum(weights.values())
    return tuple(Hypothesis(faults, weight / whole) for faults, weight in weights.items())
