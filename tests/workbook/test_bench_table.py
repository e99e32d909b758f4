"""A bench that runs from a table shows, says and refuses what the core does: held against it act by act, in node."""

from __future__ import annotations

import itertools
import json
import random
import shutil
import subprocess
import zlib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from probebook.appliances import OHMMETER_VOLTS
from probebook.appliances.probing import probe_ohms
from probebook.bench.acts import probe
from probebook.bench.simulator import Bench, BenchSpec, open_bench
from probebook.bench.table.bench_table import key_of, table_of
from probebook.bench.table.readings import readings_of
from probebook.cases.library import Library
from probebook.diagnosis import Trial, TrialKind
from probebook.errors import UsageError
from probebook.meters import Function
from probebook.questions.bench.solution import PROVE_DEAD
from probebook.workbook.forms.bench import BenchInput
from probebook.workbook.forms.bench_table import page_table

ROOT = Path(__file__).resolve().parents[2]
REPLAY = ROOT / "tests" / "browser_code" / "replay_table.js"
STATIC = ROOT / "src" / "probebook" / "workbook" / "static" / "table"
TRADE = Library(ROOT / "scenarios")
#: Appliances of the practice benches that are quick to work through, and all of them.
FEW = ("kettle", "immersion-heater", "solid-plate")
MOST_BYTES = 100_000

needs_node = pytest.mark.skipif(shutil.which("node") is None, reason="needs node")


@cache
def bench_of(appliance: str, fault: int, meter: str = "bench-multimeter") -> Bench:
    """A bench with instruments that err alike; the fault is one of the appliance's list, by its place."""
    truth = (TRADE.appliance(appliance).faults[fault].id,)
    return open_bench(BenchSpec(appliance, meter, truth, f"table/{appliance}/{fault}", steady=True), TRADE)


@cache
def table(appliance: str, fault: int) -> dict[str, Any]:
    """The table of such a bench, as a page has it."""
    return dict(json.loads(json.dumps(page_table(bench_of(appliance, fault)))))


def in_node(tmp_path: Path, **told: Any) -> dict[str, Any]:
    """What the page's code makes of it."""
    path = tmp_path / "told.json"
    path.write_text(json.dumps(told), encoding="utf-8")
    done = subprocess.run(["node", str(REPLAY), str(path)], capture_output=True, check=True, timeout=300)
    return dict(json.loads(done.stdout))


def walk(bench: Bench, rng: random.Random, length: int) -> list[str]:
    """Acts of somebody who mostly works safely, tries everything and at times errs."""
    acts: list[str] = []
    state = bench.start()
    terminals = bench.appliance.terminals
    faults = [fault.id for fault in bench.appliance.faults]

    def do(act: str) -> None:
        nonlocal state
        acts.append(act)
        state = bench.act(state, act)[0]

    while len(acts) < length and not state.over:
        chance = rng.random()
        if not state.isolated and chance < 0.4:
            for act in PROVE_DEAD:
                do(act)
        elif state.dead and chance < 0.35:
            do(rng.choice([f"cover off: {name}" for name, _ in bench.appliance.covers] or ["dry out"]))
        elif state.function is None:
            do(f"meter {rng.choice(['ohms', 'continuity', 'insulation'])}")
        elif state.dead and chance < 0.75:
            do(probe(*rng.sample(terminals, 2)))
        elif chance < 0.99:
            fine = [act for act in bench.acts(state) if not act.startswith(("bypass", "energise", "run", "record"))]
            do(rng.choice(fine if rng.random() < 0.9 else list(bench.acts(state))))
        else:
            do(f"conclude {rng.choice([*faults, 'nothing wrong', ' + '.join(sorted(rng.sample(faults, 2))), 'x'])}")
    return acts


def safe_return(bench: Bench) -> list[str]:
    """Acts that read earth and insulation, put the supply back and try everything out."""
    appliance = bench.appliance
    metal = [t for p in appliance.parts if p.kind.value == "metalwork" for t in p.terminals]
    to = appliance.earth or metal[0]
    covers = [name for name, _ in appliance.covers]
    positions = [p.name for p in appliance.positions]
    return [
        "watch lamps",
        *PROVE_DEAD,
        *(f"cover off: {name}" for name in covers),
        "meter continuity",
        "null leads",
        *(f"probe {to} {t}" for t in metal if t != to),
        "meter insulation",
        f"probe {appliance.neutral} {to}",
        *(act for name in positions for act in (f"controls {name}", f"probe {to} {appliance.line}")),
        *(f"cover on: {name}" for name in covers),
        "energise",
        *(act for name in positions for act in (f"controls {name}", "watch lamps", "run", "record")),
        "conclude nothing wrong",
    ]


