"""Resistance-heating alloys: how a winding's resistance grows from cold to hot.

``Ct(T) = R(T) / R(20 °C)`` (Kanthal Appliance Alloys Handbook, p. 69). The tables are data, in
``scenarios/alloys.toml``, each with its published source.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from pathlib import Path

from probebook.errors import ScenarioError
from probebook.scenario_layers import load_joined

__all__ = ["Alloy", "cold_ohms", "hot_ohms", "load_alloys", "rated_ohms", "temperature_factor"]

REFERENCE_CELSIUS = 20.0
"""The temperature at which a temperature factor is 1 by definition, °C."""


@dataclass(frozen=True, slots=True)
class Alloy:
    """One published table of temperature factors.

    Attributes
    ----------
    id, name
        Key, and what a person reads.
    celsius, factor
        The table: temperatures that rise from 20 °C, and Ct at each.
    source
        Where the table was published.
    resistivity, resistivity_source
        Ω m at 20 °C and its source, where one was found.
    """

    id: str
    name: str
    celsius: tuple[float, ...]
    factor: tuple[float, ...]
    source: str
    resistivity: float | None = None
    resistivity_source: str | None = None

    def __post_init__(self) -> None:
        if len(self.celsius) != len(self.factor) or len(self.celsius) < 2:
            raise ScenarioError(
                f"alloy {self.id!r} has {len(self.celsius)} temperatures and {len(self.factor)} factors",
                remedy="give one factor for each of two or more temperatures",
            )
        if any(b <= a for a, b in zip(self.celsius, self.celsius[1:], strict=False)):
            raise ScenarioError(f"the temperatures of alloy {self.id!r} do not rise", remedy="sort them")
        if self.celsius[0] != REFERENCE_CELSIUS or self.factor[0] != 1.0:
            raise ScenarioError(
                f"the table of alloy {self.id!r} starts at {self.celsius[0]:g} °C with {self.factor[0]:g}",
                remedy="start it at 20 °C with 1, which is how the factor is defined",
            )
        if min(self.factor) <= 0.0:
            raise ScenarioError(f"alloy {self.id!r} has a factor that is not above zero", remedy="mend it")


def load_alloys(path: Path) -> dict[str, Alloy]:
    """Read the alloy tables, by id.

    Parameters
    ----------
    path
        The file, ``alloys.toml`` of a scenarios folder.

    Raises
    ------
    ScenarioError
        The file is missing or something in it is wrong.
    """
    from probebook.appliances.alloy_file import AlloyFile

    entries = load_joined(path, AlloyFile).alloy
    alloys: dict[str, Alloy] = {}
    for number, entry in enumerate(entries, start=1):
        where = f"{path.name}: alloy[{number}]"
        try:
            alloy = Alloy(**entry.model_dump())
        except ScenarioError as error:
            raise error.at(where) from None
        if alloy.id in alloys:
            raise ScenarioError(f"the id {alloy.id!r} is used twice", where=where, remedy="give each table its own id")
        alloys[alloy.id] = alloy
    return alloys


def temperature_factor(alloy: Alloy, celsius: float) -> float:
    """Return Ct at a winding temperature (°C), straight between the points of the table.

    Raises
    ------
    ScenarioError
        The temperature lies outside the table; a factor is not guessed.
    """
    first, last = alloy.celsius[0], alloy.celsius[-1]
    if not first <= celsius <= last:
        raise ScenarioError(
            f"the table of {alloy.name} has no factor for {celsius:g} °C",
            remedy=f"give a temperature from {first:g} to {last:g} °C",
        )
    i = min(bisect_right(alloy.celsius, celsius), len(alloy.celsius) - 1)
    low, high = alloy.celsius[i - 1], alloy.celsius[i]
    part = (celsius - low) / (high - low)
    return alloy.factor[i - 1] + part * (alloy.factor[i] - alloy.factor[i - 1])


def rated_ohms(rated_watts: float, rated_volts: float) -> float:
    """Return the resistance (Ω) at which an element draws its rated power: V²/P, when hot."""
    if not (rated_watts > 0.0 and rated_volts > 0.0):
        raise ScenarioError(
            f"a rating of {rated_watts:g} W at {rated_volts:g} V has no resistance",
            remedy="give watts and volts above zero",
        )
    return rated_volts * rated_volts / rated_watts


def cold_ohms(rated_watts: float, rated_volts: float, alloy: Alloy, celsius: float) -> float:
    """Return the resistance at 20 °C (Ω) of an element that has its rating with the winding at ``celsius``."""
    return rated_ohms(rated_watts, rated_volts) / temperature_factor(alloy, celsius)


def hot_ohms(ohms_at_20: float, alloy: Alloy, celsius: float) -> float:
    """Return the resistance (Ω) at ``celsius`` of a winding that has ``ohms_at_20`` when cold."""
    return ohms_at_20 * temperature_factor(alloy, celsius)
