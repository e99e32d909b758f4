"""The bench with three phases on it: ten pairs to prove dead, four conductors to insulate, in page and core."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from probebook.appliances.naming import probes_place, terminal_place, terminal_tag
from probebook.appliances.probing import probe_ohms
from probebook.appliances.supply.reaching import reaching
from probebook.bench.conductors import dead_pairs, sides
from probebook.bench.simulator import Bench, BenchSpec, BenchState, open_bench
from probebook.bench.state import Shown
from probebook.cases.library import Library
from probebook.diagnosis.proving import proving_trials
from probebook.diagnosis.trial import reading, run
from probebook.diagnosis.trial_list import list_trials
from probebook.drawings import describe, harness, plate, schematic
from probebook.drawings.telling.branches import describe_branches
from probebook.errors import ScenarioError
from probebook.meters import Function
from probebook.questions.bench.solution import prove_dead, solution
from probebook.questions.frame import Ask
from probebook.questions.model import Kind
from probebook.questions.next_test.trials import trial_words
from probebook.questions.registry import build_question
from probebook.workbook.forms.bench import BenchInput
from probebook.workbook.forms.bench_table import page_table
from three_phase_text import text

ROOT = Path(__file__).resolve().parents[2]
REPLAY = ROOT / "tests" / "browser_code" / "replay_table.js"
DEAD = prove_dead("-".join(pair) for pair in combinations(("L1", "L2", "L3", "N", "E"), 2))


@pytest.fixture(scope="module")
def trade(tmp_path_factory: pytest.TempPathFactory) -> Library:
    """The trade with two three-phase appliances: a star to neutral, and a delta."""
    folder = tmp_path_factory.mktemp("trade") / "scenarios"
    shutil.copytree(ROOT / "scenarios", folder, ignore=shutil.ignore_patterns("workbooks"))
    delta = text(star=(), delta=("2 kW", "2 kW", "2 kW"), neutral=False).replace('id = "small"', 'id = "delta"')
    (folder / "appliances" / "small.toml").write_text(text(), encoding="utf-8")
    (folder / "appliances" / "delta.toml").write_text(delta, encoding="utf-8")
    shutil.copy(ROOT / "docs" / "examples" / "range.toml", folder / "appliances")
    return Library(folder)


def bench(trade: Library, appliance: str = "small", truth: str = "element-leak") -> Bench:
    """A bench with this fault and instruments that err alike."""
    return open_bench(BenchSpec(appliance, "bench-multimeter", (truth,), "three lines", steady=True), trade)


def done(on: Bench, acts: list[str]) -> tuple[BenchState, Shown]:
    """The state, and what is shown, after these acts."""
    state, shown = on.start(), Shown("")
    for act in acts:
        state, shown = on.act(state, act)
    return state, shown


def test_ten_pairs_are_tested_for_dead(trade: Library) -> None:
    """Ten for three-phase four-wire plus earth, as published guides count them; six without neutral; three of one."""
    assert len(dead_pairs(trade.appliance("small"))) == 10
    assert set(dead_pairs(trade.appliance("small"))) == {DEAD[3:-1][k].removeprefix("test dead ") for k in range(10)}
    assert len(dead_pairs(trade.appliance("delta"))) == 6
    assert dead_pairs(trade.appliance("kettle")) == ("L-N", "L-E", "N-E")


@pytest.mark.parametrize("left", range(10))
def test_one_pair_untested_is_not_dead(trade: Library, left: int) -> None:
    """With all ten it is dead; without any one of them a probe ends the job, and the sentence names the pair."""
    on = bench(trade)
    assert done(on, list(DEAD))[0].dead
    acts = [act for k, act in enumerate(DEAD) if k != 3 + left]
    state, shown = done(on, [*acts, "meter ohms", "probe X1.L1 X1.N"])
    assert not state.dead
    assert state.failure == "live-ohms"
    assert DEAD[3 + left].removeprefix("test dead ") in shown.text


def test_lines_are_live_until_it_is_isolated(trade: Library) -> None:
    """With the supply on every pair has volts but neutral and earth; the pairs of one line mean nothing here."""
    on = bench(trade)
    for pair in dead_pairs(on.appliance):
        assert ("LIVE" in done(on, [f"test dead {pair}"])[1].text) is (pair != "N-E")
    assert not done(on, ["test dead L-N"])[1].done


def test_the_supply_goes_back_when_every_conductor_is_proved(trade: Library) -> None:
    """Insulation of neutral alone, or without one line, is not enough; of all four it is."""
    on = bench(trade, truth="element-open")
    read = [*DEAD, "meter continuity", "null leads", "probe X1.E CH.1", "meter insulation", "probe X1.N X1.E"]
    lines = ["controls on", *(f"probe {line} X1.E" for line in on.appliance.lines)]
    assert list(sides(on.appliance).values()) == ["N", "L1", "L2", "L3"]
    state, shown = done(on, [*read, *lines[:-1], "energise"])
    assert state.failure == "untested-return"
    assert "Insulation to earth of L3 has not been read" in shown.text
    whole, _ = done(on, [*read, *lines, "energise"])
    assert whole.failure == ""
    assert not whole.isolated


def test_a_line_behind_an_open_switch_is_not_read(trade: Library) -> None:
    """With the left plate alone on, L2 and L3 end at open switches: over 999 MΩ there tells of no plate."""
    on = bench(trade, "range", "left-open")
    read = [*DEAD, "cover off: terminal cover", "meter continuity", "null leads", "probe X1.E CH.1", "meter insulation"]
    probes = [f"probe {terminal} X1.E" for terminal in on.appliance.live]
    one, _ = done(on, [*read, "controls one", *probes])
    assert one.insulated == {"L1", "N", "E1.plate", "E2.plate", "E3.plate"}  # all plates hang on neutral
    state, shown = done(on, [*read, "controls one", *probes, "cover on: terminal cover", "energise"])
    assert state.failure == "untested-return"
    assert "Insulation to earth of L2, L3, first oven element, second oven element and third oven element" in shown.text
    assert not done(on, [*read, "controls oven", *probes])[0].insulated & {"L1", "L2", "L3"}


def test_a_delta_behind_a_contactor_is_read_behind_it(trade: Library) -> None:
    """Dead, its poles are open: the supply goes back when the rods, too, have been read from one of their ends."""
    on = bench(trade, "range", "left-open")
    read = [*DEAD, "cover off: terminal cover", "meter continuity", "null leads", "probe X1.E CH.1", "meter insulation"]
    read += ["controls plates", *(f"probe {terminal} X1.E" for terminal in on.appliance.live)]
    state, shown = done(on, [*read, "cover on: terminal cover", "energise"])
    assert state.failure == "untested-return"
    assert "of first oven element, second oven element and third oven element has not been read" in shown.text
    behind = [*read, "cover off: oven back", "probe K1.2 X1.E", "cover on: oven back", "cover on: terminal cover"]
    whole, _ = done(on, [*behind, "energise"])
    assert (whole.failure, whole.isolated) == ("", False)
    assert done(on, behind)[0].work_trials == 0
    wanted = {t.probes for t in proving_trials(on.appliance) if t.function is Function.INSULATION}
    assert {pair[0] for pair in wanted} == {*on.appliance.live, "E4.1"}
    assert set(proving_trials(on.appliance)) <= set(list_trials(on.appliance))
    acts = solution(on, [run("full")], ["left-open"])
    assert "energise" in acts
    assert not done(on, acts)[0].failure


def test_a_line_that_only_a_contactor_feeds_can_still_be_read(trade: Library) -> None:
    """Loads behind a contactor alone are reached from no terminal of the supply: lines count with the controls on."""
    appliance = trade.appliance("range")
    plates = {f"S{k}.a" for k in (1, 2, 3)}
    positions = tuple(
        replace(p, closes=p.closes - plates, heats=tuple(h for h in p.heats if h[1] in "456"))
        for p in appliance.positions
    )
    joins = reaching(replace(appliance, positions=positions), calling=True)
    assert {name for name, lines in joins.items() if lines} == {"oven", "full"}
    assert joins["oven"] == appliance.lines


def test_a_thermostat_at_rest_hides_what_is_behind_it(trade: Library) -> None:
    """Of the boiler with a thermostat for one pole, that line is joined to its load only while the thermostat calls."""
    appliance = trade.appliance("small")
    pole = appliance.branch("S1.b")
    cycling = replace(appliance.branches[pole], cycles=True)
    branches = (*appliance.branches[:pole], cycling, *appliance.branches[pole + 1 :])
    made = replace(appliance, branches=branches)
    assert reaching(made, calling=True)["on"] == made.lines
    assert reaching(made, calling=False)["on"] == (made.lines[0], made.lines[2])


def test_a_leak_of_one_line_is_found_from_it(trade: Library) -> None:
    """30 kΩ from L1's element to earth: bad insulation, and the supply stays off."""
    on = bench(trade)
    state, _ = done(on, [*DEAD, "meter insulation", "controls on", "probe X1.L1 X1.E"])
    assert state.bad is not None
    assert "L1" not in state.insulated
    ohms = probe_ohms(on.appliance, [on.made.appliance and _state(on)], [("X1.L1", "X1.E")])[0, 0]
    assert ohms == pytest.approx(30e3, rel=0.01)


