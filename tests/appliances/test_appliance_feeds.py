"""A second supply: live in the positions that name it, nothing on a dead appliance."""

from __future__ import annotations

from pathlib import Path

import pytest
from appliance_text import FAULTS, SCENARIOS, SMALL, changed, write

from probebook.appliances import Appliance, State, branch_ends, branch_ohms, load_appliance, working
from probebook.appliances.checking import check_appliance
from probebook.circuit import resistances
from probebook.diagnosis.trial_list import list_trials
from probebook.drawings.paths import carrying, closed_contacts
from probebook.errors import ScenarioError
from probebook.physical import InUse, fitting

FEED = """
[[part]]
mark = "X2"
kind = "feed"
title = "off-peak supply"
between = ["X1.L", "D"]

[[part]]
mark = "E2"
kind = "element"
title = "daytime element"
alloy = "nicr-80-20"
working = "700 degC"
mounted_on = "CH.1"
insulation = "400 Mohm"
sections = [{ name = "heater", between = ["1", "2"], power = "500 W", place = "top" }]

[[wire]]
mark = "W6"
from = "X1.L"
to = "E2.1"
colour = "brown"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W7"
from = "E2.2"
to = "X1.N"
colour = "blue"
area = "1.5 mm2"
length = "0.5 m"

[[wire]]
mark = "W1"
from = "X2.D"
"""
DAY = """
[[position]]
name = "day"
title = "by day"
closes = ["S1.a"]
works = ["E2.heater"]

[[position]]
name = "on"
title = "by night"
closes = ["S1.a", "X2"]
works = ["E2.heater", "E1.heater"]
"""
TWO = changed(
    ('\n[[wire]]\nmark = "W1"\nfrom = "X1.L"\n', FEED),
    ('power = "1 kW"', 'power = "1.5 kW"'),
    ("closes = []\nworks = []", 'closes = []\nworks = ["E2.heater"]'),
    ('\n[[position]]\nname = "on"\ntitle = "on"\ncloses = ["S1.a"]\nworks = ["E1.heater"]\n', DAY),
    text=SMALL,
)


@pytest.fixture
def heater(tmp_path: Path) -> Appliance:
    """A heater of 1 kW off-peak and 500 W by day."""
    return load_appliance(write(tmp_path, TWO + FAULTS), scenarios=SCENARIOS)


def test_it_is_live_in_the_positions_that_name_it(heater: Appliance) -> None:
    """By day 500 W, by night 1.5 kW, cold or warm: by the file."""
    states = [State("day"), State("on")]
    assert working(heater, states).total_watts == pytest.approx([500.0, 1500.0], rel=0.01)
    assert working(heater, states, hot=False).total_watts[0] < 600.0
    assert working(heater, states, hot=False).total_watts[1] > 1500.0


def test_it_joins_nothing_dead(heater: Appliance) -> None:
    """Isolated, no position joins the two line terminals; each element is read from its own."""
    table = branch_ohms(heater, [State(p.name) for p in heater.positions])
    found = resistances(len(heater.terminals), branch_ends(heater), table)
    first, second, neutral = (heater.terminal(t) for t in ("X1.L", "X2.D", "X1.N"))
    assert (found[:, first, second] > 50.0).all()  # by way of both elements and neutral at least
    on = [p.name for p in heater.positions].index("on")
    by_night, by_day = (heater.branches[heater.branch(n)].cold_ohms for n in ("E1.heater", "E2.heater"))
    assert found[on, second, neutral] == pytest.approx(by_night, rel=2e-3)
    assert found[on, first, neutral] == pytest.approx(by_day, rel=2e-3)


def test_both_line_terminals_are_tried(heater: Appliance) -> None:
    """Line to neutral is read at either supply, and nothing is read across a supply that is off."""
    pairs = {frozenset(t.probes) for t in list_trials(heater) if t.probes}
    assert {frozenset({"X1.L", "X1.N"}), frozenset({"X2.D", "X1.N"})} <= pairs
    assert frozenset({"X1.L", "X2.D"}) not in pairs


def test_a_supply_that_is_not_there_is_a_way_to_fail(heater: Appliance) -> None:
    """The night element alone dead: what it alone hangs on, its supply among it, and nothing of the day's."""
    seen = {"base": "off", "top": "normal", "temperature": "right", "protection": "holds"}
    found = {f.branch for f in fitting(heater, [], [InUse("on", seen, complete=False)])}
    assert {"X2", "W1", "S1.a", "W2", "B1", "W3", "E1.heater", "W4"} <= found
    assert not found & {"W6", "W7", "E2.heater"}


def test_the_drawing_shows_it_live_or_not(heater: Appliance) -> None:
    """Drawn open on a dead appliance; current passes it by night, not by day."""
    assert "X2" not in closed_contacts(heater, "on")
    assert "X2" in closed_contacts(heater, "on", live=True)
    assert "X2" in carrying(heater, "on")
    assert "X2" not in carrying(heater, "day")


def test_the_file_is_sound_and_refused_without_its_ends(tmp_path: Path) -> None:
    """Nothing to find fault with; without ``between`` one sentence says what is missing and where."""
    path = write(tmp_path, TWO + FAULTS)
    assert [f.message for f in check_appliance(path, scenarios=SCENARIOS) if f.severity.value == "error"] == []
    path = write(tmp_path, changed(('between = ["X1.L", "D"]\n', ""), text=TWO + FAULTS))
    with pytest.raises(ScenarioError, match="between"):
        load_appliance(path, scenarios=SCENARIOS)
