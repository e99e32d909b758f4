"""A class sat through the forms of its notebooks, and marked: totals, slips, grades, the same bytes each time."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import nbformat
import pytest
from classes import PASSPHRASE, Class
from sitters import right, sit, sit_in_kernel, slipped

from probebook.api import assessing
from probebook.assessment.cells import plain_cell
from probebook.assessment.codec import read_marks
from probebook.assessment.marking.judging import Accepted
from probebook.assessment.marking.marks import mark_paper
from probebook.assessment.marking.overrides import read_overrides
from probebook.assessment.model import MarkedClass, Safety
from probebook.cases.library import Library
from probebook.errors import UsageError
from probebook.questions.model import Standing


@pytest.fixture(scope="module")
def sat(five: Class, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Hand-ins: l1 all right and l2 all slips in kernels of their own; l3 half, l5 nothing; l4 does not come."""
    folder = tmp_path_factory.mktemp("sat")
    for path in (five.folder / "papers").glob("*.ipynb"):
        (folder / path.name).write_bytes(path.read_bytes())
    papers = five.papers.papers
    keys = right(papers[1])
    slips = {item.id: (slipped(item) or ("", keys[item.id]))[1] for item in papers[1].items}
    sit_in_kernel(folder / f"{five.name(0)}.ipynb", papers[0], right(papers[0]))
    sit_in_kernel(folder / f"{five.name(1)}.ipynb", papers[1], slips)
    half = {item.id: item.question.key() for item in papers[2].items[:6]}
    sit(folder, five.name(2), papers[2], half)
    sit(folder, five.name(4), papers[4], {})
    return folder


@pytest.fixture(scope="module")
def marked(
    sat: Path, five: Class, trade: Library, tmp_path_factory: pytest.TempPathFactory
) -> tuple[MarkedClass, Path]:
    """The marks, and the folder they lie in."""
    out = tmp_path_factory.mktemp("marks")
    papers = assessing.open_key(five.key, PASSPHRASE)
    return assessing.mark_folder(sat, papers, out, trade), out


def test_full_marks_for_keys(marked: tuple[MarkedClass, Path]) -> None:
    """Whoever gives every key through the forms of a kernel has all marks, passes, and has the highest grade."""
    paper = marked[0].papers[0]
    assert paper.learner.id == "l1"
    assert (paper.marks, paper.out_of, paper.passed, paper.grade) == (25.0, 25.0, True, "distinction")
    assert all(item.standing is Standing.RIGHT for item in paper.items)


def test_slips_are_recognised(marked: tuple[MarkedClass, Path], five: Class) -> None:
    """Whoever makes a slip in every question is told which, item by item, and does not pass."""
    found = marked[0].papers[1]
    for item, given in zip(five.papers.papers[1].items, found.items, strict=True):
        wanted = slipped(item)
        assert wanted is not None
        assert wanted[0] in given.slips
        assert given.marks < given.out_of
    assert not found.passed
    assert found.grade == ""
    assert found.lacking == ("C16",)


def test_half_a_paper_has_the_marks_of_its_half(marked: tuple[MarkedClass, Path], five: Class) -> None:
    """Blank items earn nothing and stand as blank; the total is the sum."""
    found = marked[0].papers[2]
    assert found.marks == pytest.approx(sum(item.question.marks for item in five.papers.papers[2].items[:6]))
    assert [item.standing for item in found.items[6:]] == [Standing.BLANK] * 5


def test_who_did_not_hand_in_is_absent(marked: tuple[MarkedClass, Path]) -> None:
    """A learner without a hand-in is named; one who handed in an empty paper is marked with nought."""
    assert [learner.id for learner in marked[0].absent] == ["l4"]
    assert marked[0].papers[3].marks == 0
    assert marked[0].refused == ()


def test_marking_again_gives_the_same_bytes(
    sat: Path, five: Class, trade: Library, marked: tuple[MarkedClass, Path], tmp_path: Path
) -> None:
    """Every file is the same again, with two processes as with one; what was written is read back equal."""
    assessing.mark_folder(sat, five.papers, tmp_path, trade, jobs=2)
    first = {path.relative_to(marked[1]): path.read_bytes() for path in marked[1].rglob("*.*")}
    second = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*.*")}
    assert first == second
    assert len(first) == 2 + 4
    assert read_marks(tmp_path / "marks.json") == marked[0]


def test_the_table_is_safe_and_adds_up(marked: tuple[MarkedClass, Path]) -> None:
    """Rows of the table are those of the class; the name that is a formula is text; items add up to the total."""
    rows = list(csv.DictReader(io.StringIO((marked[1] / "marks.csv").read_text("utf-8-sig"))))
    assert [row["learner"] for row in rows] == ["l1", "l2", "l3", "l5", "l4"]
    assert rows[-1]["name"].startswith("'=")
    places = list(rows[0])[13:]
    assert len(places) == 11
    for row in rows[:-1]:
        assert float(row["marks"]) == pytest.approx(sum(float(row[place]) for place in places))


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@a", "\t=1", " =1", "|a", "＝1", "\r=1"])
def test_formulas_become_text(text: str) -> None:
    """Whatever a spreadsheet would compute begins with an apostrophe (OWASP: CSV injection)."""
    assert plain_cell(text).startswith("'")
    assert plain_cell("Ada") == "Ada"


