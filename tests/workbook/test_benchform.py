from __future__ import annotations

import json
import random
import re
from pathlib import Path

import pytest

from english import WORDS
from probebook.bench.log import replay, view
from probebook.bench.simulator import BenchSpec, open_bench
from probebook.cases.library import Library
from probebook.questions.bench.solution import PROVE_DEAD
from probebook.questions.frame import Ask
from probebook.questions.model import Kind, Question, Standing
from probebook.questions.registry import build_question
from probebook.workbook.forms.bench import BenchInput
from probebook.workbook.forms.form import Form
from probebook.workbook.proving import prove

TRADE = Library(Path(__file__).resolve().parents[2] / "scenarios")
DEAD = list(PROVE_DEAD)
KINDS = ("terminal", "flag", "wire", "part", "cover")


@pytest.fixture(scope="module")
def asked() -> Question:
    """A bench question."""
    return build_question(Ask("q01", Kind.BENCH, "form", 2, "conventional-oven"), TRADE)


@pytest.fixture
def bench() -> BenchInput:
    """The form of a bench with an open base element."""
    return BenchInput(
        open_bench(BenchSpec("conventional-oven", "bench-multimeter", ("base-open",), "form", (), 3, 20.0), TRADE)
    )


def press(bench: BenchInput, act: str) -> None:
    """Press as a page does."""
    bench.component.hear({"press": "act", "act": act})


def test_every_slip_and_the_key_through_the_form(asked: Question) -> None:
    """Answered through its own widgets, the key and each slip show what the marking sheet documents."""

    class Book:
        """A workbook of one question."""

        class sheet:  # noqa: N801
            questions = (asked,)

        @staticmethod
        def form(_: str) -> Form:
            return Form(asked, WORDS)

    assert prove(Book())["problems"] == []  # type: ignore[arg-type]


def test_presses_do_the_steps(bench: BenchInput) -> None:
    """Isolating, locking off and proving dead by the steps of the view is the same list of acts as by name."""
    for step in bench.component.view["steps"]:
        press(bench, step["act"])
    assert bench.get() == DEAD
    assert bench.state.dead
    assert "proved dead" in bench.component.state["status"]
    assert bench.component.state["answers"] == len(DEAD)


def test_a_reading_stands_on_the_display(bench: BenchInput) -> None:
    """An open element with its wire off shows OL on the display and in the log, until something else is done."""
    bench.set([*DEAD, "cover off: rear panel", "meter ohms", "null leads", "lift W10"])
    bench.do("probe E2.1 E2.2")
    state = bench.component.state
    assert (state["display"], state["reading"], state["beeps"]) == ("OL", ["E2.1", "E2.2"], None)
    assert state["log"][-1]["seen"] == "E2.1 to E2.2: OL."
    assert state["log"][-1]["picture"]["minutes"] == round(bench.state.minutes, 1)
    bench.do("refit W10")
    assert (bench.component.state["display"], bench.component.state["reading"]) == ("", [])


def test_the_beeper_is_told(bench: BenchInput) -> None:
    """On continuity a wire beeps and an open element does not: shown as such, not only heard."""
    bench.set([*DEAD, "cover off: rear panel", "meter continuity", "lift W10"])
    bench.do("probe E1.2 E1.4")
    assert bench.component.state["beeps"] is True
    bench.do("probe E2.1 E2.2")
    assert bench.component.state["beeps"] is False


def test_an_answer_comes_back_as_it_was(bench: BenchInput) -> None:
    """Setting what was got does the same acts again; rubbish brings the bench back to its start."""
    acts = [*DEAD, "cover off: rear panel", "controls oven", "conclude base-open"]
    bench.set(acts)
    state, shown = bench.state, bench.component.state["log"]
    bench.set(bench.get())
    assert (bench.get(), bench.state, bench.component.state["log"]) == (acts, state, shown)
    for rubbish in (None, "text", ["no act"], [1], {"a": 1}):
        bench.set(rubbish)
        assert bench.get() == []


def test_what_cannot_be_done_is_said_and_not_kept(bench: BenchInput) -> None:
    """Lifting a wire under a cover is answered with a sentence and is no part of the answer."""
    assert "a cover is over it" in bench.do("lift W10")
    assert bench.get() == []


