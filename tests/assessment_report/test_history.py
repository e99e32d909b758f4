"""The history over sittings: what drifts is found and little else, and the file survives what happens to files."""

from __future__ import annotations

import errno
import json
import math
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

import probebook
from probebook.api import load_library
from probebook.api.reporting import report_class
from probebook.assessment.codec import marks_text
from probebook.assessment.model import Blueprint, Learner, MarkedClass, MarkedItem, MarkedPaper, MarkedPart, Row
from probebook.assessment.report.analysis import ReportLimits, analyse
from probebook.assessment.report.drift import PlaceLevel, Sitting, drifts, history_of, holm, levels_of, series_of
from probebook.assessment.report.history import APPLICATION, STEPS, VERSION, keep_sitting
from probebook.cases.library import Library
from probebook.cli import cli
from probebook.errors import UsageError
from probebook.questions.model import Kind, Standing

ROOT = Path(__file__).resolve().parents[2]
LIMITS = load_library(ROOT / "scenarios").assumptions.get(ReportLimits)
PLAN = Blueprint(
    "elements", "Element testing", "Invented.", "apprentice", "gb", 60,
    tuple(Row(f"row-{n:02d}", "power", Kind.POWER) for n in range(12)), (-1.0, 1.0), 0.6,
)  # fmt: skip
LEVELS = np.linspace(-1.2, 1.2, 12)


@pytest.fixture(scope="module")
def trade() -> Library:
    """The library of this checkout, in English."""
    return load_library(ROOT / "scenarios")


def marked(number: int, seed: int, *, learners: int = 40, ability: float = 0.0, moved: float = 0.0) -> MarkedClass:
    """An invented class; the third place is harder than foretold by ``moved`` logits."""
    rng = np.random.default_rng([seed, number])
    papers = []
    for learner in range(learners):
        theta = rng.normal(ability, 1.0)
        items = []
        for at, row in enumerate(PLAN.rows):
            hard = float(LEVELS[at])
            right = rng.random() < 1 / (1 + math.exp(hard + moved * (at == 2) - theta))
            standing = Standing.RIGHT if right else Standing.SLIP
            part = MarkedPart("f1", "Watts", standing, float(right), "" if right else "amps-for-watts")
            items.append(
                MarkedItem(
                    f"q{at}", row.id, row.kind, row.outcome, 1, "", (), hard, float(right), 1.0, standing,
                    slips=() if right else ("amps-for-watts",), parts=(part,),
                )
            )  # fmt: skip
        day = f"2026-0{number + 1}-12T09:00:00Z"
        papers.append(MarkedPaper(f"p{learner}", Learner(f"l{learner}", "L"), tuple(items), True, handed_in=day))
    return MarkedClass(f"set-{number}", PLAN, tuple(papers))


def sitting(number: int, seed: int, **how: float) -> Sitting:
    """The sitting of an invented class."""
    found = marked(number, seed, **how)  # type: ignore[arg-type]
    day = f"2026-0{number + 1}-12"
    return Sitting(found.set_id, series_of(PLAN), PLAN.id, PLAN.title, day, 40, 20, 0.5, 0.7, levels_of(found, LIMITS))


def small(number: int) -> Sitting:
    """A sitting of two places, of which nothing was estimated."""
    places = (PlaceLevel("x", 0.5, 0.1, 0.2), PlaceLevel("y", 0.25, -0.1, 0.3))
    return Sitting(f"set-{number}", "s", "b", "T", f"2026-0{number + 1}-12", 9, 4, 0.5, 0.6, places)


# ---------------------------------------------------------------- drift


def test_holm_is_the_published_correction() -> None:
    """Worked by hand from Holm 1979: 0.01, 0.04, 0.03 of three become 0.03, 0.06, 0.06."""
    assert [round(each, 10) for each in holm([0.01, 0.04, 0.03])] == [0.03, 0.06, 0.06]


