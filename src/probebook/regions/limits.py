"""Limits that items turn on: which rule, what value, on whose word. Read from ``scenarios/limits.toml``.

Published rules disagree, so there is no limit without its id: an item names the rule it applies.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import UsageError

if TYPE_CHECKING:
    from probebook.regions.limits_file import (
        DeviceRow,
        EarthRow,
        InsulationRow,
        LeakageRow,
        PowerRow,
        RuleFile,
        SupplyRow,
    )

__all__ = ["Band", "Limit", "Rules", "load_rules"]


@dataclass(frozen=True, slots=True)
class Limit:
    """What a rule allows in one case.

    Attributes
    ----------
    id
        Identity of the row in ``limits.toml``.
    title
        What it is about, in words.
    low, high
        Least and most allowed, SI; 0 or ``inf`` (a side without a limit).
    unit
        SI unit sign.
    rule
        Standard, clause and edition.
    status
        How well the figure is founded: a :data:`~probebook.regions.limits_file.Status`.
    source, note
        Where it was read, and a caution (may be empty).
    """

    id: str
    title: str
    low: float
    high: float
    unit: str
    rule: str
    status: str
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    """When a protective device acts, in multiples of its rating.

    Attributes
    ----------
    title, rule
        What it is, and the standard.
    holds
        Up to this it never acts.
    trips
        From this on it acts within the time the standard names.
    at_once
        From this on it acts at once.
    """

    title: str
    rule: str
    holds: float
    trips: float
    at_once: float


@dataclass(frozen=True, slots=True)
class Rules:
    """The rows of a limits file, ready to be asked."""

    file: RuleFile

    @property
    def ids(self) -> tuple[str, ...]:
        """Every id, in file order."""
        return tuple(row.id for row in self.file.rows)

    def status(self, limit_id: str) -> str:
        """Return how well a row is founded; KeyError when there is none of that id."""
        return {row.id: row.status for row in self.file.rows}[limit_id]

    def power_input(self, rated_watts: float, kind: str) -> Limit:
        """Return the power input allowed at rated voltage and working temperature (IEC 60335-1, 10.1, Table 1).

        Parameters
        ----------
        rated_watts
            From the rating plate.
        kind
            ``heating`` (also a combined appliance) or ``motor`` (also a combined one whose motor takes over half).

        Raises
        ------
        UsageError
            No row fits.
        """
        for row in self.file.power_input:
            fits = row.over < rated_watts and (row.up_to is None or rated_watts <= row.up_to)
            if fits and row.kind in (kind, "any") and kind in ("heating", "motor"):
                plus = max(row.plus * rated_watts, row.plus_watts)
                low = rated_watts * (1 - row.minus) if row.minus is not None else 0.0
                return _limit(row, low, rated_watts + plus, "W")
        raise UsageError(
            f'no row for {rated_watts:g} W of kind "{kind}"',
            where="limits.toml: power_input",
            remedy='give watts above 0 and the kind "heating" or "motor"',
        )

    def insulation(self, limit_id: str) -> Limit:
        """Return the least insulation resistance of the rule ``limit_id``."""
        row = _find(self.file.insulation, limit_id, "insulation")
        return _limit(row, row.least, math.inf, "Ω")

    def earth(self, limit_id: str, *, lead_ohms: float = 0.0) -> Limit:
        """Return the most earth-path resistance of the rule ``limit_id``; ``lead_ohms`` is that of the supply lead."""
        row = _find(self.file.earth, limit_id, "earth")
        return _limit(row, 0.0, row.most + (lead_ohms if row.adds_lead else 0.0), "Ω")

    def leakage(self, limit_id: str, *, rated_watts: float = 0.0) -> Limit:
        """Return the most leakage current of the rule ``limit_id`` for an appliance of ``rated_watts``."""
        row = _find(self.file.leakage, limit_id, "leakage")
        most = row.most
        if row.per_kilowatt is not None:
            most = max(most, row.per_kilowatt * rated_watts / 1000)
        return _limit(row, 0.0, min(most, row.cap) if row.cap is not None else most, "A")

    def supply(self, limit_id: str) -> Limit:
        """Return the supply voltage allowed by the rule ``limit_id``."""
        row = _find(self.file.supply, limit_id, "supply")
        return _limit(row, row.nominal * (1 - row.minus), row.nominal * (1 + row.plus), "V")

    def device(self, limit_id: str) -> Band:
        """Return when a protective device acts."""
        row = _find(self.file.device, limit_id, "device")
        return Band(row.title, row.rule, row.holds, row.trips, row.at_once)

    def conductor(self, limit_id: str, area: float, length: float = 1.0) -> Limit:
        """Return the most resistance at 20 °C of ``length`` metres of conductor of ``area`` square metres.

        Raises
        ------
        UsageError
            No such table, or it does not hold this area.
        """
        table = _find(self.file.conductor, limit_id, "conductor")
        for row in table.rows:
            if math.isclose(row.area, area, rel_tol=1e-6):
                return _limit(table, 0.0, row.most * length, "Ω")
        areas = ", ".join(f"{row.area * 1e6:g}" for row in table.rows)
        raise UsageError(
            f"no conductor of {area * 1e6:g} mm²", where=f"limits.toml: {limit_id}", remedy=f"choose one of {areas} mm²"
        )


if TYPE_CHECKING:
    from typing import TypeVar

    from probebook.regions.limits_file import ConductorTable

    Row = TypeVar("Row", PowerRow, InsulationRow, EarthRow, LeakageRow, SupplyRow, ConductorTable, DeviceRow)


def _find(rows: tuple[Row, ...], limit_id: str, table: str) -> Row:
    for row in rows:
        if row.id == limit_id:
            return row
    raise UsageError(
        f'there is no {table} limit "{limit_id}"',
        where="limits.toml",
        remedy=f"choose one of {', '.join(row.id for row in rows)}",
    )


def _limit(
    row: PowerRow | InsulationRow | EarthRow | LeakageRow | SupplyRow | ConductorTable,
    low: float,
    high: float,
    unit: str,
) -> Limit:
    return Limit(row.id, row.title, low, high, unit, row.rule, row.status, row.source, row.note)


def load_rules(path: Path) -> Rules:
    """Return the limits of the TOML file ``path``.

    Raises
    ------
    ScenarioError
        The file cannot be used; one sentence names the key.
    """
    from probebook.regions.limits_file import RuleFile
    from probebook.scenario_layers import load_joined

    return Rules(load_joined(Path(path), RuleFile))
