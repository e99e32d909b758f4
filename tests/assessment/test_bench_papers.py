"""Benches in papers: carried as tables, sat, handed in, marked for the way as well as the answer."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from classes import BENCHED, PASSPHRASE, Class
from sitters import right, sit

from probebook.api import assessing, exporting, moderating, printing, reporting
from probebook.assessment.marking.benches import Benches
from probebook.assessment.marking.judging import Accepted
from probebook.assessment.marking.marks import mark_paper
from probebook.assessment.model import Item, Learner, MarkedItem, MarkedPaper, Safety
from probebook.assessment.setting.benches import bench_text
from probebook.assessment.setting.blueprints import load_blueprint
from probebook.assessment.setting.papers import _Job, _places
from probebook.assessment.sitting.bench import PaperBench
from probebook.assessment.sitting.carried import unpacked
from probebook.assessment.sitting.paper import OpenPaper, paper_in
from probebook.bench.acts import MOST
from probebook.bench.simulator import BenchSpec, open_bench
from probebook.bench.table.lookup import differs_from
from probebook.cases.library import Library
from probebook.errors import ProbebookError, UsageError
from probebook.publish.package.standards import STANDARDS
from probebook.questions.bench.solution import PROVE_DEAD
from probebook.questions.model import Response, Standing


def job(benched: Class, number: int = 0) -> Item:
    """The bench of a learner's paper."""
    return next(item for item in benched.papers.papers[number].items if item.question.bench)


def key(item: Item) -> list[str]:
    """The acts of its key."""
    return list(item.question.fields[0].answer)


def earned(benched: Class, trade: Library, acts: Response, safety: Safety = Safety.ITEM) -> MarkedPaper:
    """The first paper, all right but for these acts."""
    paper = benched.papers.papers[0]
    answers: dict[str, Mapping[str, Response]] = {**right(paper), job(benched).id: {"f1": acts}}
    blueprint = replace(benched.papers.blueprint, safety=safety)
    return mark_paper(paper, Accepted(paper.id, answers, "", 0.0, ""), blueprint, trade.words, benches=benches(trade))


def of_bench(paper: MarkedPaper) -> MarkedItem:
    """The marks of its bench."""
    return next(item for item in paper.items if item.row == "bench")


def benches(trade: Library) -> Benches:
    """What does jobs again."""
    return Benches(lambda _: trade)


def opened(benched: Class, folder: Path, number: int = 0) -> OpenPaper:
    """A copy of a paper, opened in a folder."""
    name = benched.name(number)
    (folder / f"{name}.ipynb").write_text(benched.text(number), "utf-8")
    return paper_in(name, folder)


def bench_in(paper: OpenPaper) -> PaperBench:
    """The bench of a paper that was opened."""
    return next(form.bench for form in paper.forms.values() if form.bench)


# ---------------------------------------------------------------- setting


def test_a_paper_carries_the_table_and_nothing_of_the_key(benched: Class, trade: Library) -> None:
    """No seed, no set-up, no par, no proof, no sentence of the key or of a slip is in the file; two tables differ."""
    tables = []
    for number in range(2):
        item, text = job(benched, number), benched.text(number)
        spec = BenchSpec.from_json(item.question.bench)
        told = next(each for each in json.loads(text)["metadata"]["probebook"]["sitting"]["items"] if "bench" in each)
        assert set(told) == {"id", "view", "fields", "bench"}
        carried = unpacked(told["bench"], "paper")
        assert carried["table"]["job"]["par"] is None
        assert carried["table"]["says"]["spent"] == []
        whole = text + json.dumps(carried, ensure_ascii=False)
        told_of = (item.question.bench, item.question.working, item.question.explanation)
        for secret in (spec.name, key(item)[-1], *told_of):
            assert secret not in whole
        for slip in item.question.slips:
            assert slip.advice not in whole
        tables.append(carried["table"]["readings"])
    assert tables[0] != tables[1]