def test_z_and_p_are_those_worked_by_hand() -> None:
    """Two earlier sittings of 0.2 and 0.6 with error 0.4 pool to 0.4 ± 0.2828; now 1.4 ± 0.4: z = 2.0412, p = 0.0412.

    (Weights 1/0.16 each; variance 0.08; z = 1.0/√(0.16 + 0.08); p of the normal table, two-sided.)
    """
    base = Sitting("a", "s", "b", "t", "2026-01-01", 20, 10, 0.5, 0.7, (PlaceLevel("x", 0.5, 0.2, 0.4),))
    other = replace(base, id="b", learners=60, places=(PlaceLevel("x", 0.7, 0.6, 0.4),))
    now = replace(base, id="c", places=(PlaceLevel("x", 0.3, 1.4, 0.4),))
    (found,) = drifts(now, [base, other], 0.05)
    assert (found.before, round(found.before_error, 4), round(found.z, 4)) == (pytest.approx(0.4), 0.2828, 2.0412)
    assert found.p == pytest.approx(0.04123, abs=2e-5)
    assert found.facility_before == pytest.approx(0.65)
    assert found.moved


def test_a_place_that_became_harder_is_found_though_the_class_is_stronger() -> None:
    """One place a logit and a half harder, in a class a logit abler: that place has moved, harder, and no other."""
    before = [sitting(number, 7) for number in range(2)]
    now = sitting(3, 7, ability=1.0, moved=1.8, learners=60)
    found = history_of(now, before, LIMITS.drift)
    assert [(each.place, each.z > 0) for each in found.drifts if each.moved] == [("row-02", True)]


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_false_alarms_are_as_rare_as_promised() -> None:
    """Of 30 pairs of invented sittings where nothing moved, in classes of other ability, hardly any has a drift.

    Promised is one in twenty; six or more of 30 would be seen by chance three times in a thousand. The z of all
    places have mean nought and spread one.
    """
    alarms, found = 0, []
    for seed in range(30):
        one, other = (sitting(n, 1000 + seed, ability=0.8 * n, learners=24) for n in range(2))
        told = drifts(other, [one], LIMITS.drift)
        alarms += any(each.moved for each in told)
        found += [each.z for each in told]
    assert alarms < 6
    assert abs(np.mean(found)) < 0.15
    assert 0.85 < np.std(found) < 1.12


def test_another_blueprint_and_later_sittings_are_left_out() -> None:
    """Sittings are compared within a series and with earlier ones only."""
    first, second = small(0), small(1)
    other = replace(small(0), series="another", id="x")
    assert history_of(first, [second, other, first], 0.05).sittings == (first,)
    assert history_of(second, [second, other, first], 0.05).sittings == (first, second)
    changed = replace(PLAN, rows=PLAN.rows[:-1])
    assert series_of(changed) != series_of(PLAN)


# ---------------------------------------------------------------- the file


def test_a_sitting_comes_back_as_it_was_kept(tmp_path: Path) -> None:
    """To seven digits; kept again it takes its own place, and what cannot be told comes back so."""
    path = tmp_path / "history.db"
    first, second = small(0), replace(small(1), alpha=math.nan)
    keep_sitting(path, second)
    for _ in range(2):
        assert [each.id for each in keep_sitting(path, first)] == ["set-0", "set-1"]
    one, two = keep_sitting(path, first)
    assert math.isnan(two.alpha)
    assert one.mean == pytest.approx(first.mean, rel=1e-6)
    assert [each.place for each in one.places] == [each.place for each in first.places]
    assert [each.level for each in one.places] == pytest.approx([each.level for each in first.places], rel=1e-6)
    other = keep_sitting(path, replace(first, id="elsewhere", series="another"))
    assert [each.id for each in other] == ["elsewhere"]


def test_an_older_file_is_brought_up_to_date(tmp_path: Path) -> None:
    """A file of the first version, with a sitting in it, keeps that sitting and takes the new column."""
    path, now = tmp_path / "old.db", small(1)
    with sqlite3.connect(path) as database:
        for statement in STEPS[0]:
            database.execute(statement)
        database.execute(
            "INSERT INTO sitting VALUES ('set-0', ?, 'elements', 'Old', '2025-01-01', 9, 4, 0.5)", (now.series,)
        )
        database.execute(f"PRAGMA application_id = {APPLICATION}")
        database.execute("PRAGMA user_version = 1")
    database.close()
    found = keep_sitting(path, now)
    assert [(each.id, math.isnan(each.alpha)) for each in found] == [("set-0", True), ("set-1", False)]
    with sqlite3.connect(path) as database:
        assert database.execute("PRAGMA user_version").fetchone() == (VERSION,)
    database.close()


def _made(path: Path, statement: str) -> None:
    with sqlite3.connect(path) as database:
        database.execute(statement)
    database.close()


