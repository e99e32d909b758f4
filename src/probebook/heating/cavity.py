"""An oven cavity as a heat network: elements, air, walls, roof, food and the room.

Every parameter is invented and calibrated to orders of magnitude (``[heating.cavity]`` of the
assumptions): no parameter table of an oven could be read in an open publication. The structure
(separate heaters, cavity, load, room; linear) is the one of Ramírez-Laboreo, Sagüés and Llorente, "Dynamic heat and
mass transfer model of an electric oven for energy analysis", Applied Thermal Engineering 93 (2016).

They are calibrated so that

* a sound oven of 62 litres with 2.2 to 2.5 kW in its top and base elements brings the air to
  200 °C in 10 to 16 minutes (published pre-heat times: 7 to 20 minutes, weak sources);
* 1.2 to 1.6 kW on average holds 200 °C, whichever heaters do it (one owner's meter read about 1 kW);
* with the base element open, 0.75 to 0.9 kW in the top element alone settles between 100 and
  120 °C and the thermostat never opens (common practice, no published source).

The last one needs a top element that warms the middle of the cavity less than the base element
does: its hot air stays under the roof, and the roof sheds the heat. A separate roof node says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from probebook.errors import ScenarioError
from probebook.heating.assumed import Settling
from probebook.heating.controls import Load
from probebook.heating.network import ROOM, Network

__all__ = ["Cavity", "Element", "Side"]

Side = Literal["above", "below", "around"]

_PARTS = {"air", "wall", "roof", "chamber", "food"}


@dataclass(frozen=True, slots=True)
class Element:
    """A sheathed element as a heat capacity (J/K) with its conductances (W/K).

    ``side`` says where it lies as seen from the food; one that lies ``"around"`` the fan gives
    its ``to_air`` to the air of the fan chamber, behind the baffle.
    """

    name: str
    side: Side
    heat_capacity: float
    to_air: float
    to_wall: float
    to_roof: float = 0.0


@dataclass(frozen=True, slots=True)
class Cavity:
    """A heated space of air, walls and roof with elements in it.

    Parameters
    ----------
    elements
        The elements, each a node named after itself.
    air
        Heat capacity of the air and the thin shelves in it, J/K.
    wall, roof
        Heat capacities of the enamelled shell (sides, back, floor, door) and of the roof, J/K.
    air_to_wall, air_to_roof, wall_to_roof
        Conductances inside, W/K.
    wall_to_room, roof_to_room, air_to_room
        Losses through the insulation and door, through the roof, and through seal and vent, W/K.
    fan_gain
        Factor by which a running fan raises what passes between the air and everything else
        inside.
    chamber
        Heat capacity of the air and baffle of the fan chamber, J/K; there when an element lies
        around a fan.
    chamber_with_fan, chamber_without_fan
        What passes between the fan chamber and the cavity's air, W/K.

    The nodes of its network are the element names, ``air``, ``wall``, ``roof``, with an element
    around a fan ``chamber``, and with a load ``food``.
    """

    settling: Settling = field(kw_only=True)
    elements: tuple[Element, ...]
    air: float
    wall: float
    roof: float
    air_to_wall: float
    air_to_roof: float
    wall_to_roof: float
    wall_to_room: float
    roof_to_room: float
    air_to_room: float
    fan_gain: float
    chamber: float
    chamber_with_fan: float
    chamber_without_fan: float

    @property
    def main(self) -> str:
        """The node that a heat-up record is about."""
        return "air"

    def network(self, *, fan: bool = False, load: Load | None = None) -> Network:
        """Build the heat network, with or without the fan running and food inside."""
        names = [element.name for element in self.elements]
        if len(set(names)) != len(names) or _PARTS & set(names):
            raise ScenarioError(
                f"the element names {', '.join(names)} repeat or clash with a part of the cavity",
                remedy="give every element a name of its own",
            )
        stir = self.fan_gain if fan else 1.0
        capacities = {element.name: element.heat_capacity for element in self.elements}
        capacities |= {"air": self.air, "wall": self.wall, "roof": self.roof}
        links = [
            ("air", "wall", stir * self.air_to_wall),
            ("air", "roof", stir * self.air_to_roof),
            ("wall", "roof", self.wall_to_roof),
            ("air", ROOM, self.air_to_room),
            ("wall", ROOM, self.wall_to_room),
            ("roof", ROOM, self.roof_to_room),
        ]
        if any(element.side == "around" for element in self.elements):
            capacities["chamber"] = self.chamber
            through = self.chamber_with_fan if fan else self.chamber_without_fan
            links.append(("chamber", "air", through))
        for element in self.elements:
            around = element.side == "around"
            links.append((element.name, "chamber" if around else "air", stir * element.to_air))
            links.append((element.name, "wall", element.to_wall))
            links.append((element.name, "roof", element.to_roof))
        starts: dict[str, float] = {}
        if load is not None:
            capacities["food"] = load.heat_capacity
            links.append(("food", "air", stir * load.to_air))
            for element in self.elements:
                if element.side != "around":
                    radiated = load.above if element.side == "above" else load.below
                    links.append((element.name, "food", radiated))
            if load.start is not None:
                starts["food"] = load.start
        boils = {"food": load.boils} if load is not None and load.boils is not None else {}
        return Network(capacities, tuple(links), {name: name for name in names}, boils, starts)

    def above(self) -> tuple[str, ...]:
        """Names of the elements over the food."""
        return tuple(element.name for element in self.elements if element.side == "above")
