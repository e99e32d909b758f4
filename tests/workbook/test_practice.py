from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from workbook_demo import META, QUESTIONS

from probebook.cases.library import Library
from probebook.learning.choosing import Template
from probebook.learning.mastery import trace
from probebook.questions.codec import marking_sheet, read_sheet
from probebook.questions.model import Kind, Standing
from probebook.scenario_folder import ENVIRONMENT
from probebook.workbook import player
from probebook.workbook.build.files import build_all
from probebook.workbook.build.plan import load_plans
from probebook.workbook.journal import append_answer, read_journal
from probebook.workbook.pages.prompts import Page
from probebook.workbook.player import Workbook, open_workbook
from probebook.workbook.practice.cell import Practice
from probebook.workbook.practice.fresh import Order, fingerprint, fresh_question, rebuilt
from probebook.workbook.practice.page import page_html
from probebook.workbook.practice.shelf import is_record
from probebook.workbook.practice.templates import templates_of
from small_scenarios import small_scenarios

NAME = "07-small"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the small workbook, its key and the scenarios it was built from."""
    folder = tmp_path_factory.mktemp("built")
    library = Library(small_scenarios(folder))
    for name, text in build_all(load_plans(library.folder), library).items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def here(built: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of a learner's notebook; the scenarios in force are those it was built from."""
    for name in ("workbooks", "answer_keys"):
        shutil.copytree(built / name, tmp_path / name)
    monkeypatch.setattr("probebook.workbook.player._display", lambda _: None)
    monkeypatch.setenv(ENVIRONMENT, str(built / "scenarios"))
    library = Library(built / "scenarios")
    monkeypatch.setattr("probebook.cases.library.library", lambda *_: library)
    return tmp_path / "workbooks"


class Clock:
    """A clock that goes on by a minute at every look."""

    def __init__(self, step: float = 60.0) -> None:
        self.now = datetime(2030, 5, 1, 9, 0, tzinfo=UTC)
        self.step = timedelta(seconds=step)

    def __call__(self) -> datetime:
        self.now += self.step
        return self.now


def opened(here: Path, clock: Clock | None = None) -> tuple[Workbook, Practice]:
    """The workbook, and its practice cell, in a kernel that has just been started."""
    player._open.clear()
    return opened_again(here, clock)


def opened_again(here: Path, clock: Clock | None = None) -> tuple[Workbook, Practice]:
    """The same in the kernel that is running."""
    book = open_workbook(NAME, folder=here, clock=clock or Clock())
    book.practice()
    assert book._practice is not None
    return book, book._practice


def answered(practice: Practice, response: dict[str, Any] | None = None) -> Standing:
    """Answer the question that is asked, by its key unless told otherwise."""
    assert practice.form is not None
    practice.form.set(practice.form.question.key() if response is None else response)
    practice.form.check()
    assert practice.form.marked is not None
    return practice.form.marked.standing


def known(practice: Practice) -> dict[str, Any]:
    """How far each outcome is known."""
    return trace(practice.answers(), practice._shelf.course)


def test_a_fresh_question_is_asked_marked_and_explained(here: Path) -> None:
    """The button gives a question, its key is right through the form, and the working then shows."""
    _, practice = opened(here)
    practice.press("suits")
    assert practice.form is not None
    assert practice.form.question.id == "practice-1"
    assert practice.form.question.title in practice.model.state["page"]
    assert answered(practice) is Standing.RIGHT
    assert "Why" in practice.form.model.state["working"]
    assert practice.model.state["busy"] is False


def test_another_like_the_chosen_question(here: Path) -> None:
    """'Another like' keeps kind and outcome and draws the figures anew."""
    book, practice = opened(here)
    practice.press("again", like="q01")
    assert practice.form is not None
    first, fresh = book.sheet.question("q01"), practice.form.question
    assert (fresh.kind, fresh.outcome, fresh.title) == (first.kind, first.outcome, first.title)
    assert fresh.prompt != first.prompt
    assert "question 1" in practice.model.state["status"]


def test_practice_counts_after_a_restart(here: Path) -> None:
    """What was practised is known again when the notebook is opened anew, to the last digit."""
    _, practice = opened(here)
    for response in (None, {"watts": "1 W", "amps": "1 A", "ohms": "1 ohm"}, None):
        practice.press("suits")
        answered(practice, response)
    _, again = opened(here)
    assert known(again) == known(practice)
    assert known(again)["power"].answers == 3