def _state(on: Bench) -> Any:
    from probebook.appliances import State

    return State("on", faults=on.made.faults)


RANGE = [
    *DEAD, "cover off: terminal cover", "meter continuity", "null leads", "probe X1.E CH.1", "meter insulation",
    "controls one", *(f"probe X1.{tag} X1.E" for tag in ("L1", "L2", "L3", "N")),
]  # fmt: skip


@pytest.mark.skipif(shutil.which("node") is None, reason="needs node")
@pytest.mark.parametrize("appliance", ["small", "delta", "range"])
def test_the_page_does_what_the_core_does(trade: Library, appliance: str, tmp_path: Path) -> None:
    """A whole safe job and two unsafe ones, act by act: the bench on a table in node against the kernel's."""
    fault = trade.appliance(appliance).faults[0].id
    on = bench(trade, appliance, fault)
    dead = list(prove_dead(dead_pairs(on.appliance)))
    live = on.appliance.live
    read = ["meter continuity", "null leads", "probe X1.E CH.1", "meter insulation", "controls on"]
    back = [f"probe {terminal} X1.E" for terminal in live]
    walks = [
        [*dead, *read, *back, "energise", "run", f"conclude {fault}"],
        [*dead, *read, *back[:-1], "energise"],
        [*dead, *read[:-1], *back, "energise"],
        [*dead[:4], *dead[5:], "meter ohms", f"probe {live[0]} {live[1]}"],
        ["test dead L1-L2", "test dead L-N", "isolate", "lock off", "test dead L1-L2", "prove tester", "meter ohms"],
    ]
    if appliance == "range":
        plates = ["controls plates", "probe X1.L2 X1.E", "probe X1.L3 X1.E"]
        behind = ["cover off: oven back", "probe E5.1 X1.E", "cover on: oven back", "cover on: terminal cover"]
        walks = [
            [*RANGE, "cover on: terminal cover", "energise"],
            [*RANGE, *plates, "cover on: terminal cover", "energise"],
            [*RANGE, *plates, *behind, "energise"],
            [*RANGE, "thermostat resting", *plates, *behind, "energise"],
        ]
    told = dict(json.loads(json.dumps(page_table(on))))
    assert told["job"]["pairs"] == list(dead_pairs(on.appliance))
    path = tmp_path / "told.json"
    path.write_text(json.dumps({"table": told, "walks": walks}), encoding="utf-8")
    ran = subprocess.run(["node", str(REPLAY), str(path)], capture_output=True, check=True, timeout=120)
    for acts, states in zip(walks, json.loads(ran.stdout)["walks"], strict=True):
        given = BenchInput(on)
        for act, page in zip(acts, states, strict=True):
            given.do(act)
            core = json.loads(json.dumps(given.component.state))
            for key in ("answers", "restarts"):
                core.pop(key, None)
                page.pop(key, None)
            assert page == core, act