def test_the_table_shows_what_the_bench_shows(benched: Class, trade: Library) -> None:
    """At each act of the key the table of a paper gives the display of the bench that marks; a changed one does not."""
    item = job(benched)
    bench = open_bench(BenchSpec.from_json(item.question.bench), trade)
    carried = unpacked(item.bench, "paper")["table"]
    assert list(carried["job"]["terminals"]) == list(bench.appliance.terminals)
    assert differs_from(bench, carried, key(item)) == ""
    for half in ("low", "high"):
        told = carried["readings"][half]
        told["displays"] = [["?", *rest] for _, *rest in told["displays"]]
    assert differs_from(bench, carried, key(item)) == next(act for act in key(item) if act.startswith("probe "))
    assert bench_text(item, trade) == item.bench


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('"immersion-heater", "kettle"', '"double-oven"'), "cannot carry the bench of 'double-oven'"),
        (('reader = "apprentice"', 'reader = "owner"'), "a bench leads into an open appliance"),
        (("marks = 6", "marks = 6\noptions = { steady = false }"), "err alike in every reading"),
    ],
)
def test_a_bench_that_cannot_be_carried_is_refused(
    change: tuple[str, str], said: str, trade: Library, tmp_path: Path
) -> None:
    """Too many wires, a reader who is no apprentice, instruments that err anew: the row is named, and what to write."""
    path = tmp_path / "on-the-bench.toml"
    path.write_text(BENCHED.replace(*change), "utf-8")
    with pytest.raises(ProbebookError) as caught:
        load_blueprint(path, trade)
    assert said in str(caught.value)
    assert "row[2]" in str(caught.value)


def test_each_learner_meets_the_questions_in_another_order(trade: Library, tmp_path: Path) -> None:
    """Rows that come first stay first, the others are mixed learner by learner; unmixed they stand as written."""
    path = tmp_path / "on-the-bench.toml"
    safe = '[[row]]\nid = "safe"\noutcome = "return"\nkind = "order"\nitems = 3\nfirst = true\n'
    path.write_text(BENCHED.replace("marks = 2", "marks = 2\nitems = 8") + safe, "utf-8")
    blueprint = load_blueprint(path, trade)

    def order(learner: int, mixed: bool = True) -> list[tuple[str, int]]:
        told = replace(blueprint, mixed=mixed)
        drawn = _Job(told, Learner(f"l{learner}", "L"), "5e" * 32, trade.folder, trade.fingerprint)
        return [(place.row.id, place.number) for place in _places(drawn)]

    orders = [order(learner) for learner in range(30)]
    assert all({name for name, _ in each[:3]} == {"safe"} for each in orders)
    assert len({tuple(each) for each in orders}) == 30
    assert [name for name, _ in order(0, mixed=False)] == ["watts"] * 8 + ["bench"] + ["safe"] * 3
    assert orders == [order(learner) for learner in range(30)]


def test_the_tutor_is_told_that_tables_tell(benched: Class, trade: Library) -> None:
    """One sentence says that a program that reads a whole table can infer the one fault."""
    lines = assessing.set_lines(assessing.SetClass(benched.papers, benched.key), benched.folder, trade.words)
    assert sum("a program that reads the whole table can infer the one fault" in line for line in lines) == 1


# ---------------------------------------------------------------- sitting


def test_acts_are_kept_one_by_one_and_come_back(benched: Class, tmp_path: Path) -> None:
    """Each act is a line of the journal that holds it alone; a paper opened again stands where it stood."""
    acts = key(job(benched))
    paper = opened(benched, tmp_path)
    for count in range(1, len(acts)):
        bench_in(paper).set_state({"acts": acts[:count]})
    lines = [json.loads(line) for line in paper.journal.read_text("utf-8").splitlines()]
    assert [line["response"]["f1"] for line in lines if line["what"] == "act"] == [[act] for act in acts[1:-1]]
    again = opened(benched, tmp_path)
    assert bench_in(again).acts == acts[:-1]
    form = again.forms[job(benched).id]
    assert not form.is_answered
    bench_in(again).set_state({"acts": acts})
    assert form.is_answered


