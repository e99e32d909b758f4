from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from journals import FIRST, SECOND, dangerous, lay_out, lesson, questions, right

from probebook.errors import UsageError
from probebook.page.books import Books
from probebook.page.frame import Frame
from probebook.page.reading import is_paper, read_paper
from probebook.page.start.collecting import Collected, Collector
from probebook.page.start.record import record_html, record_json
from probebook.page.start.start_page import start_page, weakest_first

FRAME = Frame("/", "en")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two workbooks."""
    return lay_out(tmp_path)


def collect(folder: Path) -> Collected:
    """What is read from a folder."""
    return Collector(Books(folder)).collect()


def test_figures_are_those_of_the_journal(folder: Path) -> None:
    """Answered questions, marks, weeks and what comes next agree with an account of the journal by hand."""
    lesson(folder)
    found = collect(folder).learner
    first, second = found.workbooks
    three = questions(folder, SECOND)
    assert (first.standings.answered, second.standings.answered) == (2, 4)
    assert second.standings.marks == sum(question.marks for question in three[1:5])
    assert second.standings.following == three[5].id
    assert second.latest == "2026-11-17T10:00:00Z"
    # 2, 9 and 16 November 2026 are Mondays (ISO 8601); first answers fell into the first and the third week only.
    assert found.weeks == ("2026-11-02", "2026-11-16")
    power = next(line for line in found.outcomes if line.outcome == three[1].outcome)
    of_outcome = [question for question in three[1:5] if question.outcome == three[1].outcome]
    whole = sum(question.marks for question in of_outcome)
    assert power.weeks == ((0.0, 0.0), (whole, whole))
    assert power.known.answers == len(of_outcome)
    assert found.stopped is not None
    assert (found.stopped.workbook, found.stopped.question) == (SECOND, three[5].id)
    assert found.trouble == ""


def test_safety_comes_first(folder: Path) -> None:
    """Dangerous answers stand before all else, latest first, each with what was said and whether it was put right."""
    one, two = lesson(folder)
    found = collect(folder)
    dangers = found.learner.dangers
    assert [(danger.question, danger.mended) for danger in dangers] == [(two.id, False), (one.id, True)]
    assert all(danger.said for danger in dangers)
    assert found.learner.next is not None
    assert "would have been dangerous" in found.learner.next.why
    page = start_page(found.learner, FRAME, found.words)
    places = [page.index(f'<section id="{name}"') for name in ("dangers", "next", "workbooks", "outcomes", "record")]
    assert places == sorted(places)
    owed = weakest_first(found.learner.outcomes)[0]
    assert owed.known.owed > 0
    assert not owed.mastered


def test_a_folder_without_answers_says_where_to_begin(folder: Path) -> None:
    """Nothing is said of dangers, slips or outcomes where nothing was answered; the way in is the first workbook."""
    found = collect(folder)
    assert found.learner.stopped is None
    assert found.learner.next is not None
    assert (found.learner.next.workbook, found.learner.next.how) == (FIRST, "begin")
    page = start_page(found.learner, FRAME, found.words)
    assert not any(f'id="{name}"' in page for name in ("dangers", "outcomes", "slips"))
    assert f'href="/probebook/workbook/{FIRST}"' in page


def test_an_empty_folder_and_a_broken_key_are_said(folder: Path, tmp_path: Path) -> None:
    """No workbook, or a key that cannot be read, costs a sentence and not the page."""
    (tmp_path / "answer_keys" / f"{FIRST}.json").write_text("{", encoding="utf-8")
    found = collect(folder)
    page = start_page(found.learner, FRAME, found.words, found.left_out)
    assert f"{FIRST} is left out:" in page
    assert [done.name for done in found.learner.workbooks] == [SECOND]
    empty = tmp_path / "empty"
    empty.mkdir()
    found = collect(empty)
    assert "There is no workbook in this folder yet." in start_page(found.learner, FRAME, found.words)


def test_papers_in_the_folder_are_offered_with_what_opening_one_means(folder: Path) -> None:
    """A paper is no workbook that is left out: its title leads to it, after the sentence on its time."""
    metadata = {"probebook": {"paper": "fault-l1"}, "title": "Fault <finding>"}
    line = 'from probebook.assessment.sitting import open_paper; paper = open_paper("fault-l1")'
    cells = [{"cell_type": "code", "id": "head", "source": line, "outputs": []}]
    (folder / "fault-l1.ipynb").write_text(json.dumps({"cells": cells, "metadata": metadata}), encoding="utf-8")
    found = collect(folder)
    assert found.left_out == ()
    page = start_page(found.learner, FRAME, found.words, found.left_out, found.papers)
    section = page.partition('id="papers"')[2].partition("</section>")[0]
    assert '<a class="pb-way" href="/probebook/paper/fault-l1">Fault &lt;finding&gt;</a> fault-l1' in section
    assert section.index("runs from the moment it is opened") < section.index("fault-l1")
    assert [done.name for done in found.learner.workbooks] == [FIRST, SECOND]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with names here")
def test_a_pipe_among_the_workbooks_holds_nothing_up(folder: Path) -> None:
    """Whoever opened it would wait for its other end: it is left out unread, by readers of papers too."""
    os.mkfifo(folder / "held.ipynb")
    assert [name for name, _ in collect(folder).left_out] == ["held"]
    for read in (is_paper, read_paper):
        with pytest.raises(UsageError, match="no file"):
            read(folder / "held.ipynb")


def test_a_journal_is_read_anew_each_time(folder: Path) -> None:
    """What was answered since stands there the next time, though what is slow to read is kept."""
    collector = Collector(Books(folder))
    assert collector.collect().learner.workbooks[1].standings.answered == 0
    right(folder, SECOND, questions(folder, SECOND)[1], "2026-11-17")
    assert collector.collect().learner.workbooks[1].standings.answered == 1


def test_the_record_holds_every_answer(folder: Path) -> None:
    """The data and the page hold each answer that counted, with its marks, and say that the journal is as written."""
    one, two = lesson(folder)
    found = collect(folder)
    data = json.loads(record_json(found.learner, "2026-11-18T09:00:00Z"))
    given = [(book["name"], item["question"], item["marks"]) for book in data["workbooks"] for item in book["answers"]]
    assert given[:3] == [(FIRST, one.id, 0.0), (FIRST, two.id, 0.0), (FIRST, one.id, one.marks)]
    assert len(given) == 7
    assert [(item["question"], item["mended"]) for item in data["dangers"]] == [(two.id, False), (one.id, True)]
    assert all(book["lines_not_as_written"] == 0 for book in data["workbooks"])
    page = record_html(found.learner, "2026-11-18T09:00:00Z", found.words, "en")
    assert page.count("2026-11-17T10:00:00Z") == 4
    assert "as they were written" in page
    assert not re.search(r"<script|https?://|src=|href=", page)


def test_an_altered_line_is_said_in_the_record(folder: Path) -> None:
    """A line of the journal that was edited by hand does not count, and the record says so."""
    lesson(folder)
    journal = folder / f"{SECOND}.answers.jsonl"
    lines = journal.read_text("utf-8").splitlines(keepends=True)
    journal.write_text(lines[0].replace('"marks":2.0', '"marks":9.0') + "".join(lines[1:]), encoding="utf-8")
    found = collect(folder)
    data = json.loads(record_json(found.learner, "2026-11-18T09:00:00Z"))
    assert [book["lines_not_as_written"] for book in data["workbooks"]] == [0, 1]
    assert "1 line is not as written" in record_html(found.learner, "", found.words, "en")


def test_a_dangerous_answer_is_not_forgotten_by_a_right_one_before(folder: Path) -> None:
    """An answer that was right and later dangerous waits for a right one again."""
    one = next(item for item in questions(folder, FIRST) if any(slip.critical for slip in item.slips))
    right(folder, FIRST, one, "2026-11-04")
    dangerous(folder, FIRST, one, "2026-11-05")
    assert [danger.mended for danger in collect(folder).learner.dangers] == [False]


def test_a_dangerous_job_on_the_bench_comes_first_too(tmp_path: Path) -> None:
    """A job that put a hand on live metal stands among the dangers, with its slip, until a right one follows."""
    name = "09-which-test-next"
    folder = lay_out(tmp_path, (name,))
    job = next(item for item in questions(folder, name) if item.bench)
    dangerous(folder, name, job, "2026-11-04")
    found = collect(folder).learner
    assert [(danger.question, danger.mended) for danger in found.dangers] == [(job.id, False)]
    assert found.dangers[0].said
    assert sum(times for _, times in found.slips) == 1
    assert found.trouble == ""
    right(folder, name, job, "2026-11-05")
    assert [danger.mended for danger in collect(folder).learner.dangers] == [True]
