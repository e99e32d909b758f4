"""The keys of ``scenarios/limits.toml``. Loads pydantic; only :mod:`probebook.meters.rules` imports it, when needed."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from probebook.errors import ScenarioError
from probebook.textmodels import Amperes, Ohms, Percent, Quantity, SquareMillimetres, StrictModel, Volts, Watts

Text = Annotated[str, Field(min_length=1)]


class Founded(StrictModel):
    """What every limit states: identity, rule and on whose word."""

    id: Annotated[str, Field(pattern=r"^[a-z0-9]+([.-][a-z0-9]+)*$")]
    title: Text
    rule: Text
    status: Literal["seen", "second hand", "from memory"]
    source: Text
    note: str = ""


class PowerRow(Founded):
    """Permitted deviation of power input for a span of ratings."""

    kind: Literal["heating", "motor", "any"]
    over: Watts
    up_to: Watts | None = None
    plus: Percent
    plus_watts: Watts = 0.0
    minus: Percent | None = None


class InsulationRow(Founded):
    """Least insulation resistance."""

    least: Ohms
    test_volts: Volts


class EarthRow(Founded):
    """Most resistance of an earth path."""

    most: Ohms
    adds_lead: bool


class LeakageRow(Founded):
    """Most leakage, protective conductor or touch current."""

    most: Amperes
    per_kilowatt: Amperes | None = None
    cap: Amperes | None = None


class SupplyRow(Founded):
    """Supply voltage."""

    nominal: Volts
    plus: Percent
    minus: Percent


class ConductorRow(StrictModel):
    """One size of a conductor table; ohms per metre."""

    area: SquareMillimetres
    most: Annotated[float, Quantity("ohm/km")]


class ConductorTable(Founded):
    """Most conductor resistance at 20 °C by area."""

    rows: tuple[ConductorRow, ...]


class RuleFile(StrictModel):
    """The whole of ``limits.toml``."""

    power_input: tuple[PowerRow, ...]
    insulation: tuple[InsulationRow, ...]
    earth: tuple[EarthRow, ...]
    leakage: tuple[LeakageRow, ...]
    supply: tuple[SupplyRow, ...]
    conductor: tuple[ConductorTable, ...]

    @model_validator(mode="after")
    def _unique(self) -> Self:
        """Refuse an id given twice."""
        seen: set[str] = set()
        rows = (*self.power_input, *self.insulation, *self.earth, *self.leakage, *self.supply, *self.conductor)
        for row in rows:
            if row.id in seen:
                raise ScenarioError(f'the id "{row.id}" is given twice', remedy="rename one of them")
            seen.add(row.id)
        return self
