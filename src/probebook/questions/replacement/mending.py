"""Which fault of a case has to be mended, and the part that a new one is fetched for."""

from __future__ import annotations

from probebook.appliances import Appliance, Fault, FaultKind, Part
from probebook.cases.model import Case
from probebook.diagnosis.places import place_of
from probebook.questions.frame import Unfit

__all__ = ["fault_of", "part_of"]

#: Faults that a new part mends.
BY_PART = (
    FaultKind.OPEN,
    FaultKind.DRIFT,
    FaultKind.WRONG_PART,
    FaultKind.LEAK,
    FaultKind.STUCK_OPEN,
    FaultKind.STUCK_CLOSED,
    FaultKind.OUT_OF_CALIBRATION,
    FaultKind.SEIZED,
)


def fault_of(case: Case, appliance: Appliance) -> Fault | None:
    """The one fault of a case; None with nothing wrong.

    Raises
    ------
    Unfit
        There are two.
    """
    faults = [appliance.fault(f) for f in case.truth if appliance.fault(f).kind is not FaultKind.USER_SETTING]
    if len(faults) > 1:
        raise Unfit("two parts would have to be fetched")
    return faults[0] if faults else None


def part_of(appliance: Appliance, fault: Fault) -> Part | None:
    """The part that mends a fault; None where no new part does."""
    if fault.kind not in BY_PART:
        return None
    mark = place_of(appliance, fault)
    return next((p for p in appliance.parts if p.mark == mark), None)
