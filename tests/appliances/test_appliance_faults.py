"""What each kind of fault does to the circuit, which go together, and what decides a branch's ohms."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from appliance_text import FAULTS, SCENARIOS, SMALL, changed, fault, write

from probebook.appliances import (
    Appliance,
    State,
    branch_ends,
    branch_ohms,
    effect_of,
    grid_ohms,
    load_appliance,
    load_appliances,
    working,
)
from probebook.appliances.distinguishing import untold
from probebook.appliances.pairs import compatible, compatible_pairs
from probebook.circuit import resistances
from probebook.errors import ScenarioError

LIBRARY = load_appliances(SCENARIOS)
EACH = pytest.mark.parametrize("appliance", LIBRARY.values(), ids=LIBRARY)


def _ohms(appliance: Appliance, branch: str, state: State, *, hot: bool = False) -> float:
    return float(branch_ohms(appliance, [state], hot=hot)[0, appliance.branch(branch)])


def test_each_kind_of_fault_changes_its_branch_as_it_says(tmp_path: Path) -> None:
    """Open is open, drift multiplies, a leak takes its stated ohms cold and hot, a burnt tag adds in series."""
    text = SMALL + FAULTS + fault("tag-burnt", "high-resistance", "W3", 'ohms = "12 ohm"')
    text += fault("wrong", "wrong-part", "E1.heater", 'power = "800 W"')
    small = load_appliance(write(tmp_path, text), scenarios=SCENARIOS)
    element = small.branches[small.branch("E1.heater")]
    wire = small.branches[small.branch("W3")]

    def found(branch: str, name: str, *, hot: bool = False) -> float:
        return _ohms(small, branch, State("on", faults=frozenset({name})), hot=hot)

    assert np.isinf(found("E1.heater", "element-open"))
    assert found("E1.heater", "element-drift") == pytest.approx(1.3 * element.cold_ohms)
    assert found("E1.heater", "wrong") == pytest.approx(element.cold_ohms * 1000 / 800)
    assert found("E1.heater~CH.1", "element-leak") == 30e3
    assert found("E1.heater~CH.1", "element-leak", hot=True) == 4e3
    assert found("W3", "tag-burnt") == pytest.approx(wire.cold_ohms + 12.0)
    assert np.isinf(found("W3", "wire-broken"))
    assert np.isinf(found("S1.a", "switch-burnt"))
    calling_not = State("on", calling=False, faults=frozenset({"thermostat-welded"}))
    assert _ohms(small, "B1", calling_not) == 0.01
    assert small.fault("thermostat-low").offset == -30.0


def test_a_misplaced_wire_leaves_one_tag_and_joins_another() -> None:
    """In the conventional oven W7 taken to tag 2 opens S1.3 to E2.1 and joins S1.2 to E2.1."""
    oven = LIBRARY["conventional-oven"]
    state = State("grill", faults=frozenset({"feeds-crossed"}), lifted=frozenset({"W10"}))
    ohms = resistances(len(oven.terminals), branch_ends(oven), branch_ohms(oven, [state]))[0]
    element = oven.terminal("E2.1")
    assert ohms[oven.terminal("S1.2"), element] < 0.1
    assert ohms[oven.terminal("S1.3"), element] > 1e6


def test_thermostats_call_one_by_one() -> None:
    """In the double oven one thermostat satisfied stops its own oven and not the other."""
    oven = LIBRARY["double-oven"]
    flow = working(oven, [State("both-ovens"), State("both-ovens", satisfied=frozenset({"B1"}))])
    ring, base = oven.branch("E3.ring"), oven.branch("E2.heater")
    assert flow.watts[1, ring] == pytest.approx(flow.watts[0, ring], rel=0.02)
    assert flow.watts[0, base] > 800.0
    assert flow.watts[1, base] < 1.0


def test_a_regulator_cycles_one_pole_and_keeps_the_others() -> None:
    """With the eye-level grill's regulator satisfied the element rests and the pilot neon stays lit."""
    grill = LIBRARY["eye-level-grill"]
    flow = working(grill, [State("low", calling=False)])
    neon = grill.branches[grill.branch("H1")]
    assert flow.total_watts[0] < 1.0
    assert abs(flow.volts[0, neon.ends[0]] - flow.volts[0, neon.ends[1]]) == pytest.approx(230.0, abs=0.1)


def test_a_limiter_drops_the_element_and_lights_the_hot_lamp() -> None:
    """Rod limiter of the hob: cold, contact a is made and h open; tripped, a is open and h made."""
    hob = LIBRARY["radiant-hob-zone"]
    cold, tripped = State("both-full"), State("both-full", opened=frozenset({"F1"}))
    assert [_ohms(hob, name, cold) for name in ("F1.a", "F1.h")] == [0.01, np.inf]
    assert [_ohms(hob, name, tripped) for name in ("F1.a", "F1.h")] == [np.inf, 0.01]


