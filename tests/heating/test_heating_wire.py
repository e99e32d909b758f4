"""Wire arithmetic of sheathed elements against a handbook's worked example and tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from probebook.appliances.alloys import load_alloys, rated_ohms
from probebook.heating import wire

ALLOYS = load_alloys(Path(__file__).parents[2] / "scenarios" / "alloys.toml")
PER_CM2 = 1e4  # W/cm2 -> W/m2


def test_handbook_example_of_a_tubular_element() -> None:
    """Kanthal Appliance Alloys Handbook (2003) p. 80: 1000 W, 220 V, tube 8 mm x 250 mm heated, Ct 1.05."""
    hot = rated_ohms(1000.0, 220.0)
    assert hot == pytest.approx(48.4, abs=0.005)
    tube = wire.surface_load(1000.0, wire.cylinder_surface(8e-3, 0.300 - 2 * 0.025))
    assert tube / PER_CM2 == pytest.approx(15.91, abs=0.01)
    assert 3 * tube / PER_CM2 == pytest.approx(47.74, abs=0.01)
    cold = hot / 1.05
    assert cold == pytest.approx(46.09, abs=0.01)
    surface = wire.surface_for_load(1000.0, 48.0 * PER_CM2)  # the handbook rounds the wire load to 48
    assert surface * 1e4 == pytest.approx(20.83, abs=0.005)
    assert surface * 1e4 / cold == pytest.approx(0.455, abs=0.005)  # it goes on with 21 / 46.1
    # "about 0.3 mm": resistivity of alloy D, 1.35 ohm mm2/m, is from memory
    assert wire.wire_diameter(21e-4 / 46.1, 1.35e-6) == pytest.approx(0.3e-3, abs=0.02e-3)


def test_surface_per_ohm_is_current_squared_times_factor_over_load() -> None:
    """Handbook p. 70: A/R20 = I² Ct / p, and the wire found from it has exactly that surface per ohm."""
    current, factor, load = 1000.0 / 220.0, 1.05, 48.0 * PER_CM2
    needed = current**2 * factor / load
    assert needed == pytest.approx(wire.surface_for_load(1000.0, load) / (48.4 / 1.05), rel=1e-12)
    diameter = wire.wire_diameter(needed, 1.35e-6)
    assert wire.surface_per_ohm(1.35e-6, diameter) == pytest.approx(needed, rel=1e-12)


def test_wire_tables() -> None:
    """Handbook p. 64: CuNi 44 wire of 1.0 mm has 0.624 ohm/m, from its own resistivity."""
    resistivity = ALLOYS["cuni-44"].resistivity
    assert resistivity is not None
    assert wire.ohms_per_metre(resistivity, 1e-3) == pytest.approx(0.624, abs=0.0005)
