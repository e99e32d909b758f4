"""Thermostats, cut-outs and loads: plain descriptions of what switches and what is heated."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from probebook.errors import ScenarioError

__all__ = ["CutOut", "Load", "Stuck", "Thermostat"]

#: A contact that no longer moves: welded ``"closed"`` or burnt ``"open"``.
Stuck = Literal["closed", "open"]


@dataclass(frozen=True, slots=True)
class Thermostat:
    """A contact that opens when its bulb is hot and closes again when the bulb has cooled.

    The bulb opens the contact at ``set_point + offset + differential / 2`` and closes it at
    ``set_point + offset - differential / 2``, so that the knob names the middle of the swing.

    Parameters
    ----------
    set_point
        What the knob says, °C.
    differential
        Kelvin between opening and closing.
    offset
        Calibration error, K: positive runs hotter than the knob says.
    place
        The node that the bulb sits in.
    time_constant
        Lag of the bulb behind its place, s; 0 for a bulb without lag.
    stuck
        ``"closed"`` (welded), ``"open"`` (burnt) or ``None``.
    heaters
        The heaters it switches; ``None`` for all of them.
    """

    set_point: float
    differential: float = 8.0
    offset: float = 0.0
    place: str = "air"
    time_constant: float = 25.0
    stuck: Stuck | None = None
    heaters: tuple[str, ...] | None = None

    def __post_init__(self) -> None:
        if not math.isfinite(self.set_point + self.offset):
            raise ScenarioError("the thermostat's set point is not a number", remedy="give degrees Celsius")
        if not 0.0 < self.differential < math.inf:
            raise ScenarioError(
                f"the thermostat's differential is {self.differential:g} K",
                remedy="give a number above zero; 8 K is usual",
            )
        _lag("the thermostat", self.time_constant)

    @property
    def opens(self) -> float:
        """Bulb temperature at which the contact opens, °C."""
        return self.set_point + self.offset + self.differential / 2.0

    @property
    def closes(self) -> float:
        """Bulb temperature at which the contact closes again, °C."""
        return self.set_point + self.offset - self.differential / 2.0


@dataclass(frozen=True, slots=True)
class CutOut:
    """A safety contact: self-resetting when ``closes`` is given, by hand when it is ``None``.

    Parameters
    ----------
    name
        What the record calls it.
    place
        The node that it is fixed to.
    opens
        Temperature at which it trips, °C.
    closes
        Temperature at which it closes again, °C, below ``opens``; ``None`` for hand reset.
    time_constant
        Lag behind its place, s; 0 for none.
    stuck
        ``"closed"`` (welded), ``"open"`` (already tripped or burnt out) or ``None``.
    heaters
        The heaters it protects; ``None`` for all of them.
    """

    name: str
    place: str
    opens: float
    closes: float | None = None
    time_constant: float = 10.0
    stuck: Stuck | None = None
    heaters: tuple[str, ...] | None = None

    def __post_init__(self) -> None:
        if not math.isfinite(self.opens):
            raise ScenarioError(f"cut-out {self.name!r} has no opening temperature", remedy="give degrees Celsius")
        if self.closes is not None and not self.closes < self.opens:
            raise ScenarioError(
                f"cut-out {self.name!r} closes at {self.closes:g} °C but opens at {self.opens:g} °C",
                remedy="it must close below the temperature it opens at",
            )
        _lag(f"cut-out {self.name!r}", self.time_constant)


@dataclass(frozen=True, slots=True)
class Load:
    """Food in the cavity: one wet body, warmed by the air and by what radiates on it.

    Parameters
    ----------
    heat_capacity
        J/K. The default is 1 kg of wet food at 3.5 kJ/(kg K) in a light tin.
    to_air, above, below
        Conductances to the air, and by which elements over and under the food radiate on it,
        W/K; invented, so that the food takes something over half an hour to heat through.
    boils
        The temperature (°C) that it stays at while water leaves it; ``None`` for a dry body.
    start
        Its temperature when it goes in, °C; ``None`` for the room's.
    """

    heat_capacity: float = 3700.0
    to_air: float = 0.9
    above: float = 0.08
    below: float = 0.08
    boils: float | None = 100.0
    start: float | None = None


def _lag(what: str, seconds: float) -> None:
    if not 0.0 <= seconds < math.inf:
        raise ScenarioError(f"the time constant of {what} is {seconds:g} s", remedy="give zero or more seconds")
