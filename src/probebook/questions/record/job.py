"""The job that is recorded: the case, what was done about it, and the readings taken last."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Annotated

from probebook.appliances import Appliance, FaultKind, earth_limit
from probebook.assumptions import Assumed
from probebook.cases.generate import case_instance, case_meters
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.trial_table import trial_table
from probebook.diagnosis import Measured, Observation
from probebook.meters import Function

__all__ = ["Job", "RecordFigures", "Stand", "draw_job"]


@dataclass(frozen=True)
class RecordFigures(Assumed, table="questions.record"):
    """How often a job is done by the time it is recorded.

    Attributes
    ----------
    done
        Share of the jobs with a fault in the appliance that were mended on the day.
    """

    done: Annotated[float, "1"]


class Stand(StrEnum):
    """How a job stands when it is recorded."""

    DONE = "done"
    OUTSIDE = "outside"
    WAITS = "waits"


@dataclass(frozen=True, slots=True)
class Job:
    """A case with what was done about it.

    Attributes
    ----------
    faults
        Ids of what is wrong, settings left out.
    stand
        Mended, caused outside the appliance, or waiting for what is needed.
    after
        The earth and insulation readings taken last, of the same appliance, mended, with the same instruments.
    """

    case: Case
    appliance: Appliance
    faults: tuple[str, ...]
    stand: Stand
    after: tuple[Measured, ...]

    @property
    def nothing_wrong(self) -> bool:
        """Whether nothing was wrong but a setting."""
        return not self.faults

    @property
    def establishing(self) -> list[Observation]:
        """The readings that establish the finding, what the customer said left out."""
        return [self.case.evidence[i] for i in self.case.proof.observations if i > 0]

    @property
    def safety(self) -> list[Measured]:
        """The safety readings that belong in the record: the last ones, or those that were bad."""
        taken = self.after or [o for o in self.case.evidence[1:] if isinstance(o, Measured) and self._bad(o)]
        return _last(taken)

    def _bad(self, item: Measured) -> bool:
        if item.trial.function is Function.INSULATION:
            return item.value < self.appliance.region.rule("insulation.return-to-service").low
        return item.trial.function is Function.CONTINUITY and item.value > earth_limit(self.appliance).high


def _last(items: Sequence[Measured]) -> list[Measured]:
    """One earth and one insulation reading are enough in a list to tick: the first and the last of their sorts."""
    earth = [o for o in items if o.trial.function is Function.CONTINUITY]
    insulation = [o for o in items if o.trial.function is Function.INSULATION]
    return [*earth[:1], *insulation[-1:]]


def draw_job(case: Case, library: Library, rng: random.Random) -> Job:
    """The job of a case: whether it was mended is drawn where it could have been."""
    appliance = library.appliance(case.appliance)
    real = [f for f in case.truth if appliance.fault(f).kind is not FaultKind.USER_SETTING]
    outside = any(appliance.fault(f).kind is FaultKind.LOW_SUPPLY for f in real)
    share = library.assumptions.get(RecordFigures).done
    done = not outside and (not real or rng.random() < share)
    stand = Stand.DONE if done else Stand.OUTSIDE if outside else Stand.WAITS
    return Job(case, appliance, tuple(real), stand, _after(case, appliance, library) if done else ())


def _after(case: Case, appliance: Appliance, library: Library) -> tuple[Measured, ...]:
    """What proves the appliance safe, read on it mended, with its own instruments."""
    found = case_instance(case, library)
    view = trial_table(appliance, case_meters(case, library))
    mended = replace(found, appliance=appliance, faults=frozenset(), errors=f"{found.errors}/after")
    return tuple(mended.take(view.trials[c]) for c in view.safety)
