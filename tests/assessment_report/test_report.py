"""The report of a class: figures of simulated classes of known ability, and pages that are safe whatever they hold."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from click.testing import CliRunner

from probebook.api import load_library
from probebook.assessment.cells import plain_cell
from probebook.assessment.codec import marks_text
from probebook.assessment.model import Blueprint, Learner, MarkedClass, MarkedItem, MarkedPaper, Refused, Row
from probebook.assessment.report.analysis import ReportLimits, analyse
from probebook.assessment.report.files import report_files
from probebook.assessment.report.page import tomorrow
from probebook.cli import cli
from probebook.questions.model import Kind, Standing
from probebook.words import Words

ROOT = Path(__file__).resolve().parents[2]
OUTCOMES = ("power", "trace", "conclude")
HOSTILE = "<script>alert(1)</script>"
LIMITS = load_library(ROOT / "scenarios").assumptions.get(ReportLimits)


@pytest.fixture(scope="module")
def words() -> Words:
    """The sentences of this checkout, in English."""
    return load_library(ROOT / "scenarios").words


def _blueprint(rows: int) -> Blueprint:
    made = tuple(Row(f"row-{n:02d}", OUTCOMES[n % 3], Kind.POWER, marks=2.0) for n in range(rows))
    return Blueprint("elements", "Element testing", "Invented.", "apprentice", "gb", 60, made, (-1.0, 1.0), 0.6)


def _class(learners: int, rows: int = 20, seed: int = 20261127) -> tuple[MarkedClass, list[float]]:
    """An invented class, and the ability of each learner; answers by the Rasch model of the items' difficulties."""
    rng = np.random.default_rng(seed)
    plan = _blueprint(rows)
    level = rng.normal(0, 1.2, rows)
    abilities = [float(each) for each in rng.normal(0.4, 1.2, learners)]
    papers = []
    for number, ability in enumerate(abilities):
        items = []
        for column, row in enumerate(plan.rows):
            hard = float(level[column] + rng.normal(0, 0.1))
            right = bool(rng.random() < 1 / (1 + math.exp(hard - ability)))
            items.append(_item(row, hard, right=right))
        learner = Learner(f"l{number:02d}", f"Learner {number:02d}")
        got = sum(item.marks for item in items)
        papers.append(MarkedPaper(f"p{number}", learner, tuple(items), passed=got >= 0.6 * 2 * rows))
    return MarkedClass("set-1", plan, tuple(papers)), abilities


def _item(row: Row, hard: float, *, right: bool, critical: bool = False) -> MarkedItem:
    return MarkedItem(
        f"{row.id}-item", row.id, row.kind, row.outcome, 1, "kettle", (), hard, 2.0 * right, 2.0,
        Standing.RIGHT if right else Standing.SLIP, () if right else ("upside-down",), critical,
    )  # fmt: skip


def test_a_simulated_class_is_found_again() -> None:
    """Of 30 learners and 20 items, the class's reliability, pass mark and items are what the simulation put in."""
    stats = pytest.importorskip("scipy.stats")
    marked, abilities = _class(30)
    found = analyse(marked, LIMITS)
    assert stats.spearmanr(abilities, [each.marks for each in found.learners]).statistic >= 0.8
    assert found.paper.model >= 0.6
    assert found.paper.low < found.paper.alpha < found.paper.high
    assert 0.6 < found.paper.alpha < 0.95
    assert found.paper.decisions is not None
    assert 0.5 < found.paper.decisions.consistency <= found.paper.decisions.accuracy <= 1
    assert found.paper.passed == sum(paper.passed for paper in marked.papers)
    for item in found.items:
        share = np.mean([i.marks / i.out_of for p in marked.papers for i in p.items if i.row == item.place])
        assert item.facility == pytest.approx(share)
        assert item.low <= item.facility <= item.high
        assert item.learners == 30
    assert sum(times for _, times in found.slips) == sum(len(i.slips) for p in marked.papers for i in p.items)