def test_what_was_done_stays_done(benched: Class, tmp_path: Path) -> None:
    """Acts cannot be taken back, exchanged or invented; a conclusion can be taken back until the paper is handed in."""
    acts = key(job(benched))
    paper = opened(benched, tmp_path)
    bench = bench_in(paper)
    bench.set_state({"acts": acts[:4]})
    wrong: list[Any] = [
        [],
        acts[:3],
        ["run", *acts[1:5]],
        [*acts[:4], "fly"],
        [*acts[:4], 5],
        acts[:4] + ["run"] * MOST,
    ]
    for given in wrong:
        bench.set_state({"acts": given})
        assert bench.acts == bench.kept == acts[:4]
    bench.set_state({"acts": acts})
    bench.set_state({"acts": acts[:-1]})
    assert bench.kept == acts[:-1]
    bench.set_state({"acts": [*acts[:-1], "conclude nothing wrong"]})
    bench.set_state({"acts": acts})
    paper.submit()
    bench.set_state({"acts": acts[:-1]})
    assert bench.acts == bench.kept == acts
    handed = json.loads(paper.handin.read_text("utf-8"))
    assert handed["answers"][job(benched).id] == {"f1": acts}


def test_a_bench_that_was_tampered_with_is_told(benched: Class, tmp_path: Path) -> None:
    """A bench that cannot be unpacked stops the paper with one sentence; one that would fill the memory is not read."""
    for text in ("", "AAAA", "!", 7):
        with pytest.raises(UsageError, match="take a fresh copy"):
            unpacked(text, "paper")
    name = benched.name(0)
    cut = benched.text(0).replace(job(benched).bench, job(benched).bench[:400])
    (tmp_path / f"{name}.ipynb").write_text(cut, "utf-8")
    with pytest.raises(UsageError, match="take a fresh copy"):
        paper_in(name, tmp_path)


# ---------------------------------------------------------------- marking


def test_the_way_earns_as_well_as_the_answer(benched: Class, trade: Library) -> None:
    """The key earns all; a guess after a proof of dead less; a job without a conclusion keeps safe working alone."""
    item = job(benched)
    acts, marks = key(item), item.question.marks
    assert of_bench(earned(benched, trade, acts)).marks == marks
    most = open_bench(BenchSpec.from_json(item.question.bench), trade).grading
    guessed = of_bench(earned(benched, trade, [*PROVE_DEAD, acts[-1]]))
    assert 0 < guessed.marks < marks
    unfinished = of_bench(earned(benched, trade, list(PROVE_DEAD)))
    assert unfinished.marks == pytest.approx(marks * most.safety / most.whole, abs=0.006)
    assert unfinished.standing is Standing.PARTLY
    assert "not concluded" in unfinished.message
    assert of_bench(earned(benched, trade, [])).marks == 0
    assert of_bench(earned(benched, trade, ["isolate"])).marks == 0


def test_each_slip_is_known_and_earns_its_marks(benched: Class, trade: Library) -> None:
    """The acts of each slip are recognised; what could kill earns nothing and is called dangerous."""
    item = job(benched)
    assert any(slip.critical for slip in item.question.slips)
    for slip in item.question.slips:
        found = of_bench(earned(benched, trade, slip.response))
        assert found.slips == (slip.slip,)
        assert found.critical == slip.critical
        assert found.marks == pytest.approx(slip.marks, abs=0.006)


def test_what_could_kill_fails_item_or_paper(benched: Class, trade: Library) -> None:
    """A critical slip on the bench fails the paper where the blueprint says so, else its item alone."""
    paper = benched.papers.papers[0]
    bench, other = job(benched), next(item for item in paper.items if not item.question.bench)
    acts = next(slip.response for slip in bench.question.slips if slip.critical)
    heavy = replace(benched.papers, blueprint=replace(benched.papers.blueprint, pass_share=0.2))
    answers = {other.id: other.question.key(), bench.id: {"f1": acts}}
    for safety, passed in ((Safety.ITEM, True), (Safety.PAPER, False)):
        blueprint = replace(heavy.blueprint, safety=safety)
        handed = Accepted(paper.id, answers, "", 0.0, "")
        found = mark_paper(paper, handed, blueprint, trade.words, benches=benches(trade))
        assert (found.critical, found.passed) == (True, passed)
        assert of_bench(found).marks == 0


