"""The static folder in Chromium: from a file's address and from a plain web server, by mouse, finger and keys.

Nothing is asked of a network, the console stays empty, and axe finds nothing to complain of.
"""

from __future__ import annotations

import functools
import http.server
import json
import os
import statistics
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlparse

import pytest
from bench_hands import Hands, by_keys
from chromium import CHROMIUM, FLAGS

from probebook.cases.library import Library
from probebook.questions.model import FieldKind, Question
from probebook.site import folder
from probebook.site.benches import PracticeBench, practice_benches
from probebook.workbook.forms.view import from_response

playwright_api = pytest.importorskip("playwright.sync_api")

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "tests" / "browser_code" / "node_modules" / "axe-core" / "axe.min.js"
TRADE = Library(ROOT / "scenarios")
SEED = "browser"
OWNERS = ("14-what-is-safe-to-look-at", "15-what-readings-mean-and-when-to-stop")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]


@pytest.fixture(scope="module")
def made(tmp_path_factory: Any) -> tuple[Path, PracticeBench]:
    """A folder with one bench, and that bench."""
    place = tmp_path_factory.mktemp("static") / "site"
    folder.put(folder.site_files(TRADE, seed=SEED, benches=1), place)
    return place, next(practice_benches(TRADE, SEED, 1))


@pytest.fixture(scope="module")
def player() -> Iterator[Any]:
    """A running Playwright."""
    with playwright_api.sync_playwright() as found:
        yield found


class Visit:
    """A page of the folder in a browser of its own, with a record of what it asked for and of what its console said."""

    def __init__(self, player: Any, base: str, **context: Any) -> None:
        self.base = base
        self.browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        self.context = self.browser.new_context(**context)
        self.page = self.context.new_page()
        self.page.set_default_timeout(20_000)
        self.asked: list[str] = []
        self.said: list[str] = []
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("console", lambda told: self.said.append(told.text) if told.type in ("error", "warning") else None)

    def open(self, name: str) -> Any:
        """Open a page, and wait until it is alive."""
        self.page.goto(f"{self.base}{name}.html")
        self.page.wait_for_function("() => document.documentElement.dataset.live === 'true'")
        return self.page

    def check_quiet(self) -> None:
        """It asked for nothing but its own pages, and the console said nothing."""
        own = urlparse(self.base)
        for url in self.asked:
            found = urlparse(url)
            assert found.scheme in ("data", "blob") or (found.scheme, found.netloc) == (own.scheme, own.netloc), url
        assert self.said == []


@pytest.fixture(params=["file", "server"])
def visit(request: Any, player: Any, made: tuple[Path, PracticeBench]) -> Iterator[Visit]:
    """A visitor by way of a file's address, and one by way of ``python -m http.server``."""
    if request.param == "file":
        found = Visit(player, f"{made[0].as_uri()}/")
        yield found
        found.check_quiet()
        found.browser.close()
        return
    handler = functools.partial(Quiet, directory=str(made[0]))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        found = Visit(player, f"http://127.0.0.1:{server.server_port}/")
        yield found
        found.check_quiet()
        found.browser.close()
        server.shutdown()


class Quiet(http.server.SimpleHTTPRequestHandler):
    """Python's own web server for a folder, without its log."""

    def log_message(self, *_: object) -> None:
        """Say nothing."""


class OnPage:
    """The bench of a page as hands know it: what was done is read where the page keeps it."""

    def __init__(self, page: Any, made: PracticeBench) -> None:
        self.page, self.bench = page, made.bench
        told = page.evaluate("() => JSON.parse(document.getElementById('pb-told').textContent)")
        self.component = type("Component", (), {"view": told["bench"]["view"]})

    @property
    def acts(self) -> list[str]:
        """What has been done."""
        kept = self.page.evaluate("() => localStorage.getItem('probebook site/bench-01')")
        return list(json.loads(kept)["responses"]["job"]["job"]) if kept else []

    @property
    def state(self) -> Any:
        """How the job stands, by the core."""
        state = self.bench.start()
        for act in self.acts:
            state, _ = self.bench.act(state, act)
        return state


def shot(page: Any, name: str) -> None:
    """Keep a picture where PROBEBOOK_SHOTS names a folder, for a person to look at."""
    if place := os.environ.get("PROBEBOOK_SHOTS"):
        page.screenshot(path=str(Path(place) / f"static-{name}.png"), full_page=True)


def questions_of(name: str) -> list[Question]:
    """The questions of a workbook as it was last committed."""
    from probebook.questions.codec import read_sheet

    return list(read_sheet(ROOT / "answer_keys" / f"{name}.json").questions)


