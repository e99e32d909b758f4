"""The keys of ``scenarios/limits.toml``. Loads pydantic; only :mod:`probebook.regions.limits` imports it."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from probebook.errors import ScenarioError
from probebook.textmodels import Amperes, Ohms, Percent, Quantity, SquareMillimetres, StrictModel, Volts, Watts

Text = Annotated[str, Field(min_length=1)]

#: How well a figure is founded: read in the standard, the law or agreeing tables; in a text that reports it; in a copy,
#: shop or forum page; remembered; looked for in vain; or a rule of this library that claims no more.
Status = Literal["seen", "second hand", "weak", "from memory", "not found", "house rule"]

#: What an item may turn on, where it names rule and figure.
FIRM: tuple[Status, ...] = ("seen", "second hand", "house rule")


class Founded(StrictModel):
    """What every limit states: identity, rule and on whose word."""

    id: Annotated[str, Field(pattern=r"^[a-z0-9]+([.-][a-z0-9]+)*$")]
    title: Text
    rule: Text
    status: Status
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


class DeviceRow(Founded):
    """When a protective device acts, in multiples of its rating."""

    holds: Annotated[float, Field(gt=0)]
    trips: Annotated[float, Field(gt=0)]
    at_once: Annotated[float, Field(gt=0)]

    @model_validator(mode="after")
    def _rising(self) -> Self:
        """Refuse multiples that do not rise."""
        if not self.holds <= self.trips <= self.at_once:
            raise ScenarioError("holds, trips and at_once do not rise", remedy="write the smallest multiple first")
        return self


class RuleFile(StrictModel):
    """The whole of ``limits.toml``."""

    power_input: tuple[PowerRow, ...]
    insulation: tuple[InsulationRow, ...]
    earth: tuple[EarthRow, ...]
    leakage: tuple[LeakageRow, ...]
    supply: tuple[SupplyRow, ...]
    conductor: tuple[ConductorTable, ...]
    device: tuple[DeviceRow, ...] = ()

    @property
    def rows(self) -> tuple[Founded, ...]:
        """Every row of every table, in file order."""
        limits = (*self.power_input, *self.insulation, *self.earth, *self.leakage, *self.supply)
        return (*limits, *self.conductor, *self.device)

    @model_validator(mode="after")
    def _unique(self) -> Self:
        """Refuse an id given twice."""
        seen: set[str] = set()
        for row in self.rows:
            if row.id in seen:
                raise ScenarioError(f'the id "{row.id}" is given twice', remedy="rename one of them")
            seen.add(row.id)
        return self
