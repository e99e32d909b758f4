from __future__ import annotations

import asyncio
import json
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import nbclient
import nbformat
import pytest
from workbook_demo import META, QUESTIONS

import probebook
from english import WORDS
from probebook.errors import UsageError
from probebook.questions.codec import Sheet, marking_sheet
from probebook.workbook import player
from probebook.workbook.finding import find_sheet
from probebook.workbook.journal import Entry, read_journal
from probebook.workbook.player import Workbook, open_workbook
from probebook.workbook.progress import advice, progress_html, progress_rows


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """A folder workbooks/ with its answer_keys/ beside it."""
    for name in ("workbooks", "answer_keys"):
        (tmp_path / name).mkdir()
    (tmp_path / "answer_keys" / "demo.json").write_text(marking_sheet(QUESTIONS, META), encoding="utf-8")
    return tmp_path / "workbooks"


@pytest.fixture(autouse=True)
def _quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("probebook.workbook.player._display", lambda _: None)
    monkeypatch.setattr("probebook.workbook.player._open", {})


def give(book: Workbook, question: str, response: dict[str, Any]) -> None:
    """Answer a question through its form."""
    form = book.form(question)
    form.set(response)
    form.check()


def test_answers_come_back_when_the_workbook_is_opened_again(here: Path) -> None:
    """Every answer, with its verdict, its attempts and its marks, is there after reopening."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "5 ohm"})
    give(book, "q01", {"ohms-key": "46 ohm"})
    give(book, "q03", {"live-key": ["opt-lamp"], "amps-key": "10 A"})
    give(book, "q04", {"steps-key": ["opt-off", "opt-lock", "opt-cover", "opt-prove"]})
    again = open_workbook("demo", folder=here)
    for name in ("q01", "q03", "q04"):
        assert again.form(name).response() == book.form(name).response()
        assert again.form(name).marked == book.form(name).marked
        assert again.form(name).attempts == book.form(name).attempts
        assert again.form(name).model.state["score"] == book.form(name).model.state["score"]
    assert again.form("q02").marked is None
    assert "3 of them answered before" in again.notices()[0]


@pytest.mark.parametrize(("notebook", "key", "fits"), [("a1", "a1", True), ("a1", "b2", False), ("", "b2", True)])
def test_a_notebook_with_the_key_of_another_build_is_not_marked(
    here: Path, notebook: str, key: str, fits: bool
) -> None:
    """Said in one sentence before any form is shown; nothing is written. A notebook without a build is taken."""
    mark = {"workbook": "demo", **({"build": notebook} if notebook else {})}
    (here / "demo.ipynb").write_text(json.dumps({"metadata": {"probebook": mark}}), encoding="utf-8")
    sheet = here.parent / "answer_keys" / "demo.json"
    sheet.write_text(marking_sheet(QUESTIONS, {**META, "build": key}), encoding="utf-8")
    if fits:
        assert open_workbook("demo", folder=here).form("q01").attempts == 0
    else:
        with pytest.raises(UsageError, match=r"^demo: this notebook and its answer key come from different builds"):
            open_workbook("demo", folder=here)
    assert not list(here.glob("*.jsonl"))


@pytest.mark.parametrize("content", ["", "[]", "{", '{"metadata": []}', '{"metadata": {"probebook": 3}}', "[" * 9999])
def test_a_notebook_that_cannot_be_read_does_not_keep_its_key_from_opening(here: Path, content: str) -> None:
    """The kernel shows what the page holds; a file that is no notebook says nothing of a build."""
    (here / "demo.ipynb").write_text(content, encoding="utf-8")
    assert open_workbook("demo", folder=here).form("q01").attempts == 0


def test_what_was_not_checked_comes_back_while_the_kernel_lives(here: Path) -> None:
    """Opened again in the same kernel, as a page that is loaded again does, each form holds what stood in it."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "5 ohm"})
    book.form("q01").model.write(["46"])
    book.form("q03").model.write([[2], ""])
    old = book.form("q01").model
    again = open_workbook("demo", folder=here)
    form = again.form("q01")
    assert form.response() == {"ohms-key": "46"}
    assert form.model.state["checked"] == ["5 ohm"]
    assert form.attempts == 1
    assert again.form("q03").response() == {"live-key": ["opt-lamp"], "amps-key": ""}
    assert old.comm is None
    assert [entry.response for entry in again.answers("q01")] == [{"ohms-key": "5 ohm"}]


