"""Kettles and water heaters, warm-air ducts and storage cores as heat networks.

Water and air figures are textbook values (from memory): water 4186 J/(kg K) and 1 kg a litre, air
1.2 kg/m³ and 1005 J/(kg K). All other parameters are invented orders of magnitude, and stand in the
assumptions.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from probebook.errors import ScenarioError
from probebook.heating.assumed import Settling
from probebook.heating.controls import Load
from probebook.heating.network import ROOM, Network

__all__ = ["AIR_HEAT", "WATER_HEAT", "Core", "Duct", "Vessel"]

#: Heat capacity of a litre of water, J/K.
WATER_HEAT = 4186.0

#: Heat capacity of a cubic metre of air at room temperature, J/K.
AIR_HEAT = 1.2 * 1005.0


def _no_food(load: Load | None) -> None:
    if load is not None:
        raise ScenarioError("only an oven cavity takes food", remedy="leave the load out")


@dataclass(frozen=True, slots=True)
class Vessel:
    """Stirred water with an element in it: a kettle, an immersion heater, a wash tub.

    Parameters
    ----------
    litres
        Water; 0 for a vessel switched on empty, whose main node is then ``inside``.
    to_room
        Loss of the vessel, W/K.
    shell
        Heat capacity of the vessel itself, J/K.
    element
        Heat capacity of the element, J/K.
    element_to_water, element_to_air
        Conductance from the element to the water, or to the inside of an empty vessel, W/K.
    boils
        Boiling point, °C.
    heater
        Name of the heater and of its node.
    """

    settling: Settling = field(kw_only=True)
    litres: float
    to_room: float
    shell: float
    element: float
    element_to_water: float
    element_to_air: float
    boils: float
    heater: str = "element"

    @property
    def main(self) -> str:
        """The node that a record is about."""
        return "water" if self.litres > 0.0 else "inside"

    def network(self, *, fan: bool = False, load: Load | None = None) -> Network:
        """Build the heat network; a fan makes no difference."""
        del fan
        _no_food(load)
        if self.litres < 0.0:
            raise ScenarioError(f"the vessel holds {self.litres:g} litres", remedy="give zero or more")
        wet = self.litres > 0.0
        across = self.element_to_water if wet else self.element_to_air
        return Network(
            {self.heater: self.element, self.main: self.litres * WATER_HEAT + self.shell},
            ((self.heater, self.main, across), (self.main, ROOM, self.to_room)),
            {self.heater: self.heater},
            {"water": self.boils} if wet else {},
        )

    def above(self) -> tuple[str, ...]:
        """No element lies over food."""
        return ()


@dataclass(frozen=True, slots=True)
class Duct:
    """Air blown over elements, as in a tumble dryer or a fan heater.

    The air enters at the temperature of the room and leaves mixed, so that the flow carries
    ``AIR_HEAT × flow`` W/K away.

    Parameters
    ----------
    flow, still_flow
        Air moved with the fan running, and by draught alone without it, m³/s. Lint or a blocked
        filter is a smaller ``flow``.
    heaters
        Names of the elements.
    element, element_to_air, element_to_wall
        Heat capacity of one element, J/K, and its conductances with the fan running, W/K.
    still_air
        The part of ``element_to_air`` that remains without the fan.
    wall, air_to_wall, wall_to_room
        Heat capacity of the duct, J/K, and its conductances, W/K.
    """

    settling: Settling = field(kw_only=True)
    flow: float
    still_flow: float
    element: float
    element_to_air: float
    element_to_wall: float
    still_air: float
    air: float
    wall: float
    air_to_wall: float
    wall_to_room: float
    heaters: tuple[str, ...] = ("element",)

    @property
    def main(self) -> str:
        """The node that a record is about."""
        return "air"

    def network(self, *, fan: bool = False, load: Load | None = None) -> Network:
        """Build the heat network, with or without the fan running."""
        _no_food(load)
        capacities = {"air": self.air, "wall": self.wall}
        links = [
            ("air", ROOM, AIR_HEAT * (self.flow if fan else self.still_flow)),
            ("air", "wall", self.air_to_wall),
            ("wall", ROOM, self.wall_to_room),
        ]
        for name in self.heaters:
            capacities[name] = self.element
            links.append((name, "air", self.element_to_air * (1.0 if fan else self.still_air)))
            links.append((name, "wall", self.element_to_wall))
        return Network(capacities, tuple(links), {name: name for name in self.heaters})

    def above(self) -> tuple[str, ...]:
        """No element lies over food."""
        return ()


@dataclass(frozen=True, slots=True)
class Core:
    """A storage heater: bricks with elements among them, in an insulated case.

    Parameters
    ----------
    bricks, element, case
        Heat capacities, J/K.
    heaters
        Names of the elements.
    element_to_core, core_to_case, case_to_room
        Conductances, W/K.
    damper_shut, damper_open
        What the air through the core carries to the room, W/K; ``fan=True`` opens it.
    """

    settling: Settling = field(kw_only=True)
    bricks: float
    element: float
    case: float
    element_to_core: float
    core_to_case: float
    case_to_room: float
    damper_shut: float
    damper_open: float
    heaters: tuple[str, ...] = ("element",)

    @property
    def main(self) -> str:
        """The node that a record is about."""
        return "core"

    def network(self, *, fan: bool = False, load: Load | None = None) -> Network:
        """Build the heat network, with the damper shut or (``fan``) open."""
        _no_food(load)
        capacities = {"core": self.bricks, "case": self.case}
        links = [
            ("core", "case", self.core_to_case),
            ("case", ROOM, self.case_to_room),
            ("core", ROOM, self.damper_open if fan else self.damper_shut),
        ]
        for name in self.heaters:
            capacities[name] = self.element
            links.append((name, "core", self.element_to_core))
        return Network(capacities, tuple(links), {name: name for name in self.heaters})

    def above(self) -> tuple[str, ...]:
        """No element lies over food."""
        return ()