def test_the_last_question_comes_back_with_its_answer(here: Path) -> None:
    """After a restart a button brings back the very question, the answer in it and its verdict."""
    _, practice = opened(here)
    practice.press("suits")
    wrong = {field.key: "1 W" if field.unit == "W" else "1 A" for field in practice.form.question.fields}  # type: ignore[union-attr]
    answered(practice, wrong)
    _, again = opened(here)
    assert "practice 1" in again.model.state["back"]
    again.press("back")
    assert again.form is not None
    assert practice.form is not None
    assert again.form.question == practice.form.question
    assert again.form.response() == wrong
    assert again.form.marked == practice.form.marked
    assert again.form.attempts == 1


def test_the_journal_says_how_each_question_was_made(here: Path) -> None:
    """Each record in the journal is unscored, holds kind, seed, appliance, level and options, and builds it again."""
    book, practice = opened(here)
    made = []
    for _ in range(3):
        practice.press("suits")
        made.append(practice.form.question)  # type: ignore[union-attr]
    records = [entry for entry in read_journal(book.journal, origin=NAME).entries if is_record(entry)]
    assert [entry.question for entry in records] == ["practice-1", "practice-2", "practice-3"]
    assert not any(entry.scored for entry in records)
    assert {"kind", "seed", "appliance", "level", "options", "case"} <= set(records[0].response)
    for entry, question in zip(records, made, strict=True):
        assert rebuilt(Order.from_record(entry.question, entry.response), practice._shelf.library)[0] == question


def test_no_seed_and_no_question_is_drawn_twice(here: Path) -> None:
    """Over a dozen rounds and a restart in between, seeds and questions all differ, and differ from the workbook's."""
    seen = [fingerprint(question) for question in opened(here)[0].sheet.questions]
    for _ in range(2):
        _, practice = opened(here)
        for _ in range(6):
            practice.press("suits")
            answered(practice)
            seen.append(fingerprint(practice.form.question))  # type: ignore[union-attr]
    assert len(set(seen)) == len(seen)
    seeds = [record["seed"] for record in practice._records.values()]
    assert len(set(map(str, seeds))) == len(seeds) == 12


def test_the_same_journal_leads_to_the_same_question(here: Path, tmp_path: Path) -> None:
    """Nothing but the journal decides: a copy of the folder draws alike, and another answer leads elsewhere."""
    _, practice = opened(here)
    practice.press("suits")
    answered(practice)
    copy, other = tmp_path / "copy", tmp_path / "other"
    for place in (copy, other):
        shutil.copytree(here, place / "workbooks")
        shutil.copytree(here.parent / "answer_keys", place / "answer_keys")
    book, _ = opened(other / "workbooks")
    book.form("q01").set({"watts": "3 W"})
    book.form("q01").check()
    made = []
    for place in (here, copy / "workbooks", other / "workbooks"):
        _, again = opened(place)
        again.press("suits")
        made.append((again.fresh.order.seed, again.form.question.prompt))  # type: ignore[union-attr]
    assert made[0] == made[1]
    assert made[2][0] != made[0][0]


def test_haste_changes_nothing(here: Path, tmp_path: Path) -> None:
    """The same answers a second or an hour apart leave the same belief in every outcome."""
    found = []
    for number, step in enumerate((1.0, 3600.0)):
        place = tmp_path / str(number)
        shutil.copytree(here, place / "workbooks")
        shutil.copytree(here.parent / "answer_keys", place / "answer_keys")
        book, practice = opened(place / "workbooks", Clock(step))
        for name, response in (("q01", {"watts": "1 W"}), ("q02", book.sheet.question("q02").key())):
            book.form(name).set(response)
            book.form(name).check()
        found.append(known(practice))
    assert found[0] == found[1]
    assert found[0]["power"].answers == 2


def test_only_the_first_answer_counts(here: Path) -> None:
    """A right answer after a wrong one leaves the belief where the wrong one put it."""
    book, practice = opened(here)
    form = book.form("q01")
    form.set({"watts": "1 W"})
    form.check()
    before = known(practice)
    form.set(book.sheet.question("q01").key())
    form.check()
    assert form.marked is not None
    assert form.marked.standing is Standing.RIGHT
    assert known(practice) == before


def test_a_dangerous_answer_in_another_workbook_counts(here: Path) -> None:
    """The journal of a workbook beside this one is read: a critical slip there un-masters its outcome here."""
    _, practice = opened(here)
    shelf = practice._shelf
    shelf.sheets["01-demo"] = type(shelf.sheet)(META, QUESTIONS)
    journal = here / "01-demo.answers.jsonl"
    common: dict[str, Any] = {"origin": "01-demo", "time": "2030-05-01T08:00:00Z"}
    append_answer(
        journal,
        question="q02",
        response={"verdict-key": "opt-dry"},
        standing=Standing.SLIP,
        marks=0.0,
        **common,
    )
    found = known(practice)["know when to stop"]
    assert found.owed == shelf.course.recovery
    assert not found.mastered(shelf.course.goal)


