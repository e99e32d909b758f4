"""What heating takes for granted where the file of an appliance does not say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = [
    "CavityFigures",
    "CoreFigures",
    "DuctFigures",
    "ElementFigures",
    "ElementInBase",
    "ElementInRoof",
    "ElementRoundFan",
    "GrillInRoof",
    "Installed",
    "Settling",
    "VesselFigures",
]


@dataclass(frozen=True)
class Settling(Assumed, table="heating.settling"):
    """What the end of a record is: its last cycles, at most so many, or else its last part.

    ``part`` is that many seconds, but no more than one of ``parts`` of the record. It has settled when it moves by less
    than ``within`` in it. From the duty ``always`` on, power is never switched off.
    """

    within: Annotated[float, "K"]
    part: Annotated[float, "s"]
    parts: Annotated[float, "1"]
    cycles: Annotated[int, "1"]
    always: Annotated[float, "1"]


@dataclass(frozen=True)
class Installed(Assumed, table="heating.installed"):
    """How an appliance heats.

    ``lengths`` are those of a record by model; a vessel's is ``stretch`` times what its heat-up needs, but no less than
    ``shortest``.
    """

    rests: Annotated[float, "1"]
    self_reset: Annotated[float, "K"]
    turns: Annotated[float, "1"]
    differential: Annotated[float, "K"]
    lengths: Annotated[Mapping[str, float], "s"]
    shortest: Annotated[float, "s"]
    stretch: Annotated[float, "1"]
    bulb_lag: Annotated[float, "s"]
    cut_out_lag: Annotated[float, "s"]


@dataclass(frozen=True)
class CavityFigures(Assumed, table="heating.cavity"):
    """The cavity of an oven of 62 litres: the fields of :class:`probebook.heating.cavity.Cavity`."""

    air: Annotated[float, "J/K"]
    wall: Annotated[float, "J/K"]
    roof: Annotated[float, "J/K"]
    air_to_wall: Annotated[float, "W/K"]
    air_to_roof: Annotated[float, "W/K"]
    wall_to_roof: Annotated[float, "W/K"]
    wall_to_room: Annotated[float, "W/K"]
    roof_to_room: Annotated[float, "W/K"]
    air_to_room: Annotated[float, "W/K"]
    fan_gain: Annotated[float, "1"]
    chamber: Annotated[float, "J/K"]
    chamber_with_fan: Annotated[float, "W/K"]
    chamber_without_fan: Annotated[float, "W/K"]


@dataclass(frozen=True)
class ElementFigures(Assumed):
    """A sheathed element in a cavity: the figures of :class:`probebook.heating.cavity.Element`."""

    heat_capacity: Annotated[float, "J/K"]
    to_air: Annotated[float, "W/K"]
    to_wall: Annotated[float, "W/K"]
    to_roof: Annotated[float, "W/K"]


@dataclass(frozen=True)
class ElementInRoof(ElementFigures, table="heating.element.top"):
    """The element under the roof that bakes."""


@dataclass(frozen=True)
class GrillInRoof(ElementFigures, table="heating.element.grill"):
    """The element under the roof that grills."""


@dataclass(frozen=True)
class ElementInBase(ElementFigures, table="heating.element.base"):
    """The element under the floor."""


@dataclass(frozen=True)
class ElementRoundFan(ElementFigures, table="heating.element.ring"):
    """The element round the fan, behind the baffle."""


@dataclass(frozen=True)
class VesselFigures(Assumed, table="heating.vessel"):
    """A vessel of water where its appliance's file does not say: :class:`probebook.heating.vessels.Vessel`."""

    to_room: Annotated[float, "W/K"]
    shell: Annotated[float, "J/K"]
    element: Annotated[float, "J/K"]
    element_to_water: Annotated[float, "W/K"]
    element_to_air: Annotated[float, "W/K"]
    boils: Annotated[float, "°C"]


@dataclass(frozen=True)
class DuctFigures(Assumed, table="heating.duct"):
    """Air blown over elements: :class:`probebook.heating.vessels.Duct`."""

    flow: Annotated[float, "m³/s"]
    still_flow: Annotated[float, "m³/s"]
    element: Annotated[float, "J/K"]
    element_to_air: Annotated[float, "W/K"]
    element_to_wall: Annotated[float, "W/K"]
    still_air: Annotated[float, "1"]
    air: Annotated[float, "J/K"]
    wall: Annotated[float, "J/K"]
    air_to_wall: Annotated[float, "W/K"]
    wall_to_room: Annotated[float, "W/K"]


@dataclass(frozen=True)
class CoreFigures(Assumed, table="heating.core"):
    """The core of a storage heater: :class:`probebook.heating.vessels.Core`."""

    bricks: Annotated[float, "J/K"]
    element: Annotated[float, "J/K"]
    case: Annotated[float, "J/K"]
    element_to_core: Annotated[float, "W/K"]
    core_to_case: Annotated[float, "W/K"]
    case_to_room: Annotated[float, "W/K"]
    damper_shut: Annotated[float, "W/K"]
    damper_open: Annotated[float, "W/K"]
