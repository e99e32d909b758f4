"""Figures of the library that a practitioner would believe."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from probebook.appliances import Appliance, FaultKind, State, load_appliances, working
from probebook.heating.installed import heated, record_of
from probebook.questions.replacement.stock import fit_of, stock

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
LIBRARY = load_appliances(SCENARIOS)
EACH = pytest.mark.parametrize("appliance", LIBRARY.values(), ids=LIBRARY)


def _burnt(appliance: Appliance) -> list[str]:
    """Ids of burnt joints on wires that carry load."""
    earth = {wire.mark for wire in appliance.wires if wire.is_earth}
    return [f.id for f in appliance.faults if f.kind is FaultKind.HIGH_RESISTANCE and f.target not in earth]


@EACH
def test_a_burnt_joint_has_what_a_joint_can_have(appliance: Appliance) -> None:
    """0.5 to 3 ohm: with more, a joint burns off (V²/R: 18 ohm in a 1500 W circuit takes 330 W)."""
    for name in _burnt(appliance):
        assert 0.5 <= appliance.fault(name).changes[0].series <= 3.0


@EACH
def test_the_watts_said_of_a_burnt_joint_are_those_it_takes(appliance: Appliance) -> None:
    """What is said to turn into heat in the joint is I²R of the position that loads it most, to a tenth."""
    for name in _burnt(appliance):
        said = re.search(r"some (\d+) W into heat", appliance.fault(name).mend)
        assert said
        flow = working(appliance, [State(p.name, faults=frozenset({name})) for p in appliance.positions])
        most = float(flow.watts[:, appliance.branch(appliance.fault(name).target)].max())
        assert float(said.group(1)) == pytest.approx(most, rel=0.12)


@EACH
def test_nobody_dries_a_damp_part_with_its_own_supply(appliance: Appliance) -> None:
    """What failed an insulation test is dried off the supply and tested, never run warm (common safe practice)."""
    for fault in appliance.faults:
        if fault.kind is FaultKind.DAMP:
            assert "warm air" in fault.mend
            assert "test insulation again" in fault.mend
            assert " run" not in fault.mend


@pytest.mark.parametrize(
    ("name", "position", "fault"),
    [
        ("conventional-oven", "oven", "thermostat-welded"),
        ("fan-oven", "fan-oven", "thermostat-welded"),
        ("immersion-heater", "on", "thermostat-welded"),
        ("storage-heater", "charge", "thermostat-welded"),
    ],
)
def test_a_welded_thermostat_meets_its_cut_out(name: str, position: str, fault: str) -> None:
    """With nothing to switch the heat off the cut-out opens; sound, at the hottest setting, it never does."""
    appliance = LIBRARY[name]
    assert heated(appliance)
    runaway = record_of(appliance, position, [fault], step=30.0)
    hottest = float(appliance.part("B1").fact("maximum") or 0.0) - 273.15
    sound = record_of(appliance, position, set_point=hottest, step=30.0)
    assert sound.cut_outs_closed.all()
    if runaway.times[-1] >= 3600.0:
        assert not runaway.cut_outs_closed.all()


@EACH
def test_fittings_are_those_of_the_part(appliance: Appliance) -> None:
    """Rings round fans, loops over and under food; capillaries on ovens; no lamp cap on a neon, no bulb on a rod."""
    listed = stock(SCENARIOS)
    for part in appliance.parts:
        places = {b.place for b in appliance.branches if b.part == part.mark and b.place}
        if part.kind.value not in ("element", "thermostat", "neon"):
            continue
        fit = fit_of(appliance, part, listed)
        sizes = " ".join(map(str, fit.sizes))
        if part.kind.value == "element":
            assert ("ring" in sizes) is (places == {"ring"}), part.mark
        if part.kind.value == "thermostat":
            assert ("capillary" in sizes) is (appliance.id.endswith("oven") or appliance.id == "storage-heater")
        if part.kind.value == "neon":
            assert "screw cap" not in " ".join(map(str, fit.fixings))
