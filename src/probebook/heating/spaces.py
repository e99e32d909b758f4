"""The heated spaces of this library, with the figures that are assumed of them."""

from __future__ import annotations

from dataclasses import asdict

from probebook.assumptions import Assumptions
from probebook.heating.assumed import (
    CavityFigures,
    CoreFigures,
    DuctFigures,
    ElementFigures,
    ElementInBase,
    ElementInRoof,
    ElementRoundFan,
    GrillInRoof,
    Settling,
    VesselFigures,
)
from probebook.heating.cavity import Cavity, Element, Side
from probebook.heating.vessels import Core, Duct, Vessel

__all__ = ["conventional_oven", "core", "duct", "fan_oven", "multifunction_oven", "vessel"]

#: Name of an element in the network, its side as seen from the food, its figures.
_ELEMENTS: dict[str, tuple[Side, type[ElementFigures]]] = {
    "top": ("above", ElementInRoof),
    "grill": ("above", GrillInRoof),
    "base": ("below", ElementInBase),
    "ring": ("around", ElementRoundFan),
}


def conventional_oven(assumptions: Assumptions) -> Cavity:
    """Return a 62-litre oven with top, grill and base elements and no fan."""
    return _cavity(assumptions, "top", "grill", "base")


def fan_oven(assumptions: Assumptions) -> Cavity:
    """Return a 62-litre oven heated by a ring element round its fan."""
    return _cavity(assumptions, "ring")


def multifunction_oven(assumptions: Assumptions) -> Cavity:
    """Return a 62-litre oven with top, grill, base and ring elements and a fan."""
    return _cavity(assumptions, "top", "grill", "base", "ring")


def vessel(assumptions: Assumptions, litres: float, *, heater: str = "element", **figures: float) -> Vessel:
    """Return a vessel of water (litres); ``figures`` are those that are known of it, by their names."""
    return Vessel(
        litres,
        heater=heater,
        **{**asdict(assumptions.get(VesselFigures)), **figures},
        settling=assumptions.get(Settling),
    )


def duct(assumptions: Assumptions, heaters: tuple[str, ...] = ("element",), **figures: float) -> Duct:
    """Return a duct with these heaters; ``figures`` are those that are known of it, by their names."""
    return Duct(
        heaters=heaters, **{**asdict(assumptions.get(DuctFigures)), **figures}, settling=assumptions.get(Settling)
    )


def core(assumptions: Assumptions, heaters: tuple[str, ...] = ("element",), **figures: float) -> Core:
    """Return a storage heater's core with these heaters; ``figures`` are those that are known of it."""
    return Core(
        heaters=heaters, **{**asdict(assumptions.get(CoreFigures)), **figures}, settling=assumptions.get(Settling)
    )


def _cavity(assumptions: Assumptions, *names: str) -> Cavity:
    elements = []
    for name in names:
        side, group = _ELEMENTS[name]
        elements.append(Element(name, side, **asdict(assumptions.get(group))))
    return Cavity(tuple(elements), **asdict(assumptions.get(CavityFigures)), settling=assumptions.get(Settling))
