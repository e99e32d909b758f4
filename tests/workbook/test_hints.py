"""Hints: every question has one, none gives the answer, they cost nothing and are kept.

Population of the first tests: every question of every committed workbook.
"""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from workbook_demo import QUANTITY, STEPS

from english import WORDS
from probebook.questions.codec import marking_sheet, read_sheet
from probebook.questions.marking import mark
from probebook.questions.model import FieldKind, Question, Standing
from probebook.workbook.forms.form import Form
from probebook.workbook.forms.hints import hints
from probebook.workbook.journal import SUFFIX, read_journal
from probebook.workbook.language import carried_words
from probebook.workbook.player import open_workbook

ROOT = Path(__file__).parents[2]
SHEETS = sorted((ROOT / "answer_keys").glob("*.json"))
NAME = "03-ohms-and-watts"


def all_questions() -> list[Question]:
    """Every question of every committed workbook."""
    return [question for path in SHEETS for question in read_sheet(path).questions]


def test_every_question_has_a_hint() -> None:
    """However a question was drawn, there is a first step to be told."""
    asked = all_questions()
    assert len(asked) > 100
    assert [f"{question.kind} {question.title}" for question in asked if not hints(question, WORDS)] == []


def test_no_hint_holds_an_answer() -> None:
    """No number of a hint, with any unit that a learner might add, is marked right; no hint has the right option."""
    wrong = []
    for question in all_questions():
        told = " ".join(hints(question, WORDS))
        for field in question.fields:
            if field.kind is FieldKind.QUANTITY:
                numbers = re.findall(r"\d+(?:\.\d+)?", told)
                typed = [f"{number} {prefix}{field.unit}" for number in numbers for prefix in ("", "m", "k", "M")]
                marks = [mark(question, {**question.key(), field.key: text}, WORDS) for text in typed]
                wrong += [
                    (question.title, text)
                    for text, found in zip(typed, marks, strict=True)
                    if next(part for part in found.fields if part.key == field.key).standing is Standing.RIGHT
                ]
            elif field.kind is FieldKind.CHOICE:
                right = next(option.text for option in field.options if option.id == field.answer)
                wrong += [(question.title, right)] * (right.replace("*", "").lower() in told.lower())
    assert wrong == []


def test_the_figures_of_a_sum_are_put_in_and_its_result_is_not() -> None:
    """The formula first, then the line of the working up to its last sign of equality."""
    (question,) = [q for q in read_sheet(ROOT / "answer_keys" / f"{NAME}.json").questions if q.id == "q02"]
    formula, put_in, *_ = hints(question, WORDS)
    line = question.working.splitlines()[0]
    assert "**R = V² ÷ P**" in formula
    assert line.rpartition("=")[0].strip() in put_in
    assert line.rpartition("=")[2].strip() not in put_in


def test_an_order_is_helped_by_one_pair_that_has_to_hold() -> None:
    """The pair that is told is one of those that every right order keeps."""
    told = hints(STEPS, WORDS)[-1]
    texts = {option.id: option.text for option in STEPS.fields[0].options}
    pairs = [(texts[a], texts[b]) for a, b in STEPS.fields[0].before]
    assert any(told == f"‘{a}’ comes before ‘{b}’." for a, b in pairs)


def test_hints_cost_nothing() -> None:
    """An answer after every hint earns what it earns without: no mark and no attempt is lost."""
    kept: list[int] = []
    form = Form(QUANTITY, WORDS, hinted=lambda _, number: kept.append(number))
    while form.model.state["more"]:
        form.model.hear({"press": "hint"})
    form.model.hear({"press": "hint"})
    assert kept == list(range(1, len(hints(QUANTITY, WORDS)) + 1))
    assert len(form.model.state["hints"]) == len(kept)
    assert form.attempts == 0
    form.set(QUANTITY.key())
    form.check()
    assert form.scored is not None
    assert (form.scored.marks, form.attempts) == (QUANTITY.marks, 1)