def answer(page: Any, question: Question) -> None:
    """Give the key by mouse and keyboard, and press Check."""
    place = page.locator(f'[data-place="{question.id}"]')
    for number, field in enumerate(question.fields):
        node = place.locator(".pb-field").nth(number)
        given = from_response(field, field.answer)
        if field.kind is FieldKind.QUANTITY:
            node.locator("input").click()
            page.keyboard.type(str(given))
        elif field.kind is FieldKind.CHOICE:
            node.locator(".pb-option").nth(given).click()
        else:
            texts = node.locator(".pb-step-text").all_text_contents()
            order = list(range(len(texts)))
            for target, step in enumerate(given):
                while order.index(step) > target:
                    at = order.index(step)
                    node.locator(".pb-step").nth(at).get_by_role("button").first.click()
                    order[at - 1], order[at] = order[at], order[at - 1]
            if order == list(range(len(texts))):  # nothing counts as given until a step was moved
                for _ in range(2):
                    node.locator(".pb-step").first.get_by_role("button").last.click()
    place.locator(".pb-check").click()


def test_a_question_of_each_kind_is_answered_by_hand_and_kept(visit: Visit) -> None:
    """One of each kind of field of the owners' workbooks: right, all marks, there again after reloads, in the file."""
    wanted = {FieldKind.CHOICE, FieldKind.ORDER, FieldKind.QUANTITY}
    for name in OWNERS:
        page = visit.open(name)
        done = []
        for question in questions_of(name):
            kinds = {field.kind for field in question.fields}
            if kinds & wanted:
                answer(page, question)
                place = page.locator(f'[data-place="{question.id}"]')
                assert "pb-tone-right" in (place.locator(".pb-verdict").get_attribute("class") or ""), question.id
                assert f"{question.marks:g} of {question.marks:g}" in place.locator(".pb-mark").inner_text()
                assert place.locator(".pb-working").is_visible()
                wanted -= kinds
                done.append(question)
        for _ in range(2):  # what is brought back once is there to be brought back again
            page.reload()
            page.wait_for_function("() => document.documentElement.dataset.live === 'true'")
        for question in done:
            place = page.locator(f'[data-place="{question.id}"]')
            assert "pb-tone-right" in (place.locator(".pb-verdict").get_attribute("class") or "")
            assert page.locator(f'[data-question="{question.id}"]').get_attribute("data-state") == "right"
        with page.expect_download() as started:
            page.locator('button[data-does="save"]').click()
        saved = json.loads(Path(started.value.path()).read_text("utf-8"))["pages"][name]["responses"]
        for question in done:
            assert set(saved[question.id]) == {field.key for field in question.fields}
    assert wanted == set()


def test_a_wrong_answer_is_marked_wrong_and_the_working_comes_after_two(visit: Visit) -> None:
    """The first wrong option that is no slip of life and death: told so, then another; then the working may be read."""
    name = OWNERS[0]
    page = visit.open(name)
    question = next(q for q in questions_of(name) if all(field.kind is FieldKind.CHOICE for field in q.fields))
    place = page.locator(f'[data-place="{question.id}"]')
    for turn in (1, 2):
        for number, field in enumerate(question.fields):
            wrong = [n for n, option in enumerate(field.options) if option.id != field.answer]
            place.locator(".pb-field").nth(number).locator(".pb-option").nth(wrong[turn % len(wrong)]).click()
        place.locator(".pb-check").click()
        page.wait_for_timeout(50)
        assert "pb-tone-right" not in (place.locator(".pb-verdict").get_attribute("class") or "")
        assert place.locator(".pb-toggle").is_visible() is (turn == 2)


def check_job(page: Any, acts: OnPage, key: list[str]) -> None:
    """The job is concluded, right, with all marks that a page can give."""
    assert acts.acts == key
    assert "pb-tone-right" in (page.locator(".pb-verdict").get_attribute("class") or "")
    assert "6 of 6 marks" in page.locator(".pb-mark").inner_text()
    assert "par is" in page.locator(".pb-banner").last.inner_text()


def test_a_bench_is_worked_whole_by_mouse(visit: Visit, made: tuple[Path, PracticeBench]) -> None:
    """Every act of the model investigation by clicks: concluded right, and there again after a reload."""
    page = visit.open("bench-01")
    on_page, key = OnPage(page, made[1]), list(made[1].question.fields[0].answer)
    hands = Hands(page, on_page, lambda target: target.click())
    for act in key:
        hands.do(act)
    check_job(page, on_page, key)
    shot(page, "bench-by-mouse")
    page.reload()
    page.wait_for_function("() => document.documentElement.dataset.live === 'true'")
    check_job(page, on_page, key)


