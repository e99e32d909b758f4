"""What the bench holds people to: each rule by acts that break it alone, and their neighbours that keep it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from probebook.bench.log import replay
from probebook.bench.simulator import Bench, BenchSpec, BenchState, Shown, open_bench
from probebook.cases.library import Library
from probebook.meters import Function
from probebook.questions.bench.marking import grade
from probebook.questions.bench.solution import PROVE_DEAD

TRADE = Library(Path(__file__).resolve().parents[2] / "scenarios")
DEAD = list(PROVE_DEAD)
OPENED = [*DEAD, "cover off: terminal cover", "cover off: rear panel"]
EARTHS = ["meter continuity", "null leads", "probe X1.E M.1", "probe X1.E M2.1"]
NEUTRAL = ["meter insulation", "probe X1.N X1.E"]
CLOSED = ["cover on: rear panel", "cover on: terminal cover"]


def bench(*truth: str, name: str = "a test") -> Bench:
    """An oven on the bench with these faults."""
    return open_bench(BenchSpec("conventional-oven", "bench-multimeter", truth, name, (), 4, 20.0), TRADE)


def done(on: Bench, acts: Sequence[str]) -> tuple[BenchState, Shown]:
    """The state, and what is shown, after these acts."""
    state, shown = on.start(), Shown("")
    for act in acts:
        state, shown = on.act(state, act)
    return state, shown


@pytest.mark.parametrize(("position", "counts"), [("off", False), ("oven", True), ("grill", True)])
def test_insulation_of_the_line_counts_with_the_controls_on(position: str, counts: bool) -> None:
    """With the controls off the switch keeps the elements out of the test: good insulation there proves nothing.

    Common practice in in-service testing: all switches closed while insulation is read.
    """
    turned = [] if position == "off" else [f"controls {position}"]
    tested = [*OPENED, *EARTHS, *NEUTRAL, *turned, "probe X1.L X1.E"]
    state, _ = done(bench("lamp-open"), tested)
    assert state.insulated == ({"L", "N"} if counts else {"N"})
    state, shown = done(bench("lamp-open"), [*tested, *CLOSED, "energise"])
    assert (state.failure == "") is counts
    assert counts or "nsulation" in shown.text


def test_insulation_read_with_a_wire_off_is_not_that_of_the_appliance() -> None:
    """A reading with a wire off leaves part of the appliance out: it counts for nothing until the wire is on."""
    state, _ = done(bench("lamp-open"), [*OPENED, *EARTHS, "lift W10", *NEUTRAL, "controls oven", "probe X1.L X1.E"])
    assert state.insulated == frozenset()
    state, _ = done(bench("lamp-open"), [*OPENED, *EARTHS, *NEUTRAL, "controls oven", "probe X1.L X1.E"])
    assert state.insulated == {"L", "N"}


def test_drying_out_asks_for_the_insulation_again() -> None:
    """What was read wet says nothing of the dried appliance; a bad earth stays bad however dry it is."""
    state, _ = done(bench("lamp-open"), [*OPENED, *EARTHS, *NEUTRAL, "dry out"])
    assert (state.dried, state.insulated) == (True, frozenset())
    state, _ = done(bench("base-damp"), [*OPENED, "meter insulation", "controls oven", "probe X1.L X1.E"])
    assert state.bad is not None
    assert state.bad.function is Function.INSULATION
    state, _ = done(bench("base-damp"), [*OPENED, "meter insulation", "controls oven", "probe X1.L X1.E", "dry out"])
    assert state.bad is None
    state, _ = done(bench("earth-off"), [*OPENED, *EARTHS, "dry out"])
    assert state.bad is not None


@pytest.mark.parametrize(
    ("acts", "earns"),
    [
        (["isolate", "conclude lamp-open"], False),
        (["isolate", "lock off", "conclude lamp-open"], False),
        ([*DEAD[:-1], "conclude lamp-open"], False),
        ([*DEAD, "conclude lamp-open"], True),
    ],
)
def test_marks_for_safety_only_after_the_whole_proof_of_dead(acts: list[str], earns: bool) -> None:
    """Isolated, locked, and all but the last step of proving: nothing. With the tester proved again: all of them."""
    on = bench("lamp-open")
    assert grade(on, replay(on, acts)).safety == (on.grading.safety if earns else 0.0)


@pytest.mark.parametrize(
    ("before", "slip"),
    [
        (["isolate", "lock off", "test dead L-N"], "not-proved-first"),
        (["isolate", "lock off", "test dead L-N", "prove tester", "test dead L-N"], "not-proved-first"),
        (["isolate", "lock off", "prove tester", "test dead L-N"], "no-reference"),
        (["isolate", "lock off", "prove tester"], "not-proved-dead"),
    ],
)
def test_a_tester_that_was_not_tried_first_is_named_as_such(before: list[str], slip: str) -> None:
    """Testing with a tester that was not proved is another mistake than a pair left out or no test at all."""
    assert [act for act in before if act not in DEAD] == []
    state, _ = done(bench("lamp-open"), [*before, "cover off: rear panel"])
    assert state.failure == slip


@pytest.mark.parametrize(("truth", "passes"), [("lamp-open", True), ("earth-poor", False)])
def test_an_earth_over_its_limit_is_never_put_back(truth: str, passes: bool) -> None:
    """A sound path counts as good; one of about an ohm is out of bounds: 0.1 ohm is allowed (IEC 60335-1, 27.5)."""
    state, _ = done(bench(truth), [*OPENED, *EARTHS])
    assert (state.bad is None) is passes
    assert ({"M.1", "M2.1"} <= state.earth) is passes
    state, _ = done(bench(truth), [*OPENED, *EARTHS, *NEUTRAL, "controls oven", "probe X1.L X1.E", *CLOSED, "energise"])
    assert (state.failure == "") is passes


def test_a_wrong_conclusion_earns_safety_alone() -> None:
    """After a proof of dead a wrong fault keeps the marks for safety; without it there is nothing left."""
    on = bench("lamp-open")
    wrong = grade(on, replay(on, [*DEAD, "conclude base-open"]))
    assert (wrong.safety, wrong.support, wrong.economy, wrong.conclusion) == (on.grading.safety, 0.0, 0.0, 0.0)
    assert grade(on, replay(on, ["isolate", "conclude base-open"])).marks == 0.0
