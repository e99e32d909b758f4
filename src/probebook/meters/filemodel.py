"""The keys of a meter's text file. Loads pydantic; only :mod:`probebook.meters.loading` imports it, when needed."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from probebook.errors import ScenarioError
from probebook.meters.model import Function
from probebook.textmodels import SPOKEN, Ohms, Percent, Prose, Quantity, StrictModel, Volts

Signed = Annotated[float, Quantity("%", minimum=None)]
Text = Annotated[str, Field(min_length=1)]


class OhmRow(StrictModel):
    """One range of ohms, continuity or insulation."""

    up_to: Ohms
    resolution: Ohms
    of_reading: Percent
    digits: Annotated[int, Field(ge=0, le=200)]


class VoltRow(StrictModel):
    """One range of AC volts."""

    up_to: Volts
    resolution: Volts
    of_reading: Percent
    digits: Annotated[int, Field(ge=0, le=200)]


class AmpRow(StrictModel):
    """One range of clamp amperes."""

    up_to: Annotated[float, Quantity("A")]
    resolution: Annotated[float, Quantity("A")]
    of_reading: Percent
    digits: Annotated[int, Field(ge=0, le=200)]


class MeterFile(StrictModel):
    """One file of ``scenarios/meters``."""

    id: Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
    title: Annotated[Text, SPOKEN]
    source: Text
    note: Prose = ""
    leads: Ohms
    can_null: bool
    beeper: Ohms | None = None
    test_volts: tuple[Volts, ...] = ()
    input: Ohms
    gain_error: Signed = 0.0
    role: Literal["bench", "pocket", "insulation", "clamp", "drifted", ""] = ""
    ohms: tuple[OhmRow, ...] = ()
    continuity: tuple[OhmRow, ...] = ()
    insulation: tuple[OhmRow, ...] = ()
    volts: tuple[VoltRow, ...] = ()
    amps: tuple[AmpRow, ...] = ()

    @model_validator(mode="after")
    def _whole(self) -> Self:
        """Check what no single key can tell."""
        found = False
        for function in Function:
            rows = getattr(self, function.value)
            found = found or bool(rows)
            _check_rows(function, rows)
        if not found:
            raise ScenarioError("the meter has no function", remedy="add a table such as [[ohms]]")
        if self.continuity and self.beeper is None:
            raise ScenarioError("continuity has no beeper", remedy='add a line such as beeper = "30 ohm"')
        if bool(self.insulation) != bool(self.test_volts):
            raise ScenarioError(
                "insulation ranges and test_volts do not go together",
                remedy='give both, such as test_volts = ["250 V", "500 V"], or neither',
            )
        return self


def _check_rows(function: Function, rows: tuple[OhmRow | VoltRow | AmpRow, ...]) -> None:
    last = 0.0
    for number, row in enumerate(rows, start=1):
        name = f"{function.value}[{number}]"
        if row.up_to <= last:
            raise ScenarioError(f"{name} does not reach above the range before it", remedy="order ranges upwards")
        if not 0 < row.resolution <= row.up_to / 10:
            raise ScenarioError(
                f"{name} has a resolution that does not fit its range", remedy="give a step of the last digit"
            )
        if row.of_reading >= 0.5:
            raise ScenarioError(f"{name} has an accuracy of half the reading or worse", remedy="check of_reading")
        last = row.up_to
