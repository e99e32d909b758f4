"""What appliances take for granted: figures of the trade that no file of an appliance gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["Checking", "Making", "TellingApart"]


@dataclass(frozen=True)
class Making(Assumed, table="appliances.making"):
    """How parts are made, where their file does not say."""

    element_tolerance: Annotated[float, "1"]
    contact_ohms: Annotated[float, "ohm"]


@dataclass(frozen=True)
class Checking(Assumed, table="appliances.checking"):
    """From where on a file is found fault with; up to each of ``wire_amps`` a wire has that of ``wire_areas``."""

    short_ohms: Annotated[float, "ohm"]
    fewest_faults: Annotated[int, "1"]
    works_part: Annotated[float, "1"]
    most_residual: Annotated[float, "A"]
    most_tolerance: Annotated[float, "1"]
    wire_amps: Annotated[tuple[float, ...], "A"]
    wire_areas: Annotated[tuple[float, ...], "mm2"]


@dataclass(frozen=True)
class TellingApart(Assumed, table="appliances.telling-apart"):
    """When two readings differ, and what reads as open."""

    relative: Annotated[float, "1"]
    absolute: Annotated[float, "1"]
    open_ohms: Annotated[float, "ohm"]