def test_rubbish_after_a_right_answer_leaves_its_marks(here: Path) -> None:
    """What is unreadable comes back as typed, and the marks of the last answer that counted stand."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "46 ohm"})
    give(book, "q01", {"ohms-key": "abc"})
    form = open_workbook("demo", folder=here).form("q01")
    assert form.response() == {"ohms-key": "abc"}
    assert form.scored is not None
    assert (form.scored.marks, form.attempts) == (2.0, 1)


def test_the_time_of_an_answer_is_utc_whatever_the_clock_says(here: Path) -> None:
    """A clock in another zone is written as UTC: 14:00 at +02:00 is 12:00Z."""
    zone = timezone(timedelta(hours=2))
    book = open_workbook("demo", folder=here, clock=lambda: datetime(2030, 5, 1, 14, 0, tzinfo=zone))
    give(book, "q01", {"ohms-key": "46 ohm"})
    assert read_journal(book.journal, origin="demo").entries[0].time == "2030-05-01T12:00:00Z"


def test_same_answers_and_clock_make_the_same_journal(here: Path) -> None:
    """The journal is reproducible byte by byte."""
    contents = []
    for _ in range(2):
        book = open_workbook("demo", folder=here, clock=lambda: datetime(2030, 5, 1, tzinfo=UTC))
        give(book, "q01", {"ohms-key": "46 ohm"})
        contents.append(book.journal.read_bytes())
        book.journal.unlink()
    assert contents[0] == contents[1]


def test_where_nothing_can_be_saved_work_goes_on(here: Path) -> None:
    """A journal that cannot be written is told fully at opening, then shortly, and marking goes on."""
    sheet = Sheet(META, QUESTIONS)
    book = Workbook("demo", sheet, here / "none" / "demo.answers.jsonl")
    give(book, "q01", {"ohms-key": "46 ohm"})
    give(book, "q02", {"verdict-key": "opt-stop"})
    first, second = book.form("q01"), book.form("q02")
    assert first.marked is not None
    assert first.marked.marks == 2.0
    assert any("cannot be written" in line for line in book.notices())
    assert first.model.verdict["note"] == second.model.verdict["note"] != ""
    assert first.model.verdict["note"].startswith("Not saved yet.")
    assert len(book.answers("q01")) == 1


def test_an_answer_that_was_not_saved_is_saved_as_soon_as_it_can_be(here: Path) -> None:
    """Given again it is saved and no attempt more is used; saved with the next answer it loses its note."""
    book = open_workbook("demo", folder=here)
    book.journal.mkdir()
    give(book, "q01", {"ohms-key": "46 ohm"})
    give(book, "q02", {"verdict-key": "opt-stop"})
    give(book, "q01", {"ohms-key": "46 ohm"})
    form = book.form("q01")
    assert form.model.verdict["note"].startswith("Not saved yet.")
    book.journal.rmdir()
    give(book, "q01", {"ohms-key": "46 ohm"})
    assert [form.attempts, form.model.verdict["note"], book.form("q02").model.verdict["note"]] == [1, "", ""]
    saved = read_journal(book.journal, origin="demo").entries
    assert [(entry.question, entry.n) for entry in saved] == [("q01", 1), ("q02", 2)]
    assert [entry.n for name in ("q01", "q02") for entry in book.answers(name)] == [1, 2]
    give(book, "q01", {"ohms-key": "46 ohm"})
    assert form.model.verdict["note"].startswith("The same answer")


def test_an_answer_that_was_not_saved_is_saved_at_the_next_opening(here: Path) -> None:
    """Opened again in the same kernel when there is room again, the journal holds it."""
    book = open_workbook("demo", folder=here)
    book.journal.mkdir()
    give(book, "q01", {"ohms-key": "46 ohm"})
    book.journal.rmdir()
    again = open_workbook("demo", folder=here)
    assert [entry.question for entry in read_journal(book.journal, origin="demo").entries] == ["q01"]
    assert (again.form("q01").attempts, len(again.notices())) == (1, 1)


def test_what_waits_is_saved_in_the_background(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a running kernel nobody has to do anything for it."""
    monkeypatch.setattr("probebook.workbook.player.AGAIN", 0.05)

    async def kernel() -> Workbook:
        """Live through a folder in the journal's place."""
        book = open_workbook("demo", folder=here)
        book.journal.mkdir()
        give(book, "q01", {"ohms-key": "46 ohm"})
        await asyncio.sleep(0.15)
        book.journal.rmdir()
        for _ in range(200):
            await asyncio.sleep(0.05)
            if book.journal.is_file():
                break
        return book

    book = asyncio.run(kernel())
    assert [entry.n for entry in read_journal(book.journal, origin="demo").entries] == [1]
    assert book.form("q01").model.verdict["note"] == ""


