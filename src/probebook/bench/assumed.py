"""What the bench takes for granted: minutes that working safely takes, and what a job earns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["BenchMinutes", "Grading"]


@dataclass(frozen=True)
class BenchMinutes(Assumed, table="bench.minutes"):
    """Minutes to switch off, to lock off, to prove the tester, to test one pair, to null the leads."""

    switch_off: Annotated[float, "min"]
    lock_off: Annotated[float, "min"]
    prove_tester: Annotated[float, "min"]
    test_dead: Annotated[float, "min"]
    null_leads: Annotated[float, "min"]


@dataclass(frozen=True)
class Grading(Assumed, table="bench.grading"):
    """What the parts of a job earn, and from where on.

    ``supported_from`` are probabilities of a right conclusion from one's own readings, ``supported_marks`` the marks
    for support from there on; ``likeliest`` and ``guess`` what a right but unsupported conclusion earns; ``thrifty``
    and ``fair`` the times of the par that earn the whole mark for economy and half of it, with so many spare trials and
    minutes; ``misleads`` the share by which a parallel path must change a reading to mislead; ``telling`` the ln of the
    likelihood ratio from which an observation is quoted against a wrong conclusion.
    """

    safety: Annotated[float, "mark"]
    support: Annotated[float, "mark"]
    economy: Annotated[float, "mark"]
    conclusion: Annotated[float, "mark"]
    supported_from: Annotated[tuple[float, ...], "1"]
    supported_marks: Annotated[tuple[float, ...], "mark"]
    likeliest: Annotated[float, "mark"]
    guess: Annotated[float, "mark"]
    thrifty: Annotated[float, "1"]
    fair: Annotated[float, "1"]
    spare_trials: Annotated[int, "1"]
    spare_minutes: Annotated[float, "min"]
    misleads: Annotated[float, "1"]
    telling: Annotated[float, "1"]

    @property
    def whole(self) -> float:
        """Marks of a faultless job."""
        return self.safety + self.support + self.economy + self.conclusion