@pytest.mark.parametrize(("reader", "shared"), [("apprentice", True), ("owner", False)])
def test_practice_stays_with_the_workbooks_of_its_reader(here: Path, reader: str, shared: bool) -> None:
    """What is made for apprentices never reaches an owner, nor the other way round."""
    keys = here.parent / "answer_keys"
    shutil.copy(keys / f"{NAME}.json", keys / "08-other.json")
    _, practice = opened(here)
    shelf = practice._shelf
    (small,) = shelf.plans
    shelf.__dict__["plans"] = (small, replace(small, id="other", number=8, reader=reader))
    assert set(shelf.sheets) == ({NAME, "08-other"} if shared else {NAME})
    assert {template.workbook for template in shelf.templates} == set(shelf.sheets)


def test_a_workbook_without_a_plan_says_so(here: Path) -> None:
    """Where the scenarios hold no plan of a workbook, the buttons lead to a sentence and not to a traceback."""
    (here.parent / "answer_keys" / "demo.json").write_text(marking_sheet(QUESTIONS, META), encoding="utf-8")
    book = open_workbook("demo", folder=here)
    book.practice()
    assert book._practice is not None
    book._practice.press("suits")
    assert "nothing to practise" in book._practice.model.state["status"]
    book._practice.press("again", like="q01")
    assert "No fresh question can be made like this one" in book._practice.model.state["status"]
    assert book._practice.form is None


def test_a_dangerous_answer_in_practice_counts_after_a_restart(here: Path) -> None:
    """A practice question is built again where its answer was dangerous, and un-masters what it endangers."""
    book, practice = opened(here)
    shelf = practice._shelf
    order = Template(
        "w", "q1", Kind.ORDER, "isolate", 1, "conventional-oven", 0.0, options={"procedure": "isolate-fixed"}
    )
    fresh = fresh_question(order, shelf.library, question_id="practice-1", seed="d")
    slip = next(slip for slip in fresh.question.slips if slip.critical)
    later, earlier = slip.response
    response = [step for step in fresh.question.field(slip.field).answer if step != later]
    response.insert(response.index(earlier), later)
    common: dict[str, Any] = {"origin": NAME, "time": "2030-05-01T08:00:00Z", "question": "practice-1"}
    append_answer(book.journal, response=practice._recorded(fresh, order), standing=Standing.BLANK, marks=0.0, **common)
    append_answer(book.journal, response={slip.field: response}, standing=Standing.SLIP, marks=0.0, **common)
    _, again = opened(here)
    found = known(again)["isolate"]
    assert found.owed == shelf.course.recovery
    assert not found.mastered(shelf.course.goal)


@pytest.mark.parametrize(
    "spoilt",
    [{"marks": "many"}, {"marks": "0"}, {"marks": "inf"}, {"difficulty": "nan"}, {"marks": ["2"]}],
)
def test_a_record_that_does_not_say_what_it_counts_for_is_left_out(here: Path, spoilt: dict[str, Any]) -> None:
    """Answers to a practice question whose record is spoilt are left out of the reckoning, without a traceback."""
    book, practice = opened(here)
    practice.press("suits")
    answered(practice)
    record = {**practice._records["practice-1"], **spoilt}
    common: dict[str, Any] = {"origin": NAME, "time": "2030-05-01T08:00:00Z", "question": "practice-2"}
    append_answer(book.journal, response=record, standing=Standing.BLANK, marks=0.0, **common)
    append_answer(book.journal, response={}, standing=Standing.RIGHT, marks=2.0, **common)
    assert known(opened(here)[1]) == known(practice)


@pytest.mark.parametrize("spoilt", [{"kind": "riddle"}, {"mark": "0" * 16}])
def test_a_question_that_cannot_be_built_as_it_was_does_not_come_back(here: Path, spoilt: dict[str, str]) -> None:
    """A record of another version, or one that somebody changed, leads to a sentence in the cell."""
    book, practice = opened(here)
    practice.press("suits")
    record = {**practice._records["practice-1"], **spoilt}
    common: dict[str, Any] = {"origin": NAME, "time": "2030-05-01T08:00:00Z", "question": "practice-2"}
    append_answer(book.journal, response=record, standing=Standing.BLANK, marks=0.0, **common)
    _, again = opened(here)
    again.press("back")
    assert again.form is None
    assert "cannot be brought back" in again.model.state["status"] or "does not say how" in again.model.state["status"]


