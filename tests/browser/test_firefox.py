"""The same pages in another browser: all workbooks, every kind of question, jobs on the bench, and JupyterLab."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from bench_hands import spots
from firefox import IS_THERE, answer, in_firefox, visit
from lab_desk import PLAN, open_command, serving, surroundings, workbook_files
from page_desk import LIVE, ROOT, Desk, desk_on
from test_page import BOOKS, OF_KIND, SHEETS, wrong_answer

from probebook.cases.library import Library
from probebook.questions.codec import read_sheet
from probebook.workbook.forms.bench import bench_for
from probebook.workbook.journal import read_journal

OneIn = Callable[[int, Sequence[Any]], Sequence[Any]]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not IS_THERE, reason="needs Firefox, and puppeteer-core from tests/browser_code"),
]


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """All workbooks as ``probebook open`` serves them."""
    root = tmp_path_factory.mktemp("desk")
    for name in ("workbooks", "answer_keys"):
        shutil.copytree(ROOT / name, root / name, ignore=shutil.ignore_patterns("*.answers.jsonl"))
    with desk_on(root / "workbooks", tmp_path_factory.mktemp("home"), None, 18840) as desk:
        yield desk


def page_of(desk: Desk, name: str, **more: Any) -> dict[str, Any]:
    """A visit to the page of a workbook, with all its forms."""
    url = f"{desk.root}/probebook/workbook/{name}?token={desk.token}"
    return visit(name, url, LIVE, len(SHEETS[name].questions), **more)


def test_all_workbooks_and_every_kind(desk: Desk, tmp_path: Path, one_in: OneIn) -> None:
    """Workbooks open whole, fit the window and ask nobody else; of each kind, a slip by keys, then right by mouse.

    Every fifth workbook, and those of the kinds; all fifteen with ``--whole``.
    """
    books = one_in(5, BOOKS)
    visits = [page_of(desk, name) for name in books]
    for name, question in OF_KIND.values():
        sheet = SHEETS[name]
        right = {field.key: field.answer for field in question.fields}
        given = [answer(question, sheet, right | (wrong_answer(question) or {}), "keys")]
        given.append(answer(question, sheet, right, "mouse", right=True))
        visits.append(page_of(desk, name, scope=f'[data-place="{question.id}"] .pb-form', answers=given))
    seen = in_firefox(visits, tmp_path)
    assert len(seen) == len(books) + len(OF_KIND)
    for one in seen:
        assert one["forms"] == len(SHEETS[one["name"]].questions), one
        assert one["width"] <= 1280, one
        assert one["troubles"] == [], one
        assert one["hosts"] == [desk.root.partition("//")[2]], one
    for (name, question), one in zip(OF_KIND.values(), seen[len(books) :], strict=True):
        assert "Right." not in one["said"][0]["word"], (name, question.id)
        assert "Right." in one["said"][1]["word"], (name, question.id)
        standings = [
            str(entry.standing) for entry in read_journal(desk.folder / f"{name}.answers.jsonl").of(question.id)
        ]
        assert len(standings) == 2, (name, question.id)
        assert standings[-1] == "right", (name, question.id)


def test_jobs_on_the_bench(desk: Desk, tmp_path: Path, one_in: OneIn) -> None:
    """Committed jobs are done whole by the mouse: the meter shows what the core reads; all marks are had.

    Every third of them; all seven with ``--whole``.
    """
    trade, visits, jobs = Library(ROOT / "scenarios"), [], []
    committed = [(book, each) for book in BOOKS for each in SHEETS[book].questions if each.bench]
    assert len(committed) >= 5
    for name, question in one_in(3, committed):
        bench, _ = bench_for(question, trade)
        pressed, told = [], []
        for act in question.fields[0].answer:
            pressed += spots(bench, act, bench.state.proved)
            bench.do(act)
            if act.startswith("probe "):
                told.append(bench.component.state["display"])
        scope = f'[data-place="{question.id}"]'  # the bench stands beside the form
        visits.append(page_of(desk, name, scope=scope, spots=[asdict(spot) for spot in pressed]))
        jobs.append((name, question, told))
    assert jobs
    for (name, question, told), one in zip(jobs, in_firefox(visits, tmp_path), strict=True):
        assert one["readings"] == told, (name, question.id)
        assert one["lost"] == [], (name, question.id)  # the focus brings what has it into view
        assert one["troubles"] == [], (name, question.id)
        [entry] = read_journal(desk.folder / f"{name}.answers.jsonl").of(question.id)
        assert (str(entry.standing), entry.marks) == ("right", question.marks), (name, question.id)


def test_jupyterlab(tmp_path: Path) -> None:
    """In JupyterLab, as ``probebook open --lab`` serves it, a workbook marks a slip and a right answer."""
    stem, files = workbook_files(tmp_path)
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    folder, home = tmp_path / "workbooks", tmp_path / "home"
    home.mkdir()
    sheet = read_sheet(tmp_path / "answer_keys" / f"{stem}.json")
    question = sheet.questions[0]
    right = {field.key: field.answer for field in question.fields}
    wrong = right | {question.slips[0].field: question.slips[0].response}
    given = [answer(question, sheet, wrong, "mouse"), answer(question, sheet, right, "keys", right=True)]
    with serving(open_command(folder, PLAN, 18850), surroundings(home), home / "log") as (_, address):
        [one] = in_firefox(
            [visit(stem, address, "body:not(:has(.pb-note-above)) .pb-form", 1, scope=".pb-form", answers=given)],
            tmp_path,
        )
    assert "known slip" in one["said"][0]["word"]
    assert "Right." in one["said"][1]["word"]
    history = read_journal(folder / f"{stem}.answers.jsonl", origin=stem)
    assert [str(entry.standing) for entry in history.entries] == ["slip", "right"]
    assert {host.partition(":")[0] for host in one["hosts"]} == {"localhost"}