def test_a_bench_is_worked_whole_by_keys(visit: Visit, made: tuple[Path, PracticeBench]) -> None:
    """The same with Tab, arrows, Enter and Space alone."""
    page = visit.open("bench-01")
    on_page, key = OnPage(page, made[1]), list(made[1].question.fields[0].answer)
    hands = Hands(page, on_page, lambda target: by_keys(page, target))
    for act in key:
        hands.do(act)
    check_job(page, on_page, key)


def test_a_bench_is_worked_whole_by_touch(player: Any, made: tuple[Path, PracticeBench]) -> None:
    """The same on a telephone 375 pixels wide, with a finger, from a file; nothing is wider than the window."""
    visit = Visit(
        player, f"{made[0].as_uri()}/", viewport={"width": 375, "height": 800}, has_touch=True, is_mobile=True
    )
    page = visit.open("bench-01")
    on_page, key = OnPage(page, made[1]), list(made[1].question.fields[0].answer)

    def tap(target: Any) -> None:
        target.evaluate("node => node.scrollIntoView({ block: 'center' })")
        target.tap()

    hands = Hands(page, on_page, tap)
    for act in key:
        hands.do(act)
    check_job(page, on_page, key)
    assert page.evaluate("() => document.documentElement.scrollWidth <= 375")
    shot(page, "bench-by-touch")
    visit.check_quiet()
    visit.browser.close()


def test_what_could_kill_ends_the_job_and_says_why(visit: Visit) -> None:
    """A cover taken off with the supply on: the banner says stop, the mark is nought, the acts are kept."""
    page = visit.open("bench-01")
    page.locator(".cover .panel").first.click()
    banner = page.locator(".pb-bench .pb-banner")
    banner.wait_for()
    assert "STOP" in banner.inner_text()
    assert "The supply is on." in banner.inner_text()
    assert "pb-tone-critical" in (page.locator(".pb-verdict").get_attribute("class") or "")
    assert "0 of 6 marks" in page.locator(".pb-mark").inner_text()


def test_a_reading_stands_at_once(player: Any, made: tuple[Path, PracticeBench]) -> None:
    """A click on the second terminal puts the figure on the display before the click is over; the time is printed."""
    visit = Visit(player, f"{made[0].as_uri()}/")
    page = visit.open("bench-01")
    on_page, key = OnPage(page, made[1]), list(made[1].question.fields[0].answer)
    hands = Hands(page, on_page, lambda target: target.click())
    for act in [act for act in key if act.split(" ")[0] not in ("probe", "conclude", "look", "refit")]:
        hands.do(act)
    took = page.evaluate(
        """() => {
          const spots = [...document.querySelectorAll('.terminal:not(.pb-covered) .touch')];
          const display = document.querySelector('.pb-figure-shown');
          const press = (node) => node.dispatchEvent(new MouseEvent('click', { bubbles: true }));
          const times = [];
          for (let turn = 0; turn < 30; turn += 1) {
            press(spots[turn % spots.length]);
            const start = performance.now();
            press(spots[(turn + 1) % spots.length]);
            times.push([performance.now() - start, display.textContent]);
          }
          return times;
        }"""
    )
    assert all(text not in ("", "…", "– – –") for _, text in took)
    print("click to reading, ms:", statistics.median(time for time, _ in took))
    visit.browser.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["index", OWNERS[0], "bench-01", "reference", "glossary"])
def test_axe_finds_nothing_on_a_page(player: Any, made: tuple[Path, PracticeBench], name: str, scheme: str) -> None:
    """No violation of WCAG 2.2 AA that axe-core knows, in light and in dark, on a telephone's width."""
    if not AXE.is_file():
        pytest.skip("needs axe-core: npm install in tests/browser_code")
    visit = Visit(
        player, f"{made[0].as_uri()}/", viewport={"width": 375, "height": 800}, color_scheme=scheme, bypass_csp=True
    )
    page = visit.open(name)
    page.add_script_tag(path=str(AXE))
    found = page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    told = [(each["id"], [node["target"] for node in each["nodes"]][:3]) for each in found["violations"]]
    assert told == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= 375")
    visit.browser.close()


def test_paper_holds_the_text_and_no_buttons(player: Any, made: tuple[Path, PracticeBench]) -> None:
    """What is printed: questions stay, the bar and the buttons go."""
    visit = Visit(player, f"{made[0].as_uri()}/")
    page = visit.open(OWNERS[0])
    page.emulate_media(media="print")
    assert page.locator("h1").first.is_visible()
    assert page.locator(".pb-option").first.is_visible()
    assert not page.locator(".pb-check").first.is_visible()
    assert not page.locator(".pb-top").first.is_visible()
    visit.browser.close()