HOSTILE: dict[str, Any] = {
    "unknown acts": ["fly", "<script>alert(1)</script>", "=cmd|' /C calc'!A1"],
    "a text": "isolate",
    "an act too long": ["isolate" * 100],
    "more acts than any job": ["isolate"] * (MOST + 1),
    "acts that name nothing": ["probe X Y", "lift W999", "cover off: nothing", "conclude no-such-fault"],
    "an impossible order": ["conclude nothing wrong", "isolate", "refit W1", "cover on: cover"],
    "as many acts as may be": ["meter ohms", "isolate", "energise"] * (MOST // 3),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_acts_earn_nothing(name: str, benched: Class, trade: Library) -> None:
    """Unknown, misplaced, endless: nothing is raised, nothing is earned, and the rest of the paper is marked."""
    found = earned(benched, trade, HOSTILE[name])
    assert of_bench(found).marks == 0
    assert next(item for item in found.items if item.row == "watts").marks == 2


def test_hostile_benches_are_refused_or_marked(benched: Class, trade: Library, tmp_path: Path) -> None:
    """A hundred thousand acts, numbers in place of acts, a table in place of a list: refused by name, others marked."""
    for folder in ("room", "in"):
        (tmp_path / folder).mkdir()
    for number in range(2):
        name = benched.name(number)
        (tmp_path / "room" / f"{name}.ipynb").write_text(benched.text(number), "utf-8")
        paper = benched.papers.papers[number]
        handed = sit(tmp_path / "room", name, paper, right(paper)).handin
        (tmp_path / "in" / handed.name).write_bytes(handed.read_bytes())
    good = json.loads(handed.read_text("utf-8"))
    item = job(benched, 1).id
    hostile: dict[str, Any] = {
        "hundred-thousand": ["isolate"] * 100_000,
        "numbers": [1, 2],
        "table": {"f1": "isolate"},
        "nothing": None,
        "deep": [[["isolate"]]],
        "added": [*good["answers"][item]["f1"][:-1], "conclude nothing wrong"],
    }
    for name, acts in hostile.items():
        data = json.loads(json.dumps(good))
        data["answers"][item]["f1"] = acts
        (tmp_path / "in" / f"{name}.handin.json").write_text(json.dumps(data), "utf-8")
    marked = assessing.mark_folder(
        tmp_path / "in", assessing.open_key(benched.key, PASSPHRASE), tmp_path / "marks", trade, most_late=5
    )
    assert {each.file for each in marked.refused} == {f"{name}.handin.json" for name in hostile}
    assert [paper.marks for paper in marked.papers] == [8, 8]


# ---------------------------------------------------------------- what else is made of a bench


def test_everything_else_takes_a_bench(benched: Class, trade: Library, tmp_path: Path) -> None:
    """Feedback tells act by act; report, print, export and moderation take a class with benches."""
    (tmp_path / "in").mkdir()
    for number, acts in enumerate((None, job(benched, 1).question.slips[0].response)):
        name, paper = benched.name(number), benched.papers.papers[number]
        (tmp_path / f"{name}.ipynb").write_text(benched.text(number), "utf-8")
        answers = right(paper) | ({job(benched, 1).id: {"f1": acts}} if acts else {})
        sat = sit(tmp_path, name, paper, answers)
        sat.handin.rename(tmp_path / "in" / sat.handin.name)
    papers = assessing.open_key(benched.key, PASSPHRASE)
    marked = assessing.mark_folder(tmp_path / "in", papers, tmp_path / "marks", trade)
    assert [of_bench(paper).critical for paper in marked.papers] == [False, True]
    page = (tmp_path / "marks" / "feedback" / f"{benched.name(0)}.html").read_text("utf-8")
    steps = benches(trade).steps(job(benched).question, "en", key(job(benched)))
    readings = [step.shown.display for step in steps if step.shown.display]
    assert readings
    assert page.count('<table class="job">') == 1
    assert all(reading in page for reading in readings)
    assert key(job(benched))[-1] not in page
    reporting.report_class(tmp_path / "marks", trade, tmp_path / "history.db")
    assert "bench" in (tmp_path / "marks" / "report.html").read_text("utf-8")
    said = printing.print_papers(papers, tmp_path / "paper", trade)
    assert any("bench" in line for line in said)
    moderating.moderate_set(papers, tmp_path / "moderation", trade)
    pack = (tmp_path / "moderation" / "moderation.html").read_text("utf-8")
    assert 'class="danger"' not in pack
    told = exporting.export(exporting.papers_of(papers), tmp_path / "items.zip", STANDARDS["qti-3.0"], trade)
    assert any("bench" in line for line in told.lines)