@pytest.mark.parametrize("make", [os.mkfifo, Path.mkdir, lambda path: path.symlink_to("/dev/zero")])
def test_a_journal_that_is_no_file_is_refused_at_opening(here: Path, make: Callable[[Path], None]) -> None:
    """A pipe, a folder and a link to a device are named at once; forms are marked and nothing hangs."""
    make(here / "demo.answers.jsonl")
    book = open_workbook("demo", folder=here)
    assert any("cannot be kept in a" in line for line in book.notices())
    give(book, "q01", {"ohms-key": "46 ohm"})
    assert book.form("q01").model.verdict["note"].startswith("Not saved yet.")


def test_drafts_come_back_on_another_day(here: Path) -> None:
    """Typed and ticked but not checked, they are there in a new kernel and use no attempt; checked, they are gone."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "5 ohm"})
    book.form("q01").model.write(["46"])
    book.form("q03").model.write([[2], ""])
    for _ in range(2):
        player._open.clear()
        book = open_workbook("demo", folder=here)
        form = book.form("q01")
        assert form.draft() == {"ohms-key": "46"}
        assert (form.attempts, form.model.state["checked"]) == (1, ["5 ohm"])
        assert book.form("q03").draft() == {"live-key": ["opt-lamp"], "amps-key": ""}
    give(book, "q03", {"live-key": ["opt-lamp"], "amps-key": "10 A"})
    assert list(json.loads((here / "demo.drafts.json").read_text())["drafts"]) == ["q01"]


@pytest.mark.parametrize(
    "content", ["", "{", "[]", '{"build": 1}', '{"build": "", "drafts": {"q01": {"ohms-key": {"a": 1}}}}', "[" * 9999]
)
def test_drafts_that_cannot_be_read_are_left_out(here: Path, content: str) -> None:
    """Whatever stands in the file, the workbook opens."""
    (here / "demo.drafts.json").write_text(content, encoding="utf-8")
    assert open_workbook("demo", folder=here).form("q01").draft() == {"ohms-key": ""}


def test_tampering_is_told_on_opening_and_the_rest_comes_back(here: Path) -> None:
    """An edited line is named by file and number; the other answers are in their places."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "100 ohm"})
    give(book, "q02", {"verdict-key": "opt-stop"})
    book.journal.write_text(book.journal.read_text().replace("100 ohm", "46 ohm"))
    again = open_workbook("demo", folder=here)
    assert any("demo.answers.jsonl, line 1" in line for line in again.notices())
    assert again.form("q01").marked is None
    assert again.form("q02").scored is not None


def test_a_torn_line_is_told_on_opening(here: Path) -> None:
    """Half a line at the end is told as such, not as tampering."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "46 ohm"})
    with book.journal.open("a") as stream:
        stream.write('{"hash": "12')
    assert any("cut off" in line for line in open_workbook("demo", folder=here).notices())


def test_answers_to_questions_no_longer_asked_do_no_harm(here: Path) -> None:
    """After a rebuild without a question, its old answers stay in the journal and the workbook opens."""
    give(open_workbook("demo", folder=here), "q02", {"verdict-key": "opt-stop"})
    key = here.parent / "answer_keys" / "demo.json"
    key.write_text(marking_sheet(QUESTIONS[:1], META), encoding="utf-8")
    assert "before" not in open_workbook("demo", folder=here).notices()[0]


@pytest.mark.parametrize("place", ["../answer_keys", "answer_keys", "."])
def test_the_answer_key_is_found_round_the_notebook(tmp_path: Path, place: str) -> None:
    """Beside the notebook's folder, below it or in it: the key is found."""
    folder = tmp_path / "work"
    folder.mkdir()
    (folder / place).mkdir(exist_ok=True)
    (folder / place / "demo.json").write_text(marking_sheet(QUESTIONS, META), encoding="utf-8")
    assert find_sheet("demo", folder).name == "demo.json"