def as_page(state: dict[str, Any]) -> dict[str, Any]:
    """A state as JSON, without what counts presses."""
    found = dict(json.loads(json.dumps(state)))
    return {key: value for key, value in found.items() if key not in ("answers", "restarts")}


def told_by_core(bench: Bench, acts: list[str]) -> list[dict[str, Any]]:
    """What the kernel tells the component after each act."""
    given = BenchInput(bench)
    found = []
    for act in acts:
        given.do(act)
        found.append(as_page(given.component.state))
    return found


@needs_node
@pytest.mark.parametrize("appliance", FEW)
def test_every_act_shows_the_same_on_the_table_as_in_the_core(appliance: str, tmp_path: Path) -> None:
    """Forty walks an appliance, safe and unsafe, whole states compared: pictures, sentences, minutes, log."""
    count = len(TRADE.appliance(appliance).faults)
    for fault in range(0, count, max(1, count // 3)):
        bench = bench_of(appliance, fault)
        rng = random.Random(f"{appliance}/{fault}")
        walks = [safe_return(bench), *(walk(bench, rng, 60) for _ in range(12))]
        found = in_node(tmp_path, table=table(appliance, fault), walks=walks)
        for acts, states in zip(walks, found["walks"], strict=True):
            for act, core, page in zip(acts, told_by_core(bench, acts), states, strict=True):
                assert as_page(page) == core, (fault, act)


@cache
def display(bench: Bench, function: Function, ohms: float, nulled: bool) -> str:
    """What the core shows at some ohms: steady instruments show by the ohms alone."""
    return bench.shown_for(Trial(function=function), ohms, nulled=nulled).display


def shown_by_core(bench: Bench, half: dict[str, Any], lifts: list[tuple[str, ...]]) -> list[str]:
    """What the core shows for all that one half of a table holds with these wires off."""
    made, pairs = bench.made, list(itertools.combinations(bench.appliance.terminals, 2))
    volts = bench.appliance.region.test_volts if half["shown"] == ["insulation"] else OHMMETER_VOLTS
    found = []
    for setting in half["settings"]:
        position, calling, dried = setting.split("|")
        trials = [
            Trial(TrialKind.METER, position, calling == "1", frozenset(lifted), dried=dried == "1") for lifted in lifts
        ]
        states = [trial.state(made.faults) for trial in trials]
        ohms = probe_ohms(made.appliance, states, pairs, test_volts=volts, spread=made.spread)
        for name in half["shown"]:
            function, _, nulled = name.partition(" ")
            for lifted, row in zip(lifts, ohms.tolist(), strict=True):
                shown = [display(bench, Function(function), value, bool(nulled)) for value in row]
                found.append(f"{setting};{name};{','.join(lifted)};{'|'.join(shown)}")
    return found


def lifts_of(bench: Bench) -> list[tuple[str, ...]]:
    """No wire off, each one, every two, all."""
    wires = [wire.mark for wire in bench.appliance.wires]
    return [(), *((mark,) for mark in wires), *itertools.combinations(wires, 2), tuple(wires)]


@needs_node
@pytest.mark.parametrize(("appliance", "fault"), [("kettle", 0), ("solid-plate", 3)])
def test_every_reading_of_a_table_is_the_cores(appliance: str, fault: int, tmp_path: Path) -> None:
    """Every pair, function and setting, with no wire off, each one, every two and all of them."""
    bench = bench_of(appliance, fault)
    told = table(appliance, fault)
    found = in_node(tmp_path, table=told, every=True)["every"]
    lifts = lifts_of(bench)
    core = [line for half in ("low", "high") for line in shown_by_core(bench, told["readings"][half], lifts)]
    assert found == core


@needs_node
@pytest.mark.slow
@pytest.mark.parametrize("number", [*range(6), *(pytest.param(n, marks=pytest.mark.whole) for n in range(6, 20))])
def test_readings_of_random_cases_are_the_cores(number: int, tmp_path: Path) -> None:
    """Every pair, function and setting of random cases; no wire off, each one off, a hundred random sets off.

    Six cases, or twenty with ``--whole``.
    """
    rng = random.Random(number)
    appliance = rng.choice(
        [*FEW, "fan-oven", "eye-level-grill", "radiant-hob-zone", "storage-heater", "washing-machine"]
    )
    fault = rng.randrange(len(TRADE.appliance(appliance).faults))
    bench, told = bench_of(appliance, fault), table(appliance, fault)
    wires = [wire.mark for wire in bench.appliance.wires]
    lifts = [(), *((mark,) for mark in wires)]
    lifts += [tuple(rng.sample(wires, rng.randint(2, len(wires)))) for _ in range(100)]
    found = in_node(tmp_path, table=told, lifts=lifts)["every"]
    core = [line for half in ("low", "high") for line in shown_by_core(bench, told["readings"][half], lifts)]
    assert found == core


@pytest.mark.parametrize("appliance", ["kettle", "solid-plate", "immersion-heater"])
def test_a_table_with_its_loader_is_small(appliance: str) -> None:
    """What runs one case, table and code together, takes no more than 100 kB compressed."""
    code = "".join(path.read_text("utf-8") for path in sorted(STATIC.glob("*.js")))
    whole = json.dumps(table(appliance, 0), separators=(",", ":"), ensure_ascii=False) + code
    assert len(zlib.compress(whole.encode(), 9)) <= MOST_BYTES


def test_a_table_tells_neither_fault_nor_key() -> None:
    """Two cases that differ in nothing but their fault differ in what is read, seen and tried, and in nothing else."""
    faults = [TRADE.appliance("kettle").faults[place].id for place in (0, 5)]
    benches = [
        open_bench(BenchSpec("kettle", "bench-multimeter", (fault,), "one seed", steady=True), TRADE)
        for fault in faults
    ]
    one, other = (page_table(bench) for bench in benches)
    assert one["says"]["refused"]["over"] != ""
    for key in ("job", "status", "says"):
        assert one[key] == other[key], key
    elsewhere = json.dumps({key: value for key, value in one.items() if key not in ("job", "says")})
    assert faults[0] not in elsewhere


@needs_node
def test_many_tests_are_counted_to_the_end(tmp_path: Path) -> None:
    """Seventy probes and a conclusion: beside the par stands 70, by the page as by the core; so at both sides of 59."""
    bench = bench_of("solid-plate", 0)
    job = table("solid-plate", 0)["job"]
    plain = [name for name in job["terminals"] if name not in (*job["metal"], job["earth"])]
    pairs = list(itertools.combinations(plain, 2))
    covers = [f"cover off: {name}" for name, _ in bench.appliance.covers]
    walks = []
    for tests in (58, 59, 60, 70):
        probes = [probe(*pairs[turn % len(pairs)]) for turn in range(tests)]
        walks.append([*PROVE_DEAD, *covers, "meter ohms", *probes, "conclude nothing wrong"])
    found = in_node(tmp_path, table=table("solid-plate", 0), walks=walks)["walks"]
    for tests, acts, states in zip((58, 59, 60, 70), walks, found, strict=True):
        assert f" {tests} tests " in states[-1]["par"]
        assert states[-1]["par"] == told_by_core(bench, acts)[-1]["par"]


def test_a_key_accepts_what_the_core_accepts() -> None:
    """The conclusions that a key calls right are those that name the faults that are there."""
    bench = bench_of("solid-plate", 0)
    key = key_of(bench)
    assert bench.spec.truth[0] in key["right"]
    assert all(set(found.split(" + ")) >= {bench.spec.truth[0]} for found in key["right"])
    assert key["grading"]["safety"] == bench.grading.safety


def test_a_bench_whose_instruments_err_anew_has_no_table() -> None:
    """Where each reading has an error of its own there is nothing to tabulate: it is said so."""
    unsteady = open_bench(BenchSpec("kettle", "bench-multimeter", (), "unsteady"), TRADE)
    with pytest.raises(UsageError, match="err alike"):
        readings_of(unsteady)
    with pytest.raises(UsageError, match="err alike"):
        table_of(unsteady)


def test_steady_instruments_stay_within_their_accuracy() -> None:
    """A steady reading is one that the instrument could show: its ohms lie in the interval of what is shown."""
    from probebook.meters import limits

    bench = bench_of("solid-plate", 0)
    for ohms in np.geomspace(0.05, 5e4, 60).tolist():
        for nulled in (True, False):
            item = bench.shown_for(Trial(function=Function.OHMS), ohms, nulled=nulled)
            if np.isinf(item.value):
                continue
            low, high = limits(bench.meter_for(Function.OHMS), Function.OHMS, item.value, nulled=item.nulled)
            assert low <= ohms <= high