def test_feedback_holds_the_working_of_every_key(marked: tuple[MarkedClass, Path], five: Class) -> None:
    """The page of a learner says of each question its number, its key and why; names are escaped; nothing may load."""
    page = (marked[1] / "feedback" / f"{five.name(1)}.html").read_text("utf-8")
    assert page.count("<h2>") == 11
    assert "default-src 'none'" in page
    odd = (marked[1] / "feedback" / f"{five.name(4)}.html").read_text("utf-8")
    assert "<script" not in odd
    assert "&lt;script&gt;" in odd


def test_an_override_is_kept_with_name_and_reason(sat: Path, five: Class, trade: Library, tmp_path: Path) -> None:
    """A mark given by hand counts, and says in marks and feedback who gave it and why."""
    table = tmp_path / "overrides.csv"
    table.write_text("paper,item,marks,by,why\nl2,q01,1.5,Dee,unit was clear from the line\n", "utf-8")
    out = tmp_path / "out"
    found = assessing.mark_folder(sat, five.papers, out, trade, overrides=table)
    item = found.papers[1].items[0]
    assert (item.marks, item.by, item.why) == (1.5, "Dee", "unit was clear from the line")
    assert "unit was clear" in (out / "feedback" / f"{five.name(1)}.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("l9,q01,1,Dee,x", "no paper 'l9'"), ("l2,q99,1,Dee,x", "no item 'q99'"), ("l2,q01,99,Dee,x", "not a mark"),
        ("l2,q01,nan,Dee,x", "not a mark"), ("l2,q01,-1,Dee,x", "not a mark"), ("l2,q01,1,,x", "not said by"),
        ("l2,q01,1,Dee,", "not said why"), ("l2,q01,1", "3 columns"),
        ("l2,q01,1,D,x\nl2,q01,2,D,x", "overridden before"),
    ],
)  # fmt: skip
def test_an_override_that_cannot_be_is_refused(
    line: str, said: str, sat: Path, five: Class, trade: Library, tmp_path: Path
) -> None:
    """File, line and column are named, and nothing is written."""
    table = tmp_path / "overrides.csv"
    table.write_text(f"paper,item,marks,by,why\n{line}\n", "utf-8")
    with pytest.raises(UsageError, match=said):
        assessing.mark_folder(sat, five.papers, tmp_path / "out", trade, overrides=table)
    assert not (tmp_path / "out").exists()


def test_overrides_are_read_as_a_spreadsheet_saves_them(five: Class, tmp_path: Path) -> None:
    """Semicolons and a byte-order mark are read; bytes that are no UTF-8 are refused with the remedy."""
    table = tmp_path / "overrides.csv"
    table.write_text("\ufeffpaper;item;marks;by;why\r\nl2;q01;1.5;Dee;clear, from above\r\n", "utf-8")
    (found,) = read_overrides(table, five.papers)
    assert (found.item, found.marks, found.why) == ("q01", 1.5, "clear, from above")
    table.write_bytes(b"paper,item,marks,by,why\nl2,q01,1,D\xff,x\n")
    with pytest.raises(UsageError, match="the override table is not UTF-8 text; save it as CSV UTF-8"):
        read_overrides(table, five.papers)


def test_a_dangerous_answer_fails_what_the_blueprint_says(trade: Library) -> None:
    """Of a paper that is right but for one dangerous answer: the item is nought; the paper is failed only where the
    blueprint says so."""
    from probebook.assessment.model import Learner
    from probebook.assessment.setting.blueprints import find_blueprint, load_blueprint
    from probebook.assessment.setting.papers import set_papers

    blueprint = load_blueprint(find_blueprint("before-you-touch-it", trade.folder), trade)
    paper = set_papers(blueprint, [Learner("a", "A")], "e1" * 32, trade, "2030-01-01T00:00:00Z").papers[0]
    answers = right(paper)
    item, slip = next(
        (item, slip) for item in paper.items for slip in item.question.slips if slip.critical and slip.field == "f1"
    )
    answers[item.id] = {**answers[item.id], slip.field: slip.response}
    handed = Accepted(paper.id, answers, "2030-01-01T00:00:00Z", 0.0, "")
    found = mark_paper(paper, handed, blueprint, trade.words)
    assert found.critical
    assert not found.passed
    assert found.marks == pytest.approx(found.out_of - item.question.marks)
    lenient = mark_paper(paper, handed, replace(blueprint, safety=Safety.ITEM), trade.words)
    assert lenient.passed
    assert lenient.marks == found.marks


def test_a_paper_that_was_run_shows_nothing_of_its_key(five: Class, sat: Path, tmp_path: Path) -> None:
    """The outputs of a notebook sat with all keys hold neither verdict nor advice."""
    path = tmp_path / f"{five.name(0)}.ipynb"
    path.write_text(five.text(0), "utf-8")
    run = sit_in_kernel(path, five.papers.papers[0], right(five.papers.papers[0]))
    text = nbformat.writes(run)
    for item in five.papers.papers[0].items:
        for slip in item.question.slips:
            assert json.dumps(slip.advice)[1:-1] not in text
