"""What may be wrong: nothing, each fault alone, and pairs of faults that can be present together.

Priors are shares of how often each is met. A fault's own weight comes from the appliance's file, which declares it an
assumption; how much rarer two faults at once are, and how often nothing at all is wrong, is in
:class:`~probebook.diagnosis.assumed.Chances`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from probebook.appliances import Appliance, FaultKind
from probebook.appliances.pairs import compatible
from probebook.diagnosis.assumed import Chances

#: Id of the hypothesis without a fault, as it stands in files; what people read of it is a sentence of the text.
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


def settled(appliance: Appliance, faults: Iterable[str]) -> frozenset[str]:
    """The faults less any user setting: the set by which the hypothesis is listed."""
    return frozenset(f for f in faults if appliance.fault(f).kind is not FaultKind.USER_SETTING)


def list_hypotheses(appliance: Appliance, chances: Chances, *, pairs: bool = True) -> tuple[Hypothesis, ...]:
    """Every hypothesis about an appliance: *nothing wrong*, the single faults in file order, then the pairs.

    A user setting changes nothing in the appliance: its weight goes to *nothing wrong*. Priors sum to 1.
    """
    faults = [f for f in appliance.faults if f.kind is not FaultKind.USER_SETTING]
    total = math.fsum(f.likelihood for f in appliance.faults) or 1.0
    share = {f.id: f.likelihood / total for f in faults}
    setting = math.fsum(f.likelihood for f in appliance.faults if f.kind is FaultKind.USER_SETTING) / total
    weights: dict[frozenset[str], float] = {frozenset(): chances.nothing_wrong + setting}
    weights |= {frozenset((f.id,)): share[f.id] for f in faults}
    if pairs:
        weights |= {
            frozenset((a.id, b.id)): chances.pair * share[a.id] * share[b.id]
            for a, b in combinations(faults, 2)
            if compatible(appliance, a, b)
        }
    whole = math.fsum(weights.values())
    return tuple(Hypothesis(faults, weight / whole) for faults, weight in weights.items())
