"""The text format of an appliance file, field by field.

These records mirror the file as a person writes it; :mod:`probebook.appliances.loading` turns them into the records of
:mod:`probebook.appliances.model`. Quantities are written with their units and arrive here in SI.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from probebook.appliances.model import FaultKind, PartKind
from probebook.textfiles import (
    SPOKEN,
    Amperes,
    Celsius,
    Hertz,
    Kelvins,
    Metres,
    Minutes,
    Ohms,
    Percent,
    Quantity,
    SquareMillimetres,
    StrictModel,
    Volts,
    Watts,
)

Name = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9-]*$", max_length=40)]
Mark = Annotated[str, Field(pattern=r"^[A-Z]{1,3}[0-9]*$", max_length=6)]
Tag = Annotated[str, Field(pattern=r"^[A-Za-z0-9]+$", max_length=6)]
TerminalName = Annotated[str, Field(pattern=r"^[A-Z]{1,3}[0-9]*\.[A-Za-z0-9]+$", max_length=14)]
Text = Annotated[str, Field(min_length=1, max_length=400)]
Prose = Annotated[Text, SPOKEN]
Ends = tuple[str, str]
Place = Annotated[float, Field(ge=-1000, le=1000)]
HeatModel = Literal["conventional-oven", "fan-oven", "multifunction-oven", "vessel", "duct", "core"]


class PlateText(StrictModel):
    """``[plate]``: what the rating plate says; ``voltage`` of a three-phase appliance between two lines."""

    maker: Text
    designation: Text
    voltage: Volts
    power: Watts
    protection: Literal["class I", "class II"]
    frequency: Hertz = 50.0


class SupplyText(StrictModel):
    """``[supply]``: how the appliance is fed; a plug-in appliance also says its fuse.

    With ``phases = 3`` the plug or the first terminal block has the tags L1, L2, L3 and, for star, N; ``voltage`` is
    then that between two lines (the region says how many volts to neutral go with it), and the breaker has three poles.
    """

    kind: Literal["fixed", "plug"]
    voltage: Volts
    breaker: Amperes
    residual: Amperes
    fuse: Amperes | None = None
    phases: Literal[1, 3] = 1


class SectionText(StrictModel):
    """One circuit of an element; its ``insulation`` and ``insulation_hot`` where they are not those of its part.

    ``voltage`` is what it is rated for where that is not the supply's from line to neutral: "400 V" for one between two
    lines of a three-phase supply (delta).
    """

    name: Name
    between: Ends
    power: Watts
    place: Name
    voltage: Volts | None = None
    insulation: Ohms | None = None
    insulation_hot: Ohms | None = None


class ContactText(StrictModel):
    """One contact of a control with several.

    ``rests = "open"`` is a contact of a limiter that closes only when hot, or of a relay that closes when its coil
    pulls in; ``cycles = false`` is a pole of a regulator that stays made at every setting.
    """

    name: Name
    between: Ends
    rests: Literal["closed", "open"] = "closed"
    cycles: bool | None = None


class PartText(StrictModel):
    """``[[part]]``: the keys a part may have; which it must have depends on its kind.

    ``short`` is what the part is called in a sentence, where the title of the parts list says more. ``insulation`` is
    that of each section, or, with ``insulation_of = "part"``, of all of them side by side, as a meter reads the part.
    ``voltage`` is what a lamp, a motor or a coil is rated for, where that is not the supply's from line to neutral.
    A ``feed`` is where a second supply of the same phase comes in (off-peak beside daytime): ``between`` names the line
    terminal of the first and its own tag; it is live in the positions whose ``closes`` name it, and joins nothing dead.
    """

    mark: Mark
    kind: PartKind
    title: Prose
    short: Annotated[str, Field(max_length=400), SPOKEN] = ""
    tags: tuple[Tag, ...] = ()
    between: Ends | None = None
    cover: str = ""
    at: tuple[Place, Place] | None = None
    turn: Literal[0, 90, 180, 270] = 0
    note: str = ""
    # element
    sections: tuple[SectionText, ...] = ()
    alloy: str = ""
    working: Celsius | None = None
    tolerance: Percent | None = None
    mounted_on: str = ""
    insulation: Ohms | None = None
    insulation_hot: Ohms | None = None
    insulation_of: Literal["section", "part"] = "section"
    # controls
    contacts: tuple[ContactText, ...] = ()
    range: tuple[Celsius, Celsius] | None = None
    differential: Kelvins | None = None
    opens_at: Celsius | None = None
    closes_at: Celsius | None = None
    reset: Literal["self", "manual", "one-shot"] | None = None
    senses: str = ""
    # relays; also ``winding`` and ``power`` of the coil
    coil: Ends | None = None
    pulls_in: Volts | None = None
    # other loads
    power: Watts | None = None
    voltage: Volts | None = None
    winding: Ohms | None = None
    resistor: Ohms | None = None
    strikes_at: Volts | None = None
    hot_to_cold: float | None = None
    rating: Amperes | None = None
    resistance: Ohms | None = None


class WireText(StrictModel):
    """``[[wire]]``: a conductor between two terminals."""

    mark: Mark
    start: TerminalName = Field(alias="from")
    end: TerminalName = Field(alias="to")
    colour: str
    area: SquareMillimetres
    length: Metres
    note: Annotated[str, SPOKEN] = ""


class PositionText(StrictModel):
    """``[[position]]``: a setting of the controls, the contacts it closes and the loads it is meant to work."""

    name: Name
    title: Prose
    closes: tuple[str, ...]
    works: tuple[str, ...]
    duty: Percent = 1.0


class FaultText(StrictModel):
    """``[[fault]]``: something that can be wrong.

    ``along`` is how far along its section a leak is, from its first end (0) to its second (1). ``volts`` of a low
    supply are between the same conductors as the ``voltage`` of the supply.
    """

    id: Name
    kind: FaultKind
    title: Prose
    on: str = ""
    likelihood: Annotated[float, Field(gt=0, le=1000)]
    basis: Prose
    looks: Prose
    hidden: bool = False
    mend: Prose
    fit: Prose = ""
    ohms: Ohms | None = None
    ohms_hot: Ohms | None = None
    along: Annotated[float, Field(ge=0, le=1)] | None = None
    setting: str = ""
    factor: Annotated[float, Field(gt=0, le=100)] | None = None
    power: Watts | None = None
    volts: Volts | None = None
    offset: Annotated[float, Quantity("K", minimum=None)] | None = None
    end: Literal["", "from", "to"] = ""
    to: str = ""


class HeatText(StrictModel):
    """``[heat]``: what the appliance heats; numbers are bare, in the units named here.

    ``model`` is an oven of the library, or a ``vessel`` of water (with ``litres``; ``to_room``, its loss, W/K;
    ``shell`` and ``element``, heat capacities, J/K; ``element_to_water``, W/K; ``heater``, the place of its loads), a
    ``duct`` (with ``flow`` and ``still_flow``, m³/s, fan on and off) or a ``core`` of storage bricks. ``thermostat``
    and ``fan`` name parts, ``set_point`` is in °C; a ``steam_switch`` opens at ``steam_switch_opens``, °C. An appliance
    of two ovens names the model and thermostat of each (``top_``, ``main_``) in place of one.
    """

    model: HeatModel | None = None
    thermostat: Mark | None = None
    set_point: Annotated[float, Field(gt=0, le=1000)] | None = None
    fan: Mark | None = None
    top_model: HeatModel | None = None
    top_thermostat: Mark | None = None
    main_model: HeatModel | None = None
    main_thermostat: Mark | None = None
    litres: Annotated[float, Field(gt=0, le=10_000)] | None = None
    to_room: Annotated[float, Field(gt=0, le=1e8)] | None = None
    shell: Annotated[float, Field(gt=0, le=1e8)] | None = None
    element: Annotated[float, Field(gt=0, le=1e8)] | None = None
    element_to_water: Annotated[float, Field(gt=0, le=1e8)] | None = None
    heater: str | None = None
    flow: Annotated[float, Field(gt=0, le=1e8)] | None = None
    still_flow: Annotated[float, Field(gt=0, le=1e8)] | None = None
    steam_switch: Mark | None = None
    steam_switch_opens: Annotated[float, Field(gt=0, le=1000)] | None = None


class ApplianceText(StrictModel):
    """A whole appliance file; with ``joined`` true, in somebody's own folder, what is added to one of that name."""

    id: Name
    title: Prose
    source: Prose
    joined: bool = False
    plate: PlateText
    supply: SupplyText
    access: dict[str, Minutes] = Field(default_factory=dict)
    heat: HeatText = HeatText()
    part: tuple[PartText, ...]
    wire: tuple[WireText, ...]
    position: tuple[PositionText, ...]
    fault: tuple[FaultText, ...]