def test_a_step_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A step of a later program that fails half-way undoes itself: the file is byte for byte the old one."""
    path = tmp_path / "history.db"
    keep_sitting(path, small(0))
    before = path.read_bytes()
    module = sys.modules["probebook.assessment.report.history"]
    monkeypatch.setattr(module, "STEPS", (*STEPS, ("ALTER TABLE sitting ADD COLUMN x REAL", "ALTER TABLE nothing")))
    monkeypatch.setattr(module, "VERSION", VERSION + 1)
    with pytest.raises(UsageError):
        keep_sitting(path, small(1))
    assert path.read_bytes() == before


def test_a_file_that_is_no_history_is_said_in_one_sentence(tmp_path: Path) -> None:
    """A later version, another program's database, text, a damaged file, a folder: one sentence, nothing changed."""
    whole = tmp_path / "whole.db"
    for number in range(9):
        keep_sitting(whole, small(number % 8))
    later, other, text, cut, holed = (tmp_path / name for name in ("later", "other", "text", "cut", "holed"))
    for path in (later, cut, holed):
        shutil.copy(whole, path)
    _made(later, "PRAGMA user_version = 9")
    _made(other, "CREATE TABLE recipe (id)")
    text.write_text("learner,marks\n" * 200, "utf-8")
    content = whole.read_bytes()
    cut.write_bytes(content[: len(content) // 2])
    holed.write_bytes(content[:4096] + b"\xee" * 4096 + content[8192:])
    said = {
        later: f"the history is of a later version (9; known here is {VERSION}); use a newer Probebook.",
        other: "this is a database of another program; name another file.",
        text: "this is no history of sittings; name another file.",
        cut: "the history is damaged; take a copy of it that is whole.",
        holed: "the history is damaged; take a copy of it that is whole.",
        tmp_path: "the history is no file; name a file.",
        tmp_path / "no" / "folder.db": "the history cannot be written; check its folder, its permissions and the room",
    }
    for path, sentence in said.items():
        before = path.read_bytes() if path.is_file() else b""
        with pytest.raises(UsageError) as error:
            keep_sitting(path, small(0))
        assert str(error.value).startswith(f"{path}: {sentence}")
        assert (path.read_bytes() if path.is_file() else b"") == before


def test_several_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    """Six processes that keep eight sittings each in a file that is not there yet: all 48 stand in it."""
    path = tmp_path / "history.db"
    code = (
        "import sys; from pathlib import Path; from probebook.assessment.report.drift import PlaceLevel, Sitting\n"
        "from probebook.assessment.report.history import keep_sitting\n"
        "for n in range(8):\n"
        "    keep_sitting(Path(sys.argv[1]), Sitting(f'{sys.argv[2]}-{n}', 's', 'b', 't', '2026-01-01', 3, 1, 0.5, 0.6,"
        " (PlaceLevel('x', 0.5, 0.1, 0.2),)))\n"
    )
    source = str(Path(probebook.__file__).parents[1])
    running = [
        subprocess.Popen([sys.executable, "-c", code, str(path), str(number)], env={"PYTHONPATH": source})
        for number in range(6)
    ]
    assert [process.wait(120) for process in running] == [0] * 6
    found = keep_sitting(path, small(0))
    assert len(found) == 48 + 1
    assert all(each.places for each in found)


# ---------------------------------------------------------------- the report


def _marks(folder: Path, found: MarkedClass) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "marks.json").write_text(marks_text(found), "utf-8")
    return folder


def test_the_command_tells_what_moved_and_says_the_same_again(tmp_path: Path) -> None:
    """Three sittings, then one with a harder place: the page names it; the same marks and history, the same bytes."""
    path = tmp_path / "history.db"
    given = ["--history", str(path), "--scenarios", str(ROOT / "scenarios")]
    for number in range(3):
        folder = _marks(tmp_path / f"m{number}", marked(number, 7))
        assert CliRunner().invoke(cli, ["report", str(folder), *given]).exit_code == 0
    folder = _marks(tmp_path / "now", marked(3, 7, moved=1.8, learners=60))
    pages = []
    for _ in range(2):
        assert CliRunner().invoke(cli, ["report", str(folder), *given]).exit_code == 0
        pages.append((folder / "report.html").read_text("utf-8"))
    assert pages[0] == pages[1]
    assert "Harder than before, beyond what chance explains: row-02." in pages[0]
    data = json.loads((folder / "report.json").read_text("utf-8"))
    assert [each["sat_on"] for each in data["history"]["sittings"]] == [f"2026-0{n}-12" for n in range(1, 5)]
    first = (tmp_path / "m0" / "report.html").read_text("utf-8")
    assert "This is the first sitting of this blueprint" in first


def test_a_day_that_is_not_known_is_asked_for(tmp_path: Path, trade: Library) -> None:
    """Papers typed in from sheets have no time; a day that is none is refused, and nothing is kept."""
    found = marked(0, 7)
    found = replace(found, papers=tuple(replace(each, handed_in="", typed=True) for each in found.papers))
    folder, path = _marks(tmp_path / "m", found), tmp_path / "history.db"
    with pytest.raises(UsageError, match=r"the day of the sitting is not known; write it as 2026-06-12"):
        report_class(folder, trade, path)
    with pytest.raises(UsageError, match=r"'12 June' is no day"):
        report_class(folder, trade, path, "12 June")
    assert not path.exists()
    report_class(folder, trade, path, "2026-06-12")
    assert "40 papers were typed in from answer sheets." in (folder / "report.html").read_text("utf-8")


def test_a_day_without_a_history_is_refused(tmp_path: Path) -> None:
    """A day that would be kept nowhere is not dropped in silence, and no report is written."""
    folder = _marks(tmp_path / "m", marked(0, 7))
    given = ["report", str(folder), "--sat-on", "2026-06-12", "--scenarios", str(ROOT / "scenarios")]
    done = CliRunner().invoke(cli, given, standalone_mode=False)
    assert isinstance(done.exception, UsageError)
    assert str(done.exception) == "--sat-on: a day is kept in a history only; name the history with --history."
    assert [path.name for path in folder.iterdir()] == ["marks.json"]


def test_the_files_of_a_report_are_written_together(
    tmp_path: Path, trade: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where there is no room for the last of the three, the first is not replaced."""
    folder = _marks(tmp_path / "m", marked(0, 7))
    (folder / "report.html").write_text("old", "utf-8")
    make = tempfile.mkstemp

    def full(*, prefix: str, **given: Any) -> tuple[int, str]:
        if "report-items" in prefix:
            raise OSError(errno.ENOSPC, "No space left on device")
        return make(prefix=prefix, **given)

    monkeypatch.setattr(tempfile, "mkstemp", full)
    with pytest.raises(UsageError, match="no space left on device"):
        report_class(folder, trade)
    assert {path.name for path in folder.iterdir()} == {"marks.json", "report.html"}
    assert (folder / "report.html").read_text("utf-8") == "old"


def test_a_later_sitting_of_which_nothing_can_be_told_is_not_called_the_first(tmp_path: Path, trade: Library) -> None:
    """Papers of one question have no places to hold together: the first says it is the first, the second does not."""
    pages, path = [], tmp_path / "history.db"
    for number in range(2):
        found = marked(number, 7)
        short = tuple(replace(paper, items=paper.items[:1]) for paper in found.papers)
        folder = _marks(tmp_path / f"m{number}", replace(found, papers=short))
        report_class(folder, trade, path)
        pages.append((folder / "report.html").read_text("utf-8"))
    said = "This is the first sitting of this blueprint"
    assert [said in page for page in pages] == [True, False]
    assert "<p>cannot be told</p>" in pages[1]


def test_answers_are_counted_by_the_ends_of_the_class() -> None:
    """Nine learners, the six best right in the first place: right 6 of 9, all of the top third, none of the bottom."""
    found = marked(0, 7, learners=9)
    papers = []
    for number, paper in enumerate(found.papers):
        right = [number < 6, number < 3]
        items = tuple(
            replace(
                item, marks=float(good), parts=(
                    replace(item.parts[0], standing=Standing.RIGHT, slip="", marks=1.0) if good
                    else replace(item.parts[0], standing=Standing.SLIP, slip="amps-for-watts", marks=0.0),
                ),
            )
            for item, good in zip(paper.items[:2], right, strict=True)
        )  # fmt: skip
        papers.append(replace(paper, items=items))
    told = analyse(replace(found, papers=tuple(papers)), LIMITS).answers
    assert [(a.place, a.part, a.sort, a.answer, a.times, round(a.top, 3), round(a.bottom, 3)) for a in told] == [
        ("row-00", "Watts", "right", "", 6, 1.0, 0.0),
        ("row-00", "Watts", "slip", "amps-for-watts", 3, 0.0, 1.0),
        ("row-01", "Watts", "right", "", 3, 1.0, 0.0),
        ("row-01", "Watts", "slip", "amps-for-watts", 6, 0.0, 1.0),
    ]
