"""What speaks against a rival: the observation that does so most, and the factor by which it explains worse."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed
from probebook.diagnosis import Posterior

__all__ = ["Against", "FaultGates", "against"]

#: Observations named beside one that is not enough by itself, at most.
MOST = 3


@dataclass(frozen=True)
class FaultGates(Assumed, table="questions.fault"):
    """From where on evidence speaks against a rival, rules it out and is quoted; how many options are offered."""

    wrong: Annotated[int, "1"]
    slips: Annotated[int, "1"]
    decides_from: Annotated[int, "1"]
    alone: Annotated[float, "1"]
    quoted: Annotated[float, "1"]
    sure: Annotated[float, "1"]
    speaks: Annotated[float, "1"]
    adds: Annotated[float, "1"]
    clearly: Annotated[float, "1"]
    enough: Annotated[float, "1"]
    rules_out: Annotated[float, "1"]


@dataclass(frozen=True, slots=True)
class Against:
    """What speaks against a rival.

    Attributes
    ----------
    faults
        The rival.
    observation
        Number of the observation that speaks most against it.
    factor, total
        How many times worse it explains that one, and all of them.
    more
        Numbers of others that have to be added; empty where the one is enough, or where only its rarity is left.
    is_enough
        Whether the one observation stands for all.
    """

    faults: frozenset[str]
    observation: int
    factor: float
    total: float
    more: tuple[int, ...]
    is_enough: bool

    @property
    def told(self) -> float:
        """The factor that is told: of the one observation where that is enough, else of all."""
        return self.factor if self.is_enough else self.total


def against(
    gates: FaultGates, found: Posterior, row: int, faults: frozenset[str], telling: Collection[int] = ()
) -> Against | None:
    """What speaks against a rival of the hypothesis in ``row``, quoting one of the ``telling`` observations if it can.

    None when the rival is no hypothesis or is that very one, or when too little speaks against it for it to be called
    wrong.
    """
    rival = next((i for i, h in enumerate(found.hypotheses) if h.faults == faults), None)
    if rival is None or rival == row:
        return None
    ratios = found.log_ratios(row, rival).tolist()
    enough = [i for i in telling if ratios[i] >= math.log(gates.quoted)]
    order = sorted(range(len(ratios)), key=lambda i: (i not in enough, -ratios[i], i))
    odds = math.log(found.probabilities[row] / found.probabilities[rival])
    total = math.exp(min(math.fsum(ratios), odds + 2.0, 300.0))
    factor = math.exp(min(ratios[order[0]], 300.0))
    if total < gates.sure or factor < gates.speaks:
        return None
    is_enough = factor >= gates.alone
    more = () if is_enough else tuple(i for i in order[1 : MOST + 1] if ratios[i] > math.log(gates.adds))
    return Against(faults, order[0], factor, total, more, is_enough)
