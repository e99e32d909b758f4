"""A paper with a bench, sat by clicks in the page that ``probebook open`` shows: left, come back to, handed in."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "assessment"))
from bench_hands import Hands
from chromium import CHROMIUM, FLAGS
from classes import BENCHED, LEARNERS, PASSPHRASE
from page_desk import AXE, LIVE, PATIENCE, Desk, axe_findings, desk_on

from probebook.api import assessing
from probebook.assessment.model import Item, Paper, PaperSet
from probebook.assessment.sitting.chain import read_events
from probebook.bench.log import replay
from probebook.bench.simulator import Bench, BenchSpec, open_bench
from probebook.cases.library import library
from probebook.scenario_folder import scenarios_dir
from probebook.workbook.forms.bench_view import view

playwright_api = pytest.importorskip("playwright.sync_api")
expect = playwright_api.expect

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]

#: Where pictures of the paper are put, for somebody to look at; nowhere when not given.
PICTURES = os.environ.get("PROBEBOOK_PICTURES", "")


@dataclass
class Sat:
    """A paper that is being sat: what was set, its bench, the folder, the server."""

    papers: PaperSet
    paper: Paper
    job: Item
    bench: Bench
    desk: Desk
    key: Path

    @property
    def name(self) -> str:
        """The stem of its file."""
        return self.papers.blueprint.paper_name(self.paper.learner)

    @property
    def journal(self) -> Path:
        """The file its answers are kept in."""
        return self.desk.folder / f"{self.name}.sitting.jsonl"

    def open(self, **context: Any) -> Any:
        """A window with the page of the paper."""
        page = self.desk.page(**context)
        page.goto(f"{self.desk.root}/probebook/paper/{self.name}?token={self.desk.token}")
        page.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
        return page


class Kept:
    """The bench as the hands of a learner take it: what was done is what the journal keeps."""

    def __init__(self, sat: Sat) -> None:
        self.sat, self.bench = sat, sat.bench
        self.component = SimpleNamespace(view=view(sat.bench))

    @property
    def acts(self) -> list[str]:
        """What was done."""
        kept = read_events(self.sat.journal).answers().get(self.sat.job.id, {})
        return list(kept.get("f1", []))

    @property
    def state(self) -> Any:
        """How the job stands."""
        return replay(self.bench, self.acts).state


@pytest.fixture(scope="module")
def sat(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Sat]:
    """A paper with a bench, as ``probebook open`` serves it by its path, with no key anywhere near."""
    trade = library(scenarios_dir().resolve(), "gb", "en")
    folder, room = tmp_path_factory.mktemp("set"), tmp_path_factory.mktemp("room")
    (folder / "on-the-bench.toml").write_text(BENCHED, "utf-8")
    plan = str(folder / "on-the-bench.toml")
    made = assessing.set_class(plan, LEARNERS[:1], folder / "june", PASSPHRASE, trade, secret="b3" * 32)
    paper = made.papers.papers[0]
    name = f"{made.papers.blueprint.paper_name(paper.learner)}.ipynb"
    (room / name).write_bytes((folder / "june" / "papers" / name).read_bytes())
    job = next(item for item in paper.items if item.question.bench)
    bench = open_bench(BenchSpec.from_json(job.question.bench), trade)
    with playwright_api.sync_playwright() as player:
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        with desk_on(room, tmp_path_factory.mktemp("home"), browser, 18940, name.removesuffix(".ipynb")) as desk:
            assert f"/probebook/paper/{name.removesuffix('.ipynb')}" in desk.address
            assert not list(room.glob("*.jsonl"))  # the time does not run before somebody opens it
            yield Sat(made.papers, paper, job, bench, desk, made.key)
        browser.close()


def picture(page: Any, name: str) -> None:
    """Keep a picture of the page where one is asked for."""
    if PICTURES:
        page.screenshot(path=str(Path(PICTURES) / f"{name}.png"), full_page=True)


def test_a_paper_with_a_bench_is_sat_by_clicks(sat: Sat, tmp_path: Path) -> None:
    """The job is done on the drawing, left half way and come back to; handed in, it earns all marks of the bench."""
    page = sat.open()
    kept = Kept(sat)
    hands = Hands(page, kept, lambda target: target.click())
    expect(page.locator(".pb-sheet-time")).to_be_visible()
    page.locator(".pb-bench").scroll_into_view_if_needed()
    expect(page.locator(".pb-bench .cover").first).to_be_attached(timeout=PATIENCE)
    picture(page, "paper-begun")
    acts = list(sat.job.question.fields[0].answer)
    half = len(acts) // 2
    for act in acts[:half]:
        hands.do(act)
    page.context.close()

    page = sat.open()
    page.locator(".pb-bench").scroll_into_view_if_needed()
    expect(page.locator(".pb-bench .cover").first).to_be_attached(timeout=PATIENCE)
    hands = Hands(page, kept, lambda target: target.click())
    for act in acts[half:]:
        hands.do(act)
    assert kept.acts == acts
    picture(page, "paper-concluded")
    if PICTURES:
        page.locator(".pb-bench").screenshot(path=str(Path(PICTURES) / "paper-bench.png"))
    told = page.locator(".pb-bench .pb-banner")
    expect(told).to_contain_text("Conclusion given")
    expect(told).to_contain_text("Until you hand in, the conclusion can be taken back")
    text = page.locator("main").inner_text()
    for step in replay(sat.bench, acts).steps:  # the table shows what the bench that marks shows
        assert str(step.shown.text) in text
    assert "par" not in text.split()
    for secret in (sat.job.question.working, sat.job.question.explanation):
        assert secret[:60] not in text

    page.get_by_role("button", name="Take the conclusion back").click()
    page.wait_for_timeout(500)
    assert kept.acts == acts[:-1]
    page.locator(".pb-give").click()  # what was ticked is ticked still
    page.wait_for_timeout(500)
    assert kept.acts == acts

    other = next(item for item in sat.paper.items if not item.question.bench)
    form = page.locator(f'[data-place="{other.id}"]')
    form.locator("input").fill(str(other.question.fields[0].answer))
    form.get_by_role("button", name="Keep").click()
    expect(form).to_contain_text("Kept.", timeout=PATIENCE)
    if AXE.exists():
        assert axe_findings(page) == []
    page.get_by_role("button", name="Hand in", exact=True).click()
    page.get_by_role("button", name="Yes, hand in").click()
    expect(page.locator(".pb-sheet-code")).to_be_visible(timeout=PATIENCE)
    picture(page, "paper-handed-in")

    handin = sat.desk.folder / f"{sat.name}.handin.json"
    assert json.loads(handin.read_text("utf-8"))["answers"][sat.job.id] == {"f1": acts}
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / handin.name).write_bytes(handin.read_bytes())
    trade = library(scenarios_dir().resolve(), "gb", "en")
    papers = assessing.open_key(sat.key, PASSPHRASE)
    (marked,) = assessing.mark_folder(tmp_path / "in", papers, tmp_path / "marks", trade).papers
    assert [item.marks for item in marked.items] == [item.question.marks for item in sat.paper.items]
    if PICTURES:
        feedback = page.context.new_page()
        feedback.goto((tmp_path / "marks" / "feedback" / f"{sat.name}.html").as_uri())
        picture(feedback, "paper-feedback")
    assert sat.desk.troubles == []
