"""The example of a three-phase appliance in docs/examples: sound, solved as by ngspice, diagnosed, on the bench."""

from __future__ import annotations

import math
import re
import shutil
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from appliance_text import SCENARIOS

from probebook.appliances import Appliance, State, branch_ends, load_appliance, working
from probebook.appliances.checking import check_appliance
from probebook.appliances.relays import pulled_in
from probebook.appliances.supply.incoming import held_terminals
from probebook.bench.acts import conclude
from probebook.bench.state import BenchSpec
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import Library
from probebook.diagnosis import Measured, expected, posterior, reading
from probebook.errors import ScenarioError
from probebook.questions.frame import Ask
from probebook.questions.job_card import plate_words
from probebook.questions.misreadings.slips import misreadings
from probebook.questions.model import Kind, Question
from probebook.questions.registry import build_question
from probebook.workbook.pages.tables import plate_table
from probebook.workbook.preview import preview
from three_phase import spice_phasors

EXAMPLE = Path(__file__).parents[2] / "docs" / "examples" / "range.toml"
MANNER = """
[[appliance]]
id = "range"
family = ""
thing = "range"
usual = "full"
[appliance.leads]
plates = "with the plates on"
one = "with one plate on"
oven = "with the oven on"
full = "with all of it on"
"""


@pytest.fixture(scope="module")
def appliance() -> Appliance:
    """The range: plates in star behind a fuse a line, an oven in delta behind a contactor."""
    return load_appliance(EXAMPLE, scenarios=SCENARIOS)


@pytest.fixture(scope="module")
def trade(tmp_path_factory: pytest.TempPathFactory) -> Library:
    """The trade with the range in it."""
    folder = tmp_path_factory.mktemp("trade") / "scenarios"
    shutil.copytree(SCENARIOS, folder, ignore=shutil.ignore_patterns("workbooks"))
    shutil.copy(EXAMPLE, folder / "appliances")
    kitchen = folder / "text" / "en" / "kitchen.toml"
    before, mark, after = kitchen.read_text(encoding="utf-8").partition("\n# --- what people say, as a clause")
    assert mark
    kitchen.write_text(before + MANNER + mark + after, encoding="utf-8")
    return Library(folder)


def test_there_is_nothing_to_find_fault_with() -> None:
    """Not one finding, and no two of its faults look alike."""
    assert [str(finding) for finding in check_appliance(EXAMPLE, scenarios=SCENARIOS)] == []


def test_it_takes_what_its_plate_says(appliance: Appliance) -> None:
    """Plates of 1.5, 2 and 2.5 kW on 230 V, rods of 1.5 kW rated for 400 V on the 398 V that there are; by hand."""
    watts = dict(
        zip(
            [p.name for p in appliance.positions],
            working(appliance, [State(p.name) for p in appliance.positions]).total_watts,
            strict=True,
        )
    )
    rods = 4.5e3 * 3 * 230.0**2 / 400.0**2
    assert watts["plates"] == pytest.approx(6e3, rel=3e-3)
    assert watts["oven"] == pytest.approx(rods, rel=3e-3)
    assert watts["full"] == pytest.approx(6e3 + rods, rel=3e-3)


def test_neutral_carries_what_the_plates_leave_over(appliance: Appliance) -> None:
    """All plates on, 6.5, 8.7 and 10.9 A out of step: 3.8 A; one alone, all of its own; the oven, that of its coil."""
    flow = working(appliance, [State("plates"), State("one"), State("oven")])
    assert flow.neutral_amps == pytest.approx([1e3 / 460.0 * math.sqrt(3.0), 6.52, 6.0 / 230.0], abs=0.015)


def test_a_lost_common_neutral_gives_unlike_plates_unlike_volts(appliance: Appliance) -> None:
    """Millman: the star point of 1.5, 2 and 2.5 kW moves, 259 V on the smallest; one plate alone has no way back."""
    lost = frozenset({"common-neutral-broken"})
    flow = working(appliance, [State("plates", faults=lost), State("one", faults=lost)])
    lines = [230.0 * complex(math.cos(2 * math.pi * k / 3), -math.sin(2 * math.pi * k / 3)) for k in range(3)]
    point = sum((3 + k) * v for k, v in enumerate(lines)) / 12.0
    ends = [appliance.branches[appliance.branch(f"E{k}.plate")].ends for k in (1, 2, 3)]
    assert [float(flow.between(a, b)[0]) for a, b in ends] == pytest.approx([abs(v - point) for v in lines], rel=3e-3)
    assert abs(lines[0] - point) == pytest.approx(259.0, abs=0.5)
    assert flow.total_watts[1] < 0.1


def test_a_blown_fuse_leaves_two_plates_and_half_the_oven(appliance: Appliance) -> None:
    """Each line in turn: the plates of the other two, and of the delta half (as published for a line that is lost)."""
    whole = working(appliance, [State("plates"), State("oven")]).total_watts
    for k in (1, 2, 3):
        fault = frozenset({f"fuse-{k}-open"})
        left = working(appliance, [State("plates", faults=fault), State("oven", faults=fault)]).total_watts
        assert left / whole == pytest.approx([1 - (1 + k / 2) / 6, 1 / 2], rel=5e-3)
        assert pulled_in(appliance, State("oven", faults=fault)) == {"K1"}


def test_a_coil_that_its_own_pole_feeds_back_is_refused(tmp_path: Path) -> None:
    """With the coil behind F1 the delta holds it in once F1 has blown: said with the fault, and how to mend it."""
    source = EXAMPLE.read_text(encoding="utf-8").replace('from = "X1.L1"\nto = "F4.1"', 'from = "F1.2"\nto = "F4.1"')
    path = tmp_path / "range.toml"
    path.write_text(source, encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"fuse-1-open.*hold in once they are in"):
        load_appliance(path, scenarios=SCENARIOS)


