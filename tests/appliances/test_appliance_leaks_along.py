"""A leak at a point along an element: against ngspice, which has the element in two pieces, and by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from appliance_text import SCENARIOS, SMALL, fault, write

from probebook.appliances import Appliance, State, branch_ends, branch_ohms, load_appliance, load_appliances, working
from probebook.circuit import resistances_for
from probebook.diagnosis.open.ways import Sort, list_ways
from probebook.errors import ScenarioError
from probebook.physical.board import board_of
from spice import operating_point, resistances

ALONG = [0.0, 0.25, 0.5, 0.8, 1.0]


def small(folder: Path, along: float | None, ohms: str = "30 kohm", hot: str = "4 kohm") -> Appliance:
    """The test heater with a leak at a point of its element."""
    where = "" if along is None else f"along = {along}\n"
    leak = fault("mine", "leak", "E1.heater", f'{where}ohms = "{ohms}"\nohms_hot = "{hot}"')
    return load_appliance(write(folder, SMALL + leak), scenarios=SCENARIOS)


def split(appliance: Appliance, along: float, *, hot: bool, volts: float) -> tuple[list[tuple[int, int]], list[float]]:
    """The circuit with the element in two pieces and the leak between them, as a fitter would draw it."""
    ends = [tuple(e) for e in branch_ends(appliance).tolist()]
    sound = branch_ohms(appliance, [State("on")], hot=hot, test_volts=volts)[0].tolist()
    at, middle = appliance.branch("E1.heater"), len(appliance.terminals)
    (a, b), whole = ends[at], sound[at]
    leak, metal = (4e3 if hot else 30e3), appliance.terminal("CH.1")
    named = zip(appliance.branches, ends, sound, strict=True)
    rows = [(e, r) for branch, e, r in named if branch.name != "E1.heater" and "~" not in branch.name]
    rows += [((a, middle), max(along * whole, 1e-4)), ((middle, b), max((1.0 - along) * whole, 1e-4))]
    rows.append(((middle, metal), leak))
    return [e for e, _ in rows], [r for _, r in rows]


@pytest.mark.parametrize("along", ALONG)
def test_dead_it_reads_as_two_pieces_do(tmp_path: Path, along: float) -> None:
    """From line and from neutral to earth, cold: within half a per mille of ngspice with the element in two pieces."""
    heater = small(tmp_path, along)
    pairs = [(heater.terminal(t), heater.terminal("X1.E")) for t in ("X1.L", "X1.N")]
    ends, ohms = split(heater, along, hot=False, volts=1.0)
    theirs = resistances(ends, ohms, pairs, [heater.terminal("X1.E")])
    state = State("on", faults=frozenset({"mine"}))
    table = branch_ohms(heater, [state])
    ours = resistances_for(len(heater.terminals), branch_ends(heater), table, pairs)[0]
    assert ours == pytest.approx(theirs, rel=5e-4)


@pytest.mark.parametrize("along", ALONG)
def test_switched_on_it_drives_to_earth_what_its_point_has(tmp_path: Path, along: float) -> None:
    """Warm: the earth current is that of ngspice, and V (1 - x) / (g + x (1 - x) R) by hand."""
    heater = small(tmp_path, along)
    held = {heater.terminal("X1.L"): 230.0, heater.terminal("X1.N"): 0.0, heater.terminal("X1.E"): 0.0}
    ends, ohms = split(heater, along, hot=True, volts=230.0)
    (theirs,) = operating_point(ends, ohms, held, [f"i(vheld{heater.terminal('X1.E')})"])
    flow = working(heater, [State("on", faults=frozenset({"mine"}))])
    ours = float(flow.earth_amps[0])
    element = 230.0**2 / 1000.0
    by_hand = 230.0 * (1.0 - along) / (4e3 + along * (1.0 - along) * element)
    assert ours == pytest.approx(theirs, rel=2e-3, abs=2e-5)
    assert ours == pytest.approx(by_hand, rel=3e-3, abs=2e-5)


def test_without_a_place_it_is_at_the_line_end(tmp_path: Path) -> None:
    """A leak of which nothing is said, and one at 0, are one and the same, and make no second path."""
    plain, first = small(tmp_path, None), small(tmp_path, 0.0)
    assert plain.branches == first.branches
    assert plain.faults == first.faults


def test_a_second_path_is_no_second_leak_of_the_section(tmp_path: Path) -> None:
    """Generated failures and the independent search know each section's leak once, from either end."""
    plain, halfway = small(tmp_path, None), small(tmp_path, 0.5)
    leaks = [[w.between for w in list_ways(a) if w.sort is Sort.LEAK] for a in (plain, halfway)]
    assert leaks[0] == leaks[1]
    assert board_of(plain).leaks == board_of(halfway).leaks


@pytest.mark.parametrize(
    ("along", "ohms", "said"),
    [(0.5, "600 ohm", "takes its heat as well"), (1.5, "30 kohm", "along"), (-0.1, "30 kohm", "along")],
)
def test_what_cannot_be_is_refused(tmp_path: Path, along: float, ohms: str, said: str) -> None:
    """A dead earth fault halfway would halve the element; a point beyond its ends is none."""
    with pytest.raises(ScenarioError, match=said):
        small(tmp_path, along, ohms)


def test_the_well_leaks_towards_its_neutral_end() -> None:
    """The hot cupboard's rear circuit leaks at 0.7 of its way: warm, 230 V · 0.3 / 1.8 kΩ, by hand, some 38 mA."""
    cupboard = load_appliances(SCENARIOS)["hot-cupboard"]
    flow = working(cupboard, [State("well", faults=frozenset({"rear-leak"}))])
    assert float(flow.residual_amps[0]) == pytest.approx(230.0 * 0.3 / 1.8e3, rel=0.01)