def test_a_table_of_one_line_says_nothing_of_lines(trade: Library) -> None:
    """What a page is told of an appliance on one phase is what it was told before."""
    kettle = trade.appliance("kettle")
    fault = kettle.faults[0].id
    on = open_bench(BenchSpec("kettle", "bench-multimeter", (fault,), "one line", steady=True), trade)
    told = page_table(on)["job"]
    assert not {"pairs", "sides", "loads"} & told.keys()
    assert all(position.keys() == {"name", "heats"} for position in told["positions"])


def test_drawings_name_every_line_and_its_colour(trade: Library) -> None:
    """Schematic and harness carry L1, L2 and L3 with the letters of their colours; the plate says 400 V 3N ~."""
    star, delta = trade.appliance("small"), trade.appliance("delta")
    for drawn in (schematic(trade.words, star, "on"), harness(trade.words, star)):
        for said in ("X1.L1", "X1.L2", "X1.L3", "W1 BN", "W2 BK", "W3 GY"):
            assert said in drawn
    for letter in ("L1", "L2", "L3", "N"):
        assert f">{letter}</text>" in schematic(trade.words, star, "on")
    assert "3N ~ 230/400 V 50 Hz" in " ".join(schematic(trade.words, star, "on").split())
    assert "3 ~ 400 V 50 Hz" in " ".join(schematic(trade.words, delta, "on").split())
    assert "400 V 3N ~" in plate(trade.words, star)
    assert "400 V 3 ~" in plate(trade.words, delta)