@pytest.mark.parametrize("name", ["nowhere", "../demo", "", "a/b", "x\n"])
def test_what_cannot_be_opened_is_told_in_one_sentence(here: Path, name: str) -> None:
    """No key, or no name: one sentence, shown in a notebook without a traceback."""
    with pytest.raises(UsageError) as caught:
        open_workbook(name, folder=here)
    assert caught.value._render_traceback_() == [str(caught.value)]  # type: ignore[attr-defined]


def test_a_question_that_is_not_there_is_told(here: Path) -> None:
    """Asking for an unknown question names the workbook and the question."""
    with pytest.raises(UsageError, match=r"demo: .*q99"):
        open_workbook("demo", folder=here).form("q99")


def test_a_broken_key_is_told_by_file_and_place(here: Path) -> None:
    """A key that cannot be used is named with the key at fault."""
    (here / "bad.json").write_text(json.dumps({"format": 1, "meta": {}, "questions": [{"id": 3}]}))
    with pytest.raises(UsageError, match=r"bad\.json: questions\[0\]\.id"):
        open_workbook("bad", folder=here)


def test_the_first_cell_is_cheap() -> None:
    """Opening a workbook loads none of numpy, pint, pandas, matplotlib, pydantic, nbformat, networkx."""
    heavy = ("numpy", "pint", "pandas", "matplotlib", "pydantic", "nbformat", "networkx", "markdown_it")
    code = f"import sys; from probebook.workbook import open_workbook; print([m for m in {heavy} if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


# ---------------------------------------------------------------- progress


def test_progress_adds_up_by_outcome(here: Path) -> None:
    """Marks now, marks at the first attempt and what is left open are summed by hand for four answers."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "100 ohm"})
    give(book, "q01", {"ohms-key": "46 ohm"})
    give(book, "q03", {"live-key": ["opt-grill"], "amps-key": "10 A"})
    rows = {row.outcome: row for row in progress_rows(book.sheet.questions, book.answers, WORDS)}
    watts, circuit, stop = rows["ohms and watts"], rows["trace a circuit"], rows["know when to stop"]
    assert (watts.marks, watts.first_marks, watts.out_of, watts.weak) == (2.0, 0.0, 2.0, ("q01",))
    assert (circuit.marks, circuit.first_marks, circuit.answered_out_of) == (2.0, 2.0, 3.0)
    assert (stop.answered, stop.open) == (0, ("q02",))
    assert advice(tuple(rows.values()), WORDS).startswith("Practise next: ohms and watts (question 1): 0 of 2 marks")


def test_a_dangerous_answer_comes_first(here: Path) -> None:
    """Whatever else is weak, the outcome of a dangerous answer is what to practise first, until it is mended."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "100 ohm"})
    give(book, "q02", {"verdict-key": "opt-dry"})
    assert advice(progress_rows(book.sheet.questions, book.answers, WORDS), WORDS).startswith(
        "First of all: know when to stop"
    )
    give(book, "q02", {"verdict-key": "opt-stop"})
    assert "First of all" not in advice(progress_rows(book.sheet.questions, book.answers, WORDS), WORDS)


def test_with_nothing_answered_one_goes_on_with_the_first(here: Path) -> None:
    """A fresh workbook advises its first outcome; one answered well throughout advises the next workbook."""
    book = open_workbook("demo", folder=here)
    assert advice(progress_rows(book.sheet.questions, book.answers, WORDS), WORDS).startswith(
        "Go on with: ohms and watts (question 1)"
    )
    for question in QUESTIONS:
        give(book, question.id, dict(question.key()))
    assert "next workbook" in advice(progress_rows(book.sheet.questions, book.answers, WORDS), WORDS)


def test_the_table_of_progress_follows_every_answer(here: Path) -> None:
    """A table shown before an answer shows the marks after it."""
    book = open_workbook("demo", folder=here)
    book.progress()
    give(book, "q01", {"ohms-key": "46 ohm"})
    assert "2 of 2" in book._tables[0].value


def test_the_table_escapes_its_texts() -> None:
    """An outcome with a tag in its name brings no tag along."""
    from dataclasses import replace

    rows = progress_rows([replace(QUESTIONS[0], outcome="<b>x</b>")], lambda _: (), WORDS)
    assert "<b>" not in progress_html(rows, WORDS)