def test_every_state_is_that_of_ngspice(appliance: Appliance) -> None:
    """Every position with nothing and with each fault: amperes of every branch as by ngspice's ac analysis, 1e-6."""
    faults = [frozenset[str](), *(frozenset({f.id}) for f in appliance.faults)]
    states = [State(p.name, faults=f) for p in appliance.positions for f in faults]
    flow, ends, n = working(appliance, states), branch_ends(appliance).tolist(), len(appliance.terminals)
    for row, state in enumerate(states):
        held = held_terminals(appliance, float(flow.supply[row]))
        loose = [t for t in range(n) if math.isnan(flow.volts[row, t])]
        pairs = [(a, b) for a, b in ends] + [(t, next(iter(held))) for t in loose]
        volts, supplied = spice_phasors(pairs, [*flow.ohms[row].tolist(), *[1e3] * len(loose)], held, n)
        neutral = abs(supplied[len(appliance.lines)])
        assert flow.neutral_amps[row] == pytest.approx(neutral, rel=1e-6, abs=1e-8), state
        for k, (a, b) in enumerate(ends):
            if math.isfinite(flow.ohms[row, k]) and not {a, b} & set(loose):
                wanted = abs(volts[a] - volts[b]) / flow.ohms[row, k]
                assert flow.amps[row, k] == pytest.approx(wanted, rel=1e-6, abs=2e-9), (state, k)


@pytest.mark.parametrize("seed", ["a", "b", "c"])
def test_a_bench_question_on_it_has_a_proved_key(trade: Library, seed: str) -> None:
    """Cases are drawn, proved by the diagnosis and by the independent search, and shown with a plate of 400 V."""
    asked: Question = build_question(Ask("q01", Kind.BENCH, seed, 2, "range"), trade)
    acts = asked.field("job").answer
    assert isinstance(acts, tuple | list)
    tests = [f"test dead {a}-{b}" for a, b in combinations(("L1", "L2", "L3", "N", "E"), 2)]
    assert list(acts[:14]) == ["isolate", "lock off", "prove tester", *tests, "prove tester"]
    truth = BenchSpec.from_json(asked.bench).truth
    assert acts[-1] == conclude(truth)
    assert sum(act.startswith("conclude") for act in acts) == 1
    assert "400 V 3N ~" in asked.prompt
    assert "left plate 1500 W at 230 V" in asked.prompt
    assert "first oven element 1500 W at 400 V" in asked.prompt


def test_a_rod_of_the_delta_is_compared_with_its_own_plate(trade: Library) -> None:
    """1.5 kW at 400 V is 107 Ω hot (V²/P); by the volts to neutral it would be 35 Ω, and no slip be seen."""
    appliance = trade.appliance("range")
    case = make_case(trade, "range", "exact", 2)
    found = posterior(appliance, case.evidence, case_meters(case, trade))
    trial = reading("off", "E6.1", "E6.2", lifted=frozenset({"W20"}))
    sound = expected(appliance, trial, (), found.meters, nulled=False).nominal
    item = Measured(trial, round(sound, 1), display=f"{sound:.1f} Ω")
    case = replace(case, evidence=(*case.evidence, item))
    told = [m.here for m in misreadings(trade.words, case, appliance, found) if m.slip == "exact-match"]
    assert told
    assert f"shows {sound:.1f} Ω where the plate gives 106.7 Ω hot" in told[-1]


def test_each_load_is_told_with_its_own_volts(trade: Library) -> None:
    """A plate of 2 kW beside 400 V reads as 80 Ω: card and tables say 230 V with it, and head 400 V 3N ~."""
    appliance, words = trade.appliance("range"), trade.words
    said = str(plate_words(words, appliance))
    assert said.startswith("**Rating plate.** 400 V 3N ~, 10500 W, class I: left plate 1500 W at 230 V, ")
    assert "second oven element 1500 W at 400 V" in said
    rows = plate_table(appliance, words)
    assert "400 V 3N ~ 50 Hz" in rows
    assert "2000 W at 230 V" in rows
    kettle = str(plate_words(words, trade.appliance("kettle")))
    assert kettle.startswith("**Rating plate.** 230 V, ")
    assert " at " not in kettle


def test_the_preview_says_which_volts_are_which(trade: Library) -> None:
    """Ratings with the volts each is for; 352 V between lines as the file has it; pairs of live conductors, not one."""
    page = preview(trade.appliance("range"), trade)
    assert "with their ratings at" not in page
    rod = page[page.index(">E5.rod</td>") :]
    row = re.findall(r">([^<>]+)</td>", rod[: rod.index("</tr>")])
    assert (row[2:4], row[5]) == (["1500 W", "400 V"], "107 Ω")
    assert "the supply is 352 V between lines" in page
    assert "Line to neutral at the supply terminals" not in page
    assert "Between live conductors at the supply terminals" in page
    assert "Colours of fixed three-phase wiring: L1 brown, L2 black, L3 grey and neutral blue." in page
    assert "In older wiring: L1 red, L2 yellow, L3 blue and neutral black." in page
    assert "another conductor: blue was L3 and is neutral; black was neutral and is L2." in page
    kettle = preview(trade.appliance("kettle"), trade)
    assert "three-phase" not in kettle
    assert "with their ratings at 230 V" in kettle
    assert "Line to neutral at the supply terminals" in kettle
