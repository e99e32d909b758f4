"""A learner signs in to a hub with a browser and does a bench job by clicks, every reading asked of the service."""

from __future__ import annotations

import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hubs import Hub, Set

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
from bench_hands import Hands
from chromium import CHROMIUM, FLAGS
from page_desk import LIVE, PATIENCE

from probebook.assessment.sitting.chain import read_events
from probebook.bench.log import replay
from probebook.bench.simulator import BenchSpec, open_bench
from probebook.cases.library import Library
from probebook.workbook.forms.bench_view import view

playwright_api = pytest.importorskip("playwright.sync_api")
expect = playwright_api.expect

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]


class Kept:
    """The bench as a learner's hands take it: what was done is what the journal in their home keeps."""

    def __init__(self, two: Set, trade: Library) -> None:
        self._journal = Path(f"/home/{two.user(1)}/paper-{two.papers.id}/{two.name(1)}.sitting.jsonl")
        self._item = two.job(1).id
        self.bench = open_bench(BenchSpec.from_json(two.job(1).question.bench), trade)
        self.component = SimpleNamespace(view=view(self.bench))

    @property
    def acts(self) -> list[str]:
        """What was done."""
        return list(read_events(self._journal).answers().get(self._item, {}).get("f1", []))

    @property
    def state(self) -> Any:
        """How the job stands."""
        return replay(self.bench, self.acts).state


def test_a_job_is_done_by_clicks_through_the_hub(hub: Hub, two: Set, trade: Library) -> None:
    """Signed in by the form, the page comes alive; each act shows what the core shows; a conclusion is taken back."""
    troubles: list[str] = []
    hosts: set[str] = set()
    with playwright_api.sync_playwright() as player:
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        page = browser.new_page()
        page.on("request", lambda request: hosts.add(request.url.split("/")[2]))
        page.goto(hub.address)
        page.locator("input[name=username]").fill(two.user(1))
        page.locator("input[name=password]").fill(hub.passwords[two.user(1)])
        page.on("console", lambda told: troubles.append(told.text) if told.type == "error" else None)
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.locator("#login_submit, input[type=submit]").first.click()
        page.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
        assert page.url.split("?")[0].endswith(f"/user/{two.user(1)}/probebook/paper/{two.name(1)}")
        page.locator(".pb-bench").scroll_into_view_if_needed()
        expect(page.locator(".pb-bench .cover").first).to_be_attached(timeout=PATIENCE)
        kept, acts = Kept(two, trade), two.acts(1)
        hands = Hands(page, kept, lambda target: target.click())
        for act in acts:
            hands.do(act)
        text = page.locator("main").inner_text()
        for step in replay(kept.bench, acts).steps:
            assert str(step.shown.text) in text
        page.get_by_role("button", name="Take the conclusion back").click()
        page.wait_for_timeout(1000)
        assert kept.acts == acts[:-1]
        page.locator(".pb-give").click()
        page.wait_for_timeout(1000)
        assert kept.acts == acts
        browser.close()
    assert troubles == []
    assert hosts == {hub.address.split("/")[2]}
