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
        ("multifunction-oven", "conventional", "thermostat-welded"),
        ("multifunction-oven", "fan-oven", "thermostat-welded"),
        ("multifunction-oven", "fan-base", "thermostat-welded"),
        ("double-oven", "main-oven", "main-thermostat-welded"),
        ("immersion-heater", "on", "thermostat-welded"),
        ("storage-heater", "charge", "thermostat-welded"),
    ],
)
def test_a_welded_thermostat_meets_its_cut_out(name: str, position: str, fault: str) -> None:
    """With nothing to switch the heat off the cut-out opens; sound, at the hottest setting, it never does."""
    appliance = LIBRARY[name]
    assert heated(appliance)
    runaway = record_of(appliance, position, [fault], step=30.0)
    knob = appliance.fault(fault).target
    hottest = float(appliance.part(knob).fact("maximum") or 0.0) - 273.15
    sound = record_of(appliance, position, set_point=hottest, step=30.0)
    assert sound.cut_outs_closed.all()
    if runaway.times[-1] >= 3600.0:
        assert not runaway.cut_outs_closed.all()


@EACH
def test_fittings_are_those_of_the_part(appliance: Appliance) -> None:
    """Rings round fans, loops over and under food; capillaries where the bulb is away; no lamp cap on a neon."""
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
            assert ("capillary" in sizes) is (
                appliance.id.endswith("oven") or appliance.id in ("storage-heater", "water-boiler", "hot-cupboard")
            )
        if part.kind.value == "neon":
            assert "screw cap" not in " ".join(map(str, fit.fixings))


@EACH
def test_a_sound_appliance_never_meets_a_cut_out(appliance: Appliance) -> None:
    """At its hottest setting no cut-out opens in any position that heats, bar the steam switch, whose work that is."""
    steam = dict(appliance.heat).get("steam_switch")
    marks = [p.mark for p in appliance.parts if p.fact("maximum") is not None]
    for position in appliance.positions:
        if not heated(appliance) or not any(appliance.branches[appliance.branch(n)].place for n in position.heats):
            continue
        tops = [float(appliance.part(mark).fact("maximum") or 0.0) - 273.15 for mark in marks]
        record = record_of(appliance, position.name, set_point=min(tops, default=None), step=30.0)
        opened = {s.name for s in record.switchings if not s.closed} - {"thermostat", "boiling", steam}
        assert not opened, position.name


@EACH
def test_damp_is_known_where_an_element_lies_cold_for_long(appliance: Appliance) -> None:
    """Every appliance knows damp; an oven with a grill knows it of the grill, its least used element.

    Common practice, no published source.
    """
    damp = {f.target for f in appliance.faults if f.kind is FaultKind.DAMP}
    assert damp
    grills = {b.name for b in appliance.branches if b.place == "grill"}
    assert not grills or damp & grills


@EACH
def test_what_any_sound_part_shows_is_no_mark_of_a_fault(appliance: Appliance) -> None:
    """A motor whose winding is open turns by hand like a sound one; what needs the supply on is no look at a part."""
    for fault in appliance.faults:
        if fault.hidden:
            continue
        assert "turns freely" not in fault.looks, fault.id
        assert not re.search(r"\b(lit|glows?|hot)\b", fault.looks), fault.id


@EACH
def test_only_what_has_a_sheath_leaks_to_it(appliance: Appliance) -> None:
    """Bare coils and ribbons (FeCrAl, on insulators) and cast plates have none (common practice, no source)."""
    bare = {p.mark for p in appliance.parts if str(p.fact("alloy") or "").startswith("fecral")}
    for fault in appliance.faults:
        if fault.target.partition(".")[0] in bare or appliance.id == "solid-plate":
            assert "sheath" not in f"{fault.title} {fault.looks}", fault.id


@EACH
def test_wires_carry_what_their_position_draws(appliance: Appliance) -> None:
    """In every position no wire carries more than its area may.

    Free in air at 30 °C, heat-resisting: 0.75 mm² 6 A, 1.0 10 A, 1.5 16 A, 2.5 25 A, 4 32 A (flexible cords, BS 7671,
    from memory).
    """
    may = {0.75: 6.0, 1.0: 10.0, 1.5: 16.0, 2.5: 25.0, 4.0: 32.0}
    flow = working(appliance, [State(p.name) for p in appliance.positions])
    for wire in appliance.wires:
        amps = float(abs(flow.amps[:, appliance.branch(wire.mark)]).max())
        assert amps <= may[round(wire.area * 1e6, 2)], wire.mark


@EACH
def test_every_class_one_appliance_knows_a_poor_earth_joint(appliance: Appliance) -> None:
    """It is listed and likelier than an earth wire left off (common practice, no published source)."""
    if appliance.plate.protection != "class I":
        return
    earth = {wire.mark for wire in appliance.wires if wire.is_earth}
    poor = [f for f in appliance.faults if f.kind is FaultKind.HIGH_RESISTANCE and f.target in earth]
    left_off = [f for f in appliance.faults if f.kind is FaultKind.EARTH_OFF and f.target in {p.target for p in poor}]
    assert poor
    assert all(p.likelihood > o.likelihood for p in poor for o in left_off)


def test_a_cut_out_of_one_cavity_is_not_in_the_record_of_the_other() -> None:
    """Two ovens in one case: each record knows the cut-out in its own feed alone (traced on the drawing)."""
    oven = LIBRARY["double-oven"]
    for position, own in (("top-oven", "F1"), ("grill", "F1"), ("main-oven", "F2"), ("both-ovens", "F2")):
        assert [cut_out.name for cut_out in record_of(oven, position, step=60.0).cut_outs] == [own], position
