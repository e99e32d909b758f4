from __future__ import annotations

import json
from pathlib import Path

import ipywidgets as widgets
import pytest

from probebook.cases.library import Library
from probebook.questions.bench_core import BenchSpec, open_bench
from probebook.questions.bench_solution import PROVE_DEAD
from probebook.questions.frame import Ask
from probebook.questions.model import Kind, Question, Standing
from probebook.questions.registry import build_question
from probebook.workbook.benchform import BenchInput
from probebook.workbook.forms import Form
from probebook.workbook.proving import prove

TRADE = Library(Path(__file__).resolve().parents[2] / "scenarios")
DEAD = list(PROVE_DEAD)


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


def button(bench: BenchInput, words: str) -> widgets.Button:
    """The button that bears these words."""
    return next(b for b, _, _ in bench._buttons if b.description == words)


def test_every_slip_and_the_key_through_the_form(asked: Question) -> None:
    """Answered through its own widgets, the key and each slip show what the marking sheet documents."""

    class Book:
        """A workbook of one question."""

        class sheet:  # noqa: N801
            questions = (asked,)

        @staticmethod
        def form(_: str) -> Form:
            return Form(asked)

    assert prove(Book())["problems"] == []  # type: ignore[arg-type]


def test_buttons_do_the_steps(bench: BenchInput) -> None:
    """Isolating, locking off and proving dead by the buttons is the same list of acts as by name."""
    for words in ("Isolate", "Lock off", "Prove tester", "Test L–N", "Test L–E", "Test N–E", "Prove tester"):
        button(bench, words).click()
    assert bench.get() == DEAD
    assert bench.state.dead
    assert "proved dead" in bench.status.value


def test_a_reading_stands_on_the_display(bench: BenchInput) -> None:
    """An open element with its wire off shows OL on the display and in the log, with the minutes."""
    bench.set([*DEAD, "cover off: rear panel", "meter ohms", "null leads", "lift W10"])
    bench.do("probe E2.1 E2.2")
    assert ">OL<" in bench.display.value
    assert "E2.1 to E2.2: OL" in bench.log.value
    assert f"<td>{bench.state.minutes:.1f}</td>" in bench.log.value


def test_an_answer_comes_back_as_it_was(bench: BenchInput) -> None:
    """Setting what was got does the same acts again; rubbish brings the bench back to its start."""
    acts = [*DEAD, "cover off: rear panel", "controls oven", "conclude base-open"]
    bench.set(acts)
    state, shown = bench.state, bench.log.value
    bench.set(bench.get())
    assert (bench.get(), bench.state, bench.log.value) == (acts, state, shown)
    for rubbish in (None, "text", ["no act"], [1], {"a": 1}):
        bench.set(rubbish)
        assert bench.get() == []


def test_what_cannot_be_done_is_said_and_not_kept(bench: BenchInput) -> None:
    """Lifting a wire under a cover is answered with a sentence and is no part of the answer."""
    assert "a cover is over it" in bench.do("lift W10")
    assert bench.get() == []


def test_buttons_follow_what_is_possible(bench: BenchInput) -> None:
    """A step that cannot be taken is greyed; after the job has ended all are."""
    assert button(bench, "Lock off").disabled
    assert not button(bench, "Take off rear panel").disabled
    bench.do("isolate")
    assert not button(bench, "Lock off").disabled
    bench.do("conclude base-open")
    assert all(b.disabled for b, _, _ in bench._buttons)


def test_a_dangerous_end_is_checked_before_it_is_wiped_away(bench: BenchInput) -> None:
    """After a failure the start-again button waits until the answer has been taken."""
    bench.do("cover off: rear panel")
    assert bench.state.failure == "not-proved-dead"
    assert "STOP" in bench.said.value
    assert bench.restart.disabled
    bench.get()
    bench.restart.click()
    assert bench.get() == []
    assert not bench.state.over


def test_no_widget_holds_what_is_wrong(asked: Question) -> None:
    """No synced state names the draws of the bench or the ids of its faults, before and after work."""
    form = Form(asked)
    form.inputs["job"].set(list(asked.fields[0].answer)[:-1])
    spec = BenchSpec.from_json(asked.bench)
    held = json.dumps([w.get_state() for w in _all(form.widget)], default=str)
    assert spec.name not in held
    assert not any(fault.id in held for fault in TRADE.appliance(spec.appliance).faults)


def _all(widget: widgets.Widget) -> list[widgets.Widget]:
    return [widget, *(inner for child in getattr(widget, "children", ()) for inner in _all(child))]


def test_the_form_sets_its_own_bench_up(asked: Question) -> None:
    """A form of a bench question needs nothing but the question: it opens the bench and marks by replay."""
    form = Form(asked)
    form.check.click()
    assert form.marked is not None
    assert form.marked.standing is Standing.BLANK
    form.set(asked.key())
    form.check.click()
    assert form.marked.marks == asked.marks
    assert "A safe investigation" in form.working.value


def test_the_latest_step_stands_first_in_the_log(bench: BenchInput) -> None:
    """The log scrolls, so what was just done stands at its top."""
    for act in DEAD[:2]:
        bench.do(act)
    assert bench.log.value.index("<td>2</td>") < bench.log.value.index("<td>1</td>")
