"""Wire and tube of a sheathed element: surface loads and sizes, in SI.

Formulae of the Kanthal Appliance Alloys Handbook (cat. 1-A-4-3, 2003), pp. 69-70: surface load
``p = P / A``, ``R = ρ L / q``, and the surface per ohm ``A / R20 = I² Ct / p``, which fixes the
wire's diameter. A handbook's W/cm² is 10 000 W/m².
"""

from __future__ import annotations

import math

__all__ = [
    "cylinder_surface",
    "ohms_per_metre",
    "surface_for_load",
    "surface_load",
    "surface_per_ohm",
    "wire_diameter",
]


def cylinder_surface(diameter: float, length: float) -> float:
    """Return the outside of a wire or tube, m², from diameter and length in m."""
    return math.pi * diameter * length


def surface_load(watts: float, surface: float) -> float:
    """Return the load of a surface (m²) that gives off ``watts``, W/m²."""
    return watts / surface


def surface_for_load(watts: float, load: float) -> float:
    """Return the surface (m²) that gives off ``watts`` at a load of ``load`` W/m²."""
    return watts / load


def ohms_per_metre(resistivity: float, diameter: float) -> float:
    """Return the resistance of round wire, Ω/m, from ρ in Ω m and diameter in m."""
    return resistivity / (math.pi * diameter**2 / 4.0)


def surface_per_ohm(resistivity: float, diameter: float) -> float:
    """Return the surface that one ohm of round wire has at 20 °C, m²/Ω: ``π² d³ / (4 ρ)``."""
    return cylinder_surface(diameter, 1.0) / ohms_per_metre(resistivity, diameter)


def wire_diameter(surface_of_one_ohm: float, resistivity: float) -> float:
    """Return the diameter (m) of the round wire that has a given surface per ohm, m²/Ω."""
    return float((4.0 * resistivity * surface_of_one_ohm / math.pi**2) ** (1.0 / 3.0))