def test_estimated_difficulty_lies_nearer_the_truth_than_a_wrong_model() -> None:
    """Where one place is 2 logits harder than foretold, a class of sixty shows it beyond its interval."""
    marked, _ = _class(60, 12)
    papers = tuple(
        MarkedPaper(p.paper, p.learner, tuple(
            MarkedItem(**{**{f: getattr(i, f) for f in i.__slots__}, "difficulty": i.difficulty - 2.0 * (n == 4)})
            for n, i in enumerate(p.items)), p.passed)
        for p in marked.papers
    )  # fmt: skip
    found = analyse(MarkedClass("set-1", marked.blueprint, papers), LIMITS)
    moved = [(item.estimated - item.foretold) / item.error for item in found.items]
    assert moved[4] == max(moved)
    assert moved[4] > 1.96


def test_items_to_look_at_again_are_named() -> None:
    """An item that the weak get right and the able wrong is turned, one that all got right easy; the rest depends."""
    marked, abilities = _class(30)
    middle = sorted(abilities)[15]
    papers = []
    for paper, ability in zip(marked.papers, abilities, strict=True):
        items = list(paper.items)
        items[0] = _item(marked.blueprint.rows[0], 0.0, right=ability < middle)
        items[1] = _item(marked.blueprint.rows[1], 0.0, right=True)
        papers.append(MarkedPaper(paper.paper, paper.learner, tuple(items), paper.passed))
    found = analyse(MarkedClass("set-1", marked.blueprint, tuple(papers)), LIMITS)
    assert [item.look for item in found.items[:2]] == ["turned", "easy"]


def test_places_of_a_row_with_several_items_are_told_apart() -> None:
    """A row of three items is three places, in the order of the paper."""
    row = Row("power", "power", Kind.POWER, items=3)
    items = tuple(_item(row, 0.0, right=n != 1) for n in range(3))
    marked = MarkedClass("s", _blueprint(1), (MarkedPaper("p", Learner("a", "A"), items, passed=True),))
    assert [(item.place, item.facility) for item in analyse(marked, LIMITS).items] == [
        ("power 1", 1.0), ("power 2", 0.0), ("power 3", 1.0)
    ]  # fmt: skip


@pytest.mark.parametrize("learners", [0, 1, 2, 3])
def test_a_tiny_class_is_told_nothing_that_cannot_be_told(learners: int, words: Words) -> None:
    """Nobody, one, two or three learners: the report is written, says they are few, and judges no item or pass mark."""
    marked, _ = _class(learners, 5)
    found = analyse(marked, LIMITS)
    assert found.paper.decisions is None
    assert all(item.look == "" for item in found.items)
    page = report_files(analyse(marked, LIMITS), marked, words, {}, {})["report.html"]
    assert "too few" in page
    assert "cannot be told" in page
    assert ">nan<" not in page


def test_a_class_that_got_everything_right_has_a_report(words: Words) -> None:
    """Where no mark was lost, reliability cannot be told, difficulties stay finite, and every item was easy."""
    plan = _blueprint(4)
    items = tuple(_item(row, 0.0, right=True) for row in plan.rows)
    papers = tuple(MarkedPaper(f"p{n}", Learner(f"l{n}", "L"), items, passed=True) for n in range(30))
    found = analyse(MarkedClass("s", plan, papers), LIMITS)
    assert math.isnan(found.paper.alpha)
    assert found.paper.decisions is None
    assert all(math.isfinite(item.estimated) and item.look == "easy" for item in found.items)
    assert found.slips == ()