def test_entries_of_other_kinds_are_not_counted() -> None:
    """Blank and unreadable answers count neither as answered nor as a first attempt."""
    from probebook.questions.model import Standing

    entry = Entry(1, "t", "q01", {"ohms-key": "abc"}, Standing.UNREADABLE, 0.0)
    row = progress_rows(QUESTIONS[:1], lambda _: (entry,), WORDS)[0]
    assert (row.answered, row.answered_out_of) == (0, 0)


# ---------------------------------------------------------------- in a notebook


def run(folder: Path, *cells: str) -> Any:
    """Run cells as a notebook in a folder."""
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(source, id=f"c{number}") for number, source in enumerate(cells)]
    )
    notebook.metadata.kernelspec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    client = nbclient.NotebookClient(
        notebook, resources={"metadata": {"path": str(folder)}}, timeout=60, shutdown_kernel="immediate"
    )
    return client.execute()


def printed(notebook: Any, cell: int) -> str:
    """What a cell printed."""
    return "".join(output.text for output in notebook.cells[cell].outputs if output.output_type == "stream")


@pytest.mark.slow
@pytest.mark.filterwarnings("default")
def test_a_notebook_is_answered_and_a_new_kernel_brings_it_back(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run through nbclient: a form is answered, the kernel ends, a new one shows the answer and its verdict again."""
    monkeypatch.setenv("PYTHONPATH", str(Path(probebook.__file__).resolve().parents[1]))
    opening = 'from probebook.workbook import open_workbook; book = open_workbook("demo")'
    first = run(
        here,
        opening,
        'book.ask("q01")',
        'form = book.form("q01"); form.model.hear({"press": "check", "answer": ["5 ohm"]}); print(form.model.verdict)',
        "book.progress()",
    )
    assert "known slip" in printed(first, 2)
    kinds = [output.output_type for cell in first.cells for output in cell.outputs]
    assert kinds.count("display_data") == 3
    assert "opt-stop" not in nbformat.writes(first)
    assert "46 ohm" not in nbformat.writes(first)
    second = run(here, opening, 'book.ask("q01"); print(book.form("q01").model.verdict)')
    assert "known slip" in printed(second, 1)
    assert "From your saved answers" in printed(second, 1)


@pytest.mark.parametrize("words", [{}, {"language": 3}, {"language": {"id": "en"}, "groups": []}])
def test_words_of_a_sheet_that_are_none(words: dict[str, object]) -> None:
    """What a marking sheet carries in place of words is refused in one sentence that says where."""
    from probebook.errors import ScenarioError
    from probebook.questions.codec import Sheet
    from probebook.workbook.language import sheet_words

    with pytest.raises(ScenarioError, match=r"meta\.words: the sentences in the marking sheet cannot be read"):
        sheet_words(Sheet({"words": words}, QUESTIONS))


def test_an_answer_in_a_form_of_before_counts_once(here: Path) -> None:
    """Cells run again while an old form is still in the page: what is checked there is one attempt, also on disk."""
    book = open_workbook("demo", folder=here)
    old = book.form("q01")
    again = open_workbook("demo", folder=here)
    old.set({"ohms-key": "100 ohm"})
    old.check()
    form = again.form("q01")
    assert form.attempts == 1
    form.set({"ohms-key": "100 ohm"})
    form.check()
    assert form.attempts == 1
    assert len(read_journal(book.journal, origin="demo").entries) == 1


def test_the_last_answer_that_counted_is_known_after_a_restart(here: Path) -> None:
    """An unreadable answer after a wrong one does not make the same wrong one count anew."""
    book = open_workbook("demo", folder=here)
    give(book, "q01", {"ohms-key": "100 ohm"})
    give(book, "q01", {"ohms-key": "hello"})
    restarted = Workbook("demo", book.sheet, book.journal)
    give(restarted, "q01", {"ohms-key": "100 ohm"})
    assert restarted.form("q01").attempts == 1


def test_a_draft_outlives_cells_that_run_twice(here: Path) -> None:
    """What was typed is there after the first cell ran twice before the form was asked for again."""
    open_workbook("demo", folder=here).form("q01").set({"ohms-key": "123 ohm"})
    open_workbook("demo", folder=here)
    assert open_workbook("demo", folder=here).form("q01").response() == {"ohms-key": "123 ohm"}