def test_a_dangerous_end_is_checked_before_it_is_wiped_away(bench: BenchInput) -> None:
    """After a failure starting again waits until the answer has been taken."""
    bench.do("cover off: rear panel")
    assert bench.state.failure == "not-proved-dead"
    state = bench.component.state
    assert (state["said"]["tone"], state["restarts"], state["job"]["over"]) == ("stop", False, True)
    assert state["stop"].startswith("You are taking off the rear panel.")
    bench.component.hear({"press": "restart"})
    assert bench.state.over
    bench.get()
    assert bench.component.state["restarts"] is True
    bench.component.hear({"press": "restart"})
    assert bench.get() == []
    assert not bench.state.over
    assert bench.component.state["stop"] == ""


@pytest.mark.parametrize("rubbish", [{}, {"act": 1}, {"act": "x" * 500}, {"act": ["isolate"]}, {"act": "no act"}])
def test_rubbish_from_a_page_does_nothing(bench: BenchInput, rubbish: dict[str, object]) -> None:
    """Whatever a page sends that is no act is not done, and raises nothing."""
    bench.component.hear({"press": "act", **rubbish})
    for faults in ("all", [-1], [999], [True], [0] * 99, None):
        bench.component.hear({"press": "conclude", "faults": faults})
    assert bench.get() == []


def test_no_trait_holds_what_is_wrong(asked: Question) -> None:
    """No synced state names the draws of the bench or the ids of its faults, before and after work."""
    form = Form(asked, WORDS)
    assert form.bench is not None
    form.bench.set(list(asked.fields[0].answer)[:-1])
    spec = BenchSpec.from_json(asked.bench)
    held = json.dumps([component.get_state() for component in form.components], default=str)
    assert spec.name not in held
    assert not any(fault.id in held for fault in TRADE.appliance(spec.appliance).faults)


@pytest.mark.parametrize("appliance", TRADE.appliance_ids)
def test_benches_with_other_faults_look_alike(appliance: str) -> None:
    """Two benches of one appliance, each with a fault of its own, hold the same view, and the same state at the start
    and after the same dead work; the par is told after the end only.
    """
    faults = [fault.id for fault in TRADE.appliance(appliance).faults]
    acts = [*DEAD, *(f"cover off: {name}" for name, _ in TRADE.appliance(appliance).covers)]
    told = []
    for number, fault in enumerate((faults[0], faults[-1])):
        spec = BenchSpec(appliance, "bench-multimeter", (fault,), f"alike {number}", (), 3 + number, 20.0 + number)
        bench = BenchInput(open_bench(spec, TRADE))
        before = bench.component.state
        bench.set(acts)
        told.append((bench.component.view, before, bench.component.state))
    assert told[0] == told[1]
    assert told[0][2]["par"] == ""


@pytest.mark.parametrize("appliance", TRADE.appliance_ids)
def test_every_act_is_reached_from_the_component(appliance: str) -> None:
    """Whatever the core says can be done, in the state it starts in and along fifty random walks that stay alive, is in
    the lists of the view; and all but looking and bridging has a place of its own beside them.
    """
    made = TRADE.appliance(appliance)
    spec = BenchSpec(appliance, "bench-multimeter", (made.faults[0].id,), "reach", (), 3, 20.0)
    bench = open_bench(spec, TRADE)
    seen = BenchInput(bench).component.view
    listed = {deed["act"] for section in seen["lists"] for deed in section["acts"]}
    drawn = json.dumps({name: told for name, told in seen.items() if name not in ("lists", "drawings")})
    rng = random.Random(7)
    met: set[str] = set()
    for walk in range(50):
        state = bench.start()
        for act in DEAD if walk % 2 else []:
            state = bench.act(state, act)[0]
        for _ in range(25):
            acts = bench.acts(state)
            met.update(acts)
            after = bench.act(state, rng.choice(acts))[0]
            state = state if after.over else after
    assert len(met) > 30
    assert met <= listed
    assert [act for act in sorted(met) if json.dumps(act) not in drawn] == []


