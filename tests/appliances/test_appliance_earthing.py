"""The most that an earth path may have before the supply goes back."""

from __future__ import annotations

from pathlib import Path

import pytest

from probebook.appliances import branch_ends, branch_ohms, earth_limit, load_appliances
from probebook.appliances.earthing import lead_ohms
from probebook.appliances.model import Appliance, FaultKind, PartKind, State
from probebook.circuit import resistances
from probebook.regions import load_region, region_ids

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
LIBRARIES = {name: load_appliances(SCENARIOS, region=load_region(SCENARIOS, name)) for name in region_ids(SCENARIOS)}
EACH = pytest.mark.parametrize(
    "appliance",
    [a for library in LIBRARIES.values() for a in library.values()],
    ids=[f"{region}-{a}" for region, library in LIBRARIES.items() for a in library],
)


def _earth_wires(appliance: Appliance) -> set[str]:
    return {wire.mark for wire in appliance.wires if wire.is_earth}


def _paths(appliance: Appliance, faults: frozenset[str]) -> list[float]:
    """Ohms from the incoming earth to each piece of metalwork."""
    state = State(appliance.positions[0].name, faults=faults)
    ohms = resistances(len(appliance.terminals), branch_ends(appliance), branch_ohms(appliance, [state]))[0]
    metal = [t for part in appliance.parts if part.kind is PartKind.METALWORK for t in part.terminals]
    return [float(ohms[appliance.terminal(appliance.earth), appliance.terminal(t)]) for t in metal]


@EACH
def test_the_limit_is_that_of_the_product_standard_and_the_lead(appliance: Appliance) -> None:
    """0.1 ohm, and that of the supply lead where there is one (EN 50106:2008, seen; IET Code, as guides report it)."""
    limit = earth_limit(appliance)
    assert limit.high == pytest.approx(0.1 + lead_ohms(appliance))
    assert (lead_ohms(appliance) > 0.0) is (appliance.supply.kind == "plug")
    assert limit.status in ("seen", "second hand")


@EACH
def test_the_ohms_of_a_lead_are_those_of_its_copper(appliance: Appliance) -> None:
    """A lead of 1.5 mm² has 13.3 ohm a kilometre at most (IEC 60228, class 5), and its joints some milliohms."""
    if appliance.supply.kind != "plug":
        return
    leads = [w for w in appliance.wires if w.is_earth and appliance.earth in (w.start, w.end)]
    copper = sum(w.length * 13.3e-3 * 1.5e-6 / w.area for w in leads)
    assert 0.85 * copper <= lead_ohms(appliance) <= copper + 0.02


@EACH
def test_a_sound_earth_passes_and_a_poor_joint_never(appliance: Appliance) -> None:
    """A sound path keeps clear of the limit, a meter's error with it; a poor joint is over it at half its ohms."""
    limit = earth_limit(appliance).high
    assert max(_paths(appliance, frozenset())) < limit - 0.05
    poor = [f for f in appliance.faults if f.kind is FaultKind.HIGH_RESISTANCE and f.target in _earth_wires(appliance)]
    assert poor
    for fault in poor:
        assert max(_paths(appliance, frozenset({fault.id}))) > 2 * limit
