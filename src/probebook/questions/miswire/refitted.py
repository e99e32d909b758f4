"""An appliance after refitting: its checks, what each would show with every miswiring, and what it shows now."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from probebook.appliances import Appliance
from probebook.memo import memo_by_identity
from probebook.meters import Function, Reading
from probebook.questions.miswire.refitting import AS_DRAWN, Check, Miswiring, MiswiringFigures, checks, miswirings
from probebook.questions.miswire.refitting import ohms_of as ohms_with

__all__ = ["Comparing", "Nominal", "Refitted", "comparing", "nominal"]


@dataclass(frozen=True, slots=True)
class Comparing:
    """When two values of a check can, or cannot, be told apart for sure; what lies between is not used.

    ``insulation`` is the least that passes, in ohms: on insulation a value is told only as good or bad.
    """

    figures: MiswiringFigures
    insulation: float

    def alike(self, one: float, other: float, function: Function, *, within: float | None = None) -> bool:
        """Whether two values cannot be told apart for sure: ``within`` this in ln, tolerance and meter allowed for."""
        same = self._same(one, other, function)
        if same is None:
            return self._distance(one, other) < (self.figures.alike if within is None else within)
        return same

    def differ(self, one: float, other: float, function: Function) -> bool:
        """Whether two values can be told apart for sure."""
        same = self._same(one, other, function)
        return self._distance(one, other) > self.figures.apart if same is None else not same

    def _same(self, one: float, other: float, function: Function) -> bool | None:
        """Whether two values show the same where that is all or nothing; None where it is a matter of degree."""
        if function is Function.INSULATION:
            return (one < self.insulation) == (other < self.insulation)
        if math.isinf(one) or math.isinf(other):
            return math.isinf(one) == math.isinf(other)
        return None

    def _distance(self, one: float, other: float) -> float:
        least = self.figures.least
        return abs(math.log(max(one, least) / max(other, least)))


def comparing(appliance: Appliance) -> Comparing:
    """How checks of an appliance are compared, by the rules of its region."""
    limit = appliance.region.rule("insulation.return-to-service").low
    return Comparing(appliance.assumptions.get(MiswiringFigures), limit)


@dataclass(frozen=True, slots=True, eq=False)
class Nominal:
    """What the checks of an appliance show with every miswiring, parts as rated; one list of ohms for each."""

    wanted: tuple[Check, ...]
    ohms: Mapping[Miswiring, list[float]]


@memo_by_identity(64)
def nominal(appliance: Appliance) -> Nominal:
    """The nominal readings of an appliance: they depend on nothing drawn."""
    wanted = tuple(checks(appliance))
    every = [AS_DRAWN, *miswirings(appliance)]
    return Nominal(wanted, {m: ohms_with(appliance, m, wanted) for m in every})


@dataclass(frozen=True, slots=True, eq=False)
class Refitted:
    """One appliance put together again.

    Attributes
    ----------
    wanted
        The checks.
    nominal
        Ohms in each check by miswiring, parts as rated.
    key
        How it is wired.
    shown
        What the meter shows in each check.
    """

    appliance: Appliance
    compared: Comparing
    wanted: tuple[Check, ...]
    nominal: Mapping[Miswiring, list[float]]
    key: Miswiring
    shown: tuple[Reading, ...]
    _told: dict[tuple[Miswiring, Miswiring], list[int]] = field(default_factory=dict, repr=False)

    def apart(self, other: Miswiring) -> list[int]:
        """Places of the checks that tell another miswiring from the key."""
        return self._differing(self.key, other)

    def amiss(self, other: Miswiring) -> list[int]:
        """Places of the checks in which a miswiring shows at all."""
        return self._differing(AS_DRAWN, other)

    def _differing(self, one: Miswiring, other: Miswiring) -> list[int]:
        found = self._told.get((one, other))
        if found is None:
            shown = zip(self.nominal[one], self.nominal[other], self.wanted, strict=True)
            found = [i for i, (a, b, c) in enumerate(shown) if self.compared.differ(a, b, c.function)]
            self._told[one, other] = found
        return found

    def agree(self, places: Iterable[int]) -> bool:
        """Whether in these checks the key cannot be told from the drawing for sure."""
        return all(
            self.compared.alike(self.nominal[AS_DRAWN][i], self.nominal[self.key][i], self.wanted[i].function)
            for i in places
        )

    def shorts(self, other: Miswiring) -> int | None:
        """The first check that would show line and neutral joined, None where none would."""
        pairs = [set(pair) for pair in self.appliance.live_pairs]
        least = self.compared.figures.short
        return next(
            (i for i, c in enumerate(self.wanted) if set(c.probes) in pairs and self.nominal[other][i] < least), None
        )

    def speaks(self, other: Miswiring) -> int:
        """The check that speaks against a miswiring: the first on ohms that tells it from the key, else the first."""
        return max(self.apart(other), key=lambda i: (self.wanted[i].function is Function.OHMS, -i))