def test_drawings_name_all_that_can_be_touched() -> None:
    """Each drawing of a bench has every terminal once, every wire, every part; both ends of wires and the covers too
    where it is drawn as built: counted from the appliance's file.
    """
    for appliance in TRADE.appliance_ids:
        made = TRADE.appliance(appliance)
        spec = BenchSpec(appliance, "bench-multimeter", (made.faults[0].id,), "draw", (), 3, 20.0)
        for name, svg in BenchInput(open_bench(spec, TRADE)).component.view["drawings"].items():
            counts = {kind: len(re.findall(f'<g(?: id="[^"]*")? class="{kind}"', svg)) for kind in KINDS}
            ends = {(w.mark, end) for w in made.wires for end in (w.start, w.end)}
            flags = 0 if name == "schematic" else len(ends)
            assert counts["flag"] == flags, (appliance, name)
            assert counts["terminal"] == len(made.terminals), (appliance, name)
            assert counts["wire"] == len(made.wires), (appliance, name)
            assert counts["part"] == len(made.parts), (appliance, name)
            covers = set(re.findall(r'data-cover="([^"]*)"', svg))
            assert covers == (set() if name == "schematic" else {cover for cover, _ in made.covers}), (appliance, name)


def test_a_conclusion_is_marked_without_a_second_press(asked: Question) -> None:
    """Concluding on the page checks the question's form: the key's conclusion earns the whole mark at once."""
    form = Form(asked, WORDS)
    assert form.bench is not None
    key = list(asked.fields[0].answer)
    form.bench.set(key[:-1])
    spec = BenchSpec.from_json(asked.bench)
    numbers = [n for n, fault in enumerate(TRADE.appliance(spec.appliance).faults) if fault.id in spec.truth]
    form.bench.component.hear({"press": "conclude", "faults": numbers})
    assert form.marked is not None
    assert form.marked.marks == asked.marks
    assert form.attempts == 1
    assert "par is" in form.bench.component.state["par"]


def test_a_stop_is_marked_at_once_and_only_once(asked: Question) -> None:
    """A mistake that can kill is checked as it is made; what a page sends after it changes nothing."""
    form = Form(asked, WORDS)
    assert form.bench is not None
    press(form.bench, asked_cover(asked))
    assert form.attempts == 1
    assert form.marked is not None
    assert form.model.verdict["tone"] == "critical"
    press(form.bench, "isolate")
    assert form.attempts == 1


def asked_cover(asked: Question) -> str:
    """Taking the first cover off."""
    name, _ = TRADE.appliance(BenchSpec.from_json(asked.bench).appliance).covers[0]
    return f"cover off: {name}"


def test_setting_an_answer_checks_nothing(asked: Question) -> None:
    """What is put in by a program, as a saved answer, waits for Check."""
    form = Form(asked, WORDS)
    form.set(asked.key())
    assert form.attempts == 0
    assert form.marked is None


def test_the_form_sets_its_own_bench_up(asked: Question) -> None:
    """A form of a bench question needs nothing but the question: it opens the bench and marks by replay."""
    form = Form(asked, WORDS)
    form.check()
    assert form.marked is not None
    assert form.marked.standing is Standing.BLANK
    form.set(asked.key())
    form.check()
    assert form.marked.marks == asked.marks
    assert "A safe investigation" in form.model.state["working"]


def test_what_is_done_after_a_check_ages_the_verdict(asked: Question) -> None:
    """A verdict is about how the bench stood when it was checked; the page is told when something was done since."""
    form = Form(asked, WORDS)
    assert form.bench is not None
    form.check()
    assert form.model.state["changed"] is False
    form.bench.set(list(asked.fields[0].answer)[:2])
    assert form.model.state["changed"] is True
    form.check()
    assert form.model.state["changed"] is False


def test_each_step_of_the_log_can_be_pictured(bench: BenchInput) -> None:
    """Laid over one another, the pictures of the log give how the job stood after each step, as a replay of it does."""
    acts = [*DEAD, "cover off: rear panel", "meter ohms", "lift W10", "probe E2.1 E2.2", "refit W10"]
    bench.set(acts)
    picture: dict[str, object] = {}
    for number, row in enumerate(bench.component.state["log"], start=1):
        picture |= row["picture"]
        then = view(bench.bench, replay(bench.bench, acts[:number]).state)
        assert {key: picture[key] for key in picture if key in then} == {
            key: then[key] for key in picture if key in then
        }
    assert picture["display"] == ""


def test_lamps_that_were_looked_at_are_told(bench: BenchInput) -> None:
    """After looking at the lamps the page is told which works, and no longer once something else was done."""
    bench.set(["controls lamp", "watch lamps"])
    assert bench.component.state["lit"] == {"H1": "normal"}
    bench.do("isolate")
    assert bench.component.state["lit"] == {}