def test_an_unwritable_journal_is_told_and_practice_goes_on(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When nothing can be saved the learner reads so, and still gets a question and another after it."""
    from probebook.errors import JournalError

    def fail(*_: object, **__: object) -> None:
        raise JournalError("the saved answers cannot be written (disk full)")

    monkeypatch.setattr("probebook.workbook.saving.append_answer", fail)
    _, practice = opened(here)
    practice.press("suits")
    assert "disk full" in practice.model.state["note"]
    first = practice.form.question.prompt  # type: ignore[union-attr]
    answered(practice)
    practice.press("suits")
    assert practice.form.question.prompt != first  # type: ignore[union-attr]


def test_no_key_reaches_the_page_before_it_is_earned(here: Path) -> None:
    """Widgets hold what the learner may see: neither the seed nor the typed key is in them before an answer."""
    _, practice = opened(here)
    practice.press("suits")
    assert practice.form is not None
    states = json.dumps(
        [practice.model.state["page"], practice.model.state["status"], practice.known.value], default=str
    )
    assert practice.fresh is not None
    assert practice.fresh.order.seed not in states
    for field in practice.form.question.fields:
        assert str(field.answer) not in states


def test_page_text_is_escaped_and_pictures_stand_in_place() -> None:
    """A tag in a text stays text; an attachment becomes an image with its words; a link to elsewhere stays text."""
    page = Page(
        "before <b>x</b>\n\n![two <words>](attachment:a.svg)\n\n![far](http://x/y.png) after", {"a.svg": "<svg/>"}
    )
    html = page_html(page)
    assert "<b>" not in html
    assert '<img src="data:image/svg+xml;base64,' in html
    assert 'alt="two &lt;words&gt;"' in html
    assert html.count("<img") == 1
    assert html.index("before") < html.index("<img") < html.index("after")


def test_the_same_question_under_other_letters_is_no_other_question() -> None:
    """A fingerprint follows what is read, not the letters of options, nor their wordings where a kind has several."""
    situation = next(question for question in QUESTIONS if question.id == "q02")
    said = replace(situation.fields[0].options[0], text="the same in other words")
    again = replace(situation.fields[0], options=(said, *situation.fields[0].options[1:]))
    assert fingerprint(replace(situation, fields=(again, *situation.fields[1:]))) == fingerprint(situation)
    choice = replace(situation, kind=Kind.FAULT)
    assert fingerprint(replace(choice, fields=(again, *choice.fields[1:]))) != fingerprint(choice)
    field = choice.fields[0]
    letters = {option.id: f"letter-{number}" for number, option in enumerate(field.options)}
    turned = replace(
        choice,
        id="practice-9",
        fields=(
            replace(
                field,
                answer=letters[str(field.answer)],
                options=tuple(replace(o, id=letters[o.id]) for o in reversed(field.options)),
                partial=(),
            ),
        ),
        slips=(),
    )
    assert fingerprint(turned) == fingerprint(choice)
    other = replace(turned, fields=(replace(turned.fields[0], answer="letter-0"),))
    assert fingerprint(other) != fingerprint(choice)


def test_fresh_stop_or_go_is_new() -> None:
    """Fewer than 2 in 100 fresh stop-or-go questions stand word for word in the workbook they follow.

    Ranges over every stop-or-go question of three workbooks (apprentice, licensed, owner), three fresh ones after each,
    and over Great Britain.
    """
    library = Library(Path(__file__).resolve().parents[2] / "scenarios")
    plans = [p for p in load_plans(library.folder) if p.number in (1, 12, 15)]
    again = made = 0
    for plan in plans:
        sheet = read_sheet(library.folder.parent / "answer_keys" / f"{plan.stem}.json")
        known = {fingerprint(question) for question in sheet.questions}
        read = {question.prompt for question in sheet.questions}
        for template in templates_of([plan], {plan.stem: sheet}):
            if template.kind is not Kind.STOP_OR_GO:
                continue
            for number in range(3):
                seed = f"fresh/{template.question}/{number}"
                fresh = fresh_question(
                    template,
                    library,
                    question_id="practice-1",
                    seed=seed,
                    appliances=library.appliance_ids,
                    taken=known,
                )
                assert fresh.question.outcome == template.outcome
                made += 1
                again += fresh.question.prompt in read
    assert made >= 90
    assert again <= 0.02 * made


def test_practice_goes_on_when_the_cells_run_again(here: Path) -> None:
    """In a running kernel the question stays, with its draft, and the next one has a number of its own."""
    _, practice = opened(here)
    practice.press("again", like="q01")
    assert practice.form is not None
    asked = practice.form.question
    practice.form.set({field.key: "123 W" for field in asked.fields})
    _, again = opened_again(here)
    assert again.form is not None
    assert again.form.question == asked
    assert again.form.response() == {field.key: "123 W" for field in asked.fields}
    again.press("again", like="q01")
    assert again.form.question.id == "practice-2"
    records = [e for e in read_journal(again.journal, origin=NAME).entries if is_record(e)]
    assert [record.question for record in records] == ["practice-1", "practice-2"]
