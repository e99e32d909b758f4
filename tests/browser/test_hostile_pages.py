"""Pages about a class opened in a real browser, every text a person can bring along being an attack: nothing runs.

Each page is opened twice: as it is, and with its policy switched off, so that the escaping is seen to hold alone.
"""

from __future__ import annotations

import csv
import io
import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from chromium import CHROMIUM, FLAGS
from playwright.sync_api import Browser, Page, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "assessment"))

from sitters import right, sit

from probebook.api import assessing, load_library
from probebook.api.moderating import moderate_set
from probebook.api.reporting import report_class
from probebook.assessment.model import Learner
from probebook.questions.model import FieldKind

pytestmark = [pytest.mark.browser, pytest.mark.skipif(not CHROMIUM.exists(), reason="no Chromium")]

ROOT = Path(__file__).resolve().parents[2]
PASSPHRASE = "a passphrase for tests"
#: Each sets a mark on the window, or asks for something, should any of it be taken for code.
ATTACKS = (
    "<script>window.ran=1</script>",
    "<img src=x onerror=window.ran=1>",
    '"><svg onload=window.ran=1>',
    "'><details open ontoggle=window.ran=1>",
    "</style></title><script>window.ran=1</script>",
    "[x](javascript:window.ran=1) ![y](https://elsewhere.invalid/z)",
    "{{ 7 * 7 }}<iframe srcdoc='<script>parent.ran=1</script>'></iframe>",
    "=cmd|' /C calc'!A1<b onmouseover=window.ran=1 style=position:fixed;inset:0>",
)
#: What presses everything that can be pressed, and moves over all of it.
STIR = """() => { for (const each of document.querySelectorAll('*')) {
  for (const name of ['mouseover', 'focus', 'toggle', 'click']) each.dispatchEvent(new Event(name, {bubbles: true}));
} return window.ran ?? 0; }"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A Chromium without a window."""
    with sync_playwright() as playwright:
        yield playwright.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Feedback, report with its history, and moderation pack of a class that attacks wherever a person can write."""
    folder, library = tmp_path_factory.mktemp("hostile"), load_library(ROOT / "scenarios")
    learners = [Learner(f"l{number}", text) for number, text in enumerate(ATTACKS[:3], start=1)]
    made = assessing.set_class("element-testing", learners, folder / "set", PASSPHRASE, library, secret="3d" * 32)
    (folder / "in").mkdir()
    for number, paper in enumerate(made.papers.papers[:2]):
        answers = right(paper)
        for at, item in enumerate(paper.items):
            for field in item.question.fields:
                if field.kind is FieldKind.QUANTITY:
                    answers[item.id] = {**answers[item.id], field.key: ATTACKS[(at + number) % len(ATTACKS)]}
        opened = sit(folder / "set" / "papers", made.papers.blueprint.paper_name(paper.learner), paper, answers)
        opened.handin.rename(folder / "in" / opened.handin.name)
    for text in ATTACKS:
        (folder / "in" / f"{text.replace('/', '')}.handin.json").write_text(json.dumps({"paper": text}), "utf-8")
    lines = [["l1", "q01", "1", ATTACKS[3], ATTACKS[4]], ["l2", "q02", "0", ATTACKS[1], ATTACKS[5]]]
    (folder / "overrides.csv").write_text(_table(["paper", "item", "marks", "by", "why"], lines), "utf-8")
    item = made.papers.papers[2].items[0]
    heads = ["learner", "item", "field", "answer", "marks", "by"]
    lines = [["l3", item.id, "f1", "", "1", ATTACKS[6][:80]], *(["l3", text, "f1", "1", "", ""] for text in ATTACKS)]
    lines += [[text, "q01", "f1", "1", "", ""] for text in ATTACKS]
    sheet = folder / "<img src=x onerror=window.ran=1>.csv"
    sheet.write_text(_table(heads, lines), "utf-8")
    assessing.mark_folder(
        folder / "in", made.papers, folder / "out", library, sheets=[sheet], overrides=folder / "overrides.csv"
    )
    report_class(folder / "out", library, folder / "history.db")
    signed = [["all", "change", ATTACKS[1], "2026-06-12", ATTACKS[7]], ["all", "agreed", ATTACKS[0], "2026-06-13", ""]]
    (folder / "signed.csv").write_text(_table(["item", "verdict", "by", "on", "note"], signed), "utf-8")
    second = _table(["paper", "item", "marks", "by", "why"], [["l1", "q01", "0", ATTACKS[2], ATTACKS[4]]])
    (folder / "second.csv").write_text(second, "utf-8")
    moderate_set(
        made.papers, folder / "out" / "moderation", library,
        marks=folder / "out", second=folder / "second.csv", signed=folder / "signed.csv",
    )  # fmt: skip
    return folder / "out"


def _table(heads: list[str], lines: list[list[str]]) -> str:
    return "\n".join(",".join('"' + cell.replace('"', '""') + '"' for cell in line) for line in [heads, *lines]) + "\n"


def _open(browser: Browser, path: Path, *, bypass: bool) -> tuple[Page, list[str]]:
    """A page, opened, and the addresses it asks for, its own and those of data in it among them: a list that grows."""
    page = browser.new_context(bypass_csp=bypass).new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", lambda dialog: dialog.dismiss())
    page.goto(path.as_uri())
    return page, asked


@pytest.mark.parametrize("text", ATTACKS[:5])
def test_the_marker_shows_what_runs(browser: Browser, tmp_path: Path, text: str) -> None:
    """Each of these attacks, put into a page as it is, sets the mark: the checks below would see it."""
    path = tmp_path / "page.html"
    path.write_text(
        f"<!DOCTYPE html><html><head><title>{text}</title></head><body><p title='{text}'>{text}</p>", "utf-8"
    )
    page, _ = _open(browser, path, bypass=True)
    page.wait_for_timeout(200)
    assert page.evaluate(STIR) == 1
    page.context.close()


@pytest.mark.parametrize("bypass", [False, True])
def test_nothing_on_any_page_of_a_class_runs(browser: Browser, pages: Path, bypass: bool) -> None:
    """Three feedback pages, report and moderation: no mark, no request, no element that an attack brought."""
    found = sorted(pages.rglob("*.html"))
    assert len(found) == 5
    for path in found:
        page, asked = _open(browser, path, bypass=bypass)
        page.wait_for_timeout(200)
        assert page.evaluate(STIR) == 0, path.name
        page.wait_for_timeout(200)
        assert [url for url in asked if not url.startswith("data:image/svg+xml;base64,")] == [path.as_uri()], path.name
        assert page.locator("script, iframe, object, embed, form, [onerror], [onload], [ontoggle]").count() == 0
        assert page.locator("a[href]").count() == 0
        page.context.close()


def test_every_attack_stands_on_a_page_as_text(browser: Browser, pages: Path) -> None:
    """The attacks did reach the pages: report, feedback and moderation show them, as they were typed."""
    shown = {}
    for path in sorted(pages.rglob("*.html")):
        page, _ = _open(browser, path, bypass=False)
        shown[path.name] = page.inner_text("body")
        page.context.close()
    for text in ATTACKS[:3]:
        assert text in shown["report.html"]
    assert all(ATTACKS[at] in shown["element-testing-l1.html"] for at in (0, 3, 4))
    assert all(ATTACKS[at] in shown["moderation.html"] for at in (0, 1, 2, 7))
    whole = " ".join(shown.values())
    assert all(text in whole for text in ATTACKS)
    tables = [path.read_text("utf-8-sig") for path in sorted(pages.rglob("*.csv"))]
    cells = [cell for table in tables for line in csv.reader(io.StringIO(table, newline="")) for cell in line]
    assert cells
    assert not [cell for cell in cells if cell.startswith(("=", "@", "+"))]