@EACH
def test_the_grid_of_states_holds_the_same_ohms_as_states_one_by_one(appliance: Appliance) -> None:
    """grid_ohms and branch_ohms are two ways to one table, cold and hot."""
    positions = [p.name for p in appliance.positions]
    lifts = [(), (appliance.wires[0].mark,), tuple(w.mark for w in appliance.wires[2:4])]
    sets = [(), *((f.id,) for f in appliance.faults)]
    for hot, volts in ((False, 1.0), (True, 230.0)):
        grid = grid_ohms(appliance, positions, lifts, sets, hot=hot, test_volts=volts)
        states = [
            State(p, lifted=frozenset(lift), faults=frozenset(faults))
            for p in positions
            for lift in lifts
            for faults in sets
        ]
        one_by_one = branch_ohms(appliance, states, hot=hot, test_volts=volts)
        np.testing.assert_array_equal(grid.reshape(one_by_one.shape), one_by_one)


@EACH
def test_any_two_faults_stand_together_unless_both_hold_the_same_thing(appliance: Appliance) -> None:
    """The joint effect does not depend on order, shows both, and pairs refused share a branch, contact or supply."""
    pairs = set(compatible_pairs(appliance))
    for a, b in combinations(appliance.faults, 2):
        if (a.id, b.id) not in pairs:
            assert a.target == b.target or {c.branch for c in a.changes} & {c.branch for c in b.changes}
            continue
        assert compatible(appliance, b, a)
        one, other = effect_of(appliance, [a, b]), effect_of(appliance, [b, a])
        for key in ("force", "force_hot", "factor", "series"):
            np.testing.assert_array_equal(getattr(one, key), getattr(other, key))
        for each in (a, b):
            alone = effect_of(appliance, [each])
            for change in each.changes:
                i = appliance.branch(change.branch)
                np.testing.assert_array_equal(one.force[i], alone.force[i])
                assert (one.factor[i], one.series[i]) == (alone.factor[i], alone.series[i])
    assert len(pairs) > 0.85 * len(list(combinations(appliance.faults, 2)))


@pytest.mark.parametrize(
    ("one", "other", "together"),
    [
        ("base-open", "base-drift", False),
        ("base-open", "base-leak", True),
        ("base-damp", "base-leak", False),
        ("thermostat-open", "thermostat-welded", False),
        ("thermostat-welded", "thermostat-low", False),
        ("base-neutral-broken", "base-tag-burnt", False),
        ("base-feed-broken", "feeds-crossed", False),
        ("outer-open", "inner-open", True),
        ("low-supply", "user-setting", True),
        ("low-supply", "low-supply", False),
    ],
)
def test_impossible_pairs_are_known(one: str, other: str, together: bool) -> None:
    """A section cannot be open and drifted; it can be open and leak; a contact cannot be burnt and welded."""
    assert compatible(LIBRARY["conventional-oven"], one, other) is together


@EACH
def test_every_fault_changes_something_that_can_be_observed(appliance: Appliance) -> None:
    """No fault reads in every obtainable way as the healthy appliance or as another fault of it."""
    assert untold(appliance) == []


@pytest.mark.parametrize(
    ("table", "message"),
    [
        (fault("a", "open", "E9.heater"), "there is nothing called 'E9.heater'"),
        (fault("a", "open", "W1"), "cannot be on 'W1', which is a wire"),
        (fault("a", "drift", "E1.heater"), "needs the figure 'factor'"),
        (fault("a", "misplaced-wire", "W3"), "needs the keys 'end' and 'to'"),
        (fault("a", "misplaced-wire", "W3", 'end = "to"\nto = "E1.9"'), "no terminal 'E1.9'"),
        (fault("a", "leak", "S1.a", 'ohms = "9 kohm"'), "cannot be on 'S1.a', which is a contact"),
        (fault("a", "user-setting", "", 'setting = "of"'), "'of' is not a position; did you mean 'off'"),
        (fault("a", "seized", "E1.heater"), "cannot be on 'E1.heater', which is an element"),
    ],
)
def test_a_fault_that_cannot_be_there_is_refused(tmp_path: Path, table: str, message: str) -> None:
    """One sentence says what is wrong with the fault and where it stands in the file."""
    with pytest.raises(ScenarioError) as caught:
        load_appliance(write(tmp_path, SMALL + table), scenarios=SCENARIOS)
    assert message in str(caught.value)
    assert "small.toml: fault[1] (a)" in str(caught.value)


def test_a_text_file_alone_adds_an_appliance(tmp_path: Path) -> None:
    """A file written to a folder is read, energised and measured with nothing changed in Python."""
    folder = tmp_path / "appliances"
    folder.mkdir()
    write(folder)
    found = load_appliances(tmp_path, scenarios=SCENARIOS)
    assert list(found) == ["small"]
    flow = working(found["small"], [State("on"), State("off")])
    assert flow.total_watts == pytest.approx([1000.0, 0.0], rel=2e-3, abs=1e-6)


def test_an_unknown_alloy_or_a_winding_off_its_table_is_refused(tmp_path: Path) -> None:
    """An alloy without a table, or a working temperature beyond it, is no ground for a guess."""
    with pytest.raises(ScenarioError, match="no alloy table 'nicr-80'; did you mean 'nicr-80-20'"):
        load_appliance(write(tmp_path, changed(('"nicr-80-20"', '"nicr-80"'))), scenarios=SCENARIOS)
    with pytest.raises(ScenarioError, match="has no factor for 1700"):
        load_appliance(write(tmp_path, changed(('"700 degC"', '"1700 degC"'))), scenarios=SCENARIOS)