def test_nothing_of_a_hint_is_in_a_page_before_it_is_asked_for() -> None:
    """Neither the view nor the state holds a hint that was not read; where nobody keeps them there is none."""
    form = Form(QUANTITY, WORDS, hinted=lambda *_: "")
    shown = json.dumps([form.model.view, form.model.state], ensure_ascii=False)
    assert form.model.state["more"] is True
    assert not any(hint in shown for hint in hints(QUANTITY, WORDS))
    bare = Form(QUANTITY, WORDS)
    bare.model.hear({"press": "hint"})
    assert (bare.model.state["hints"], bare.model.state["more"]) == ([], False)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder to work in."""
    return tmp_path


def test_hints_are_kept_and_come_back(folder: Path) -> None:
    """What was read stands in the journal as no answer, and is there again when the workbook is opened anew."""
    old = read_sheet(ROOT / "answer_keys" / f"{NAME}.json")
    sheet = folder / "key.json"
    meta = {**old.meta, "words": carried_words(WORDS)}
    sheet.write_text(marking_sheet(old.questions, meta), encoding="utf-8")

    def clock() -> datetime:
        return datetime(2026, 11, 2, 9, 0, tzinfo=UTC)

    first = open_workbook(NAME, sheet=sheet, folder=folder, clock=clock)
    form = first.form("q02")
    form.model.hear({"press": "hint"})
    form.set(form.question.key())
    form.check()
    entries = read_journal(folder / f"{NAME}{SUFFIX}", origin=NAME).entries
    assert [(entry.question, entry.scored) for entry in entries] == [("hint/q02", False), ("q02", True)]
    assert entries[0].response == {"step": "1"}
    again = open_workbook(NAME, sheet=sheet, folder=folder, clock=clock).form("q02")
    assert again.hinted == 1
    assert len(again.model.state["hints"]) == 1
    assert again.scored is not None
    assert again.scored.standing is Standing.RIGHT


def test_a_key_of_an_older_build_has_no_hints(folder: Path) -> None:
    """A marking sheet that carries no sentences of hints is worked through as before."""
    old = read_sheet(ROOT / "answer_keys" / f"{NAME}.json")
    words = carried_words(WORDS)
    groups = {name: told for name, told in words["groups"].items() if not name.startswith("workbook/hints")}
    sheet = folder / "key.json"
    meta = {**old.meta, "words": {**words, "groups": groups}}
    sheet.write_text(marking_sheet(old.questions, meta), encoding="utf-8")
    form = open_workbook(NAME, sheet=sheet, folder=folder).form("q02")
    assert (form.model.state["hints"], form.model.state["more"]) == ([], False)


def bench_form() -> Form:
    """The first bench question of the book, with hints that nobody keeps."""
    question = next(q for q in all_questions() if q.kind == "bench")
    return Form(question, WORDS, hinted=lambda _question, _number: None)


def test_the_bench_says_what_tells_most_from_next() -> None:
    """After the hints comes advice that follows from what was done: it changes, is safe, and ends with the job."""
    form = bench_form()
    fixed = len(hints(form.question, WORDS))
    for _ in range(fixed + 1):
        form.model.hear({"press": "hint"})
    told = form.model.state["hints"]
    assert len(told) == fixed + 1
    assert told[-1].startswith("Of all that can be done safely now")
    names = [fault.title for fault in form.bench.bench.appliance.faults]
    assert not any(name in told[-1] for name in names)
    acts = solved(form)
    for act in acts[:-1]:
        form.bench.do(act)
    form.model.hear({"press": "hint"})
    assert form.model.state["hints"][-1].startswith("Your readings leave one explanation")
    form.bench.do(acts[-1])
    form.model.hear({"press": "hint"})
    assert len(form.model.state["hints"]) == fixed + 2
    assert not form.model.state["more"]


def solved(form: Form) -> list[str]:
    """The acts that solve the bench question of a form, the conclusion last."""
    answer = next(field.answer for field in form.question.fields if field.kind is FieldKind.BENCH)
    return list(answer)