def test_a_way_between_two_lines_names_both(trade: Library) -> None:
    """Each rod of the delta from one line to the next, by name, in the circuit in words and branch by branch."""
    words, delta = trade.words, trade.appliance("delta")
    for said in (describe(words, delta, "on"), describe_branches(words, delta, "on")):
        ways = {frozenset(ends) for ends in re.findall(r": from (L\d) by [^:]*? to (L\d)\.", said)}
        assert ways == {frozenset(pair) for pair in combinations(("L1", "L2", "L3"), 2)}
        assert "another line" not in said


def test_probes_are_told_by_the_number_of_the_line(trade: Library) -> None:
    """Line 1 to 3 at the supply and in a test as an option puts it; of one phase there is line and no number."""
    words, small, kettle = trade.words, trade.appliance("small"), trade.appliance("kettle")
    assert probes_place(words, small, "X1.L1", "X1.N") == "line 1 to neutral at the terminals: X1.L1 to X1.N"
    assert probes_place(words, small, "X1.L2", "X1.L3") == "line 2 to line 3 at the terminals: X1.L2 to X1.L3"
    assert str(terminal_place(words, small, "X1.L3")) == "line 3 (X1.L3) of the terminals"
    assert "line 2 to earth" in trial_words(words, small, reading("on", "X1.L2", "X1.E", Function.INSULATION))
    assert [str(terminal_tag(words, small, f"X1.{tag}")) for tag in ("L1", "L2", "L3", "N", "E")] == [
        "line 1", "line 2", "line 3", "neutral", "earth",
    ]  # fmt: skip
    assert str(terminal_tag(words, kettle, kettle.line)) == "line"


@pytest.mark.parametrize("kind", sorted(set(Kind) - {Kind.BENCH, Kind.FAULT, Kind.NEXT_TEST, Kind.RECORD}))
def test_questions_that_know_one_line_refuse(trade: Library, kind: Kind) -> None:
    """Volts between two lines would be reckoned wrong, and three pairs called dead: all kinds but four refuse."""
    with pytest.raises(ScenarioError, match="three lines"):
        build_question(Ask("q01", kind, "t", 2, "small"), trade)