def test_safety_comes_first(words: Words) -> None:
    """A safety mistake stands before all figures, with the learner's name, and opens the paragraph for tomorrow."""
    marked, _ = _class(30)
    paper = marked.papers[7]
    items = (_item(marked.blueprint.rows[0], 0.0, right=False, critical=True), *paper.items[1:])
    papers = (*marked.papers[:7], MarkedPaper("p7", paper.learner, items, passed=False), *marked.papers[8:])
    whole = MarkedClass("set-1", marked.blueprint, papers)
    page = report_files(analyse(whole, LIMITS), whole, words, {}, {})["report.html"]
    assert page.index("Safety first") < page.index("Learner 07") < page.index("What to teach tomorrow")
    assert tomorrow(analyse(whole, LIMITS), words, {}, {}).startswith("First, safety: Learner 07 made")
    assert (
        "No paper holds a safety mistake."
        in report_files(analyse(marked, LIMITS), marked, words, {}, {})["report.html"]
    )


def test_nothing_in_the_marks_is_taken_for_code(words: Words) -> None:
    """Names and file names that look like HTML are shown as text; the page asks for nothing, runs nothing."""
    marked, _ = _class(4, 3)
    learner = Learner("evil", HOSTILE)
    papers = (MarkedPaper("p", learner, marked.papers[0].items, passed=True), *marked.papers[1:])
    refused = (Refused(f"{HOSTILE}.json", HOSTILE),)
    whole = MarkedClass("s", marked.blueprint, papers, refused, (learner,))
    page = report_files(analyse(whole, LIMITS), whole, words, {}, {})["report.html"]
    assert "<script" not in page
    assert page.count("&lt;script&gt;") >= 4
    assert not re.search(r"(?:src|href|url)\s*[=(]", page)
    ElementTree.fromstring(re.sub(r"<!DOCTYPE html>|<meta[^>]*>", "", page))  # well formed, each tag closed


def test_tables_are_safe_in_a_spreadsheet(words: Words) -> None:
    """A text that a spreadsheet would take for a formula does not begin as one; figures stay figures."""
    for text in ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1"):
        assert plain_cell(text) == f"'{text}"
    row = Row('=HYPERLINK("x")', "power", Kind.POWER)
    papers = tuple(
        MarkedPaper(f"p{n}", Learner(f"l{n}", "L"), (_item(row, -1.5, right=n > 0),), passed=True) for n in range(3)
    )
    whole = MarkedClass("s", _blueprint(1), papers)
    table = report_files(analyse(whole, LIMITS), whole, words, {}, {})["report-items.csv"]
    first = next(iter(csv.DictReader(io.StringIO(table))))
    assert first["place"].startswith("'=")
    assert float(first["foretold"]) == -1.5


def test_every_plot_has_its_data_in_the_table(words: Words) -> None:
    """Each place in a plot is a row of the table below it, with its facility."""
    marked, _ = _class(30)
    page = report_files(analyse(marked, LIMITS), marked, words, {}, {})["report.html"]
    for item in analyse(marked, LIMITS).items:
        assert f"<td>{item.place}</td>" in page
        assert f'<td class="n">{item.facility:.2f}</td>' in page
    assert page.count("<svg") == 2


def test_the_command_writes_the_same_report_twice(tmp_path: Path) -> None:
    """``report`` reads marks.json and writes page, figures and table beside it: twice the same bytes."""
    marked, _ = _class(30)
    (tmp_path / "marks.json").write_text(marks_text(marked), encoding="utf-8")
    command = ["report", str(tmp_path), "--scenarios", str(ROOT / "scenarios")]
    seen = []
    for _ in range(2):
        done = CliRunner().invoke(cli, command)
        assert done.exit_code == 0, done.output
        seen.append({path.name: path.read_bytes() for path in tmp_path.iterdir()})
    assert seen[0] == seen[1]
    assert set(seen[0]) == {"marks.json", "report.html", "report.json", "report-items.csv"}
    data = json.loads(seen[0]["report.json"])
    assert data["paper"]["learners"] == 30
    assert "ohms and watts" in seen[0]["report.html"].decode("utf-8")


def test_marks_that_are_not_there_are_named(tmp_path: Path) -> None:
    """A folder without marks is refused in a sentence, with exit code 2."""
    done = CliRunner().invoke(cli, ["report", str(tmp_path)], standalone_mode=False)
    assert done.exception is not None
    assert "marks.json" in str(done.exception)
