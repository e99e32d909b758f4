"""Our pages as ``probebook open`` serves them: one server and one browser for all tests, and a learner's hands."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from lab_desk import serving, surroundings
from plain_page import Page as PlainHands

from probebook.questions.codec import Sheet, read_sheet
from probebook.questions.model import Question
from probebook.workbook.forms.view import view
from probebook.workbook.language import sheet_words

psutil = pytest.importorskip("psutil")

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "tests" / "browser_code" / "node_modules" / "axe-core" / "axe.min.js"
LIVE = "html[data-live]"
PATIENCE = 60_000
#: Walks through a page to its end, so that everything that waits to be seen was there.
WALK = """async () => {
  const scroller = document.querySelector(".jp-WindowedPanel-outer") ?? document.scrollingElement;
  for (let y = 0; y < scroller.scrollHeight; y += 600) {
    scroller.scrollTo(0, y);
    await new Promise((done) => setTimeout(done, 60));
  }
}"""
#: How many elements of ours a page holds.
OURS = """() => [...document.querySelectorAll(".pb-top, main, .pb-line .jp-OutputArea, .jp-MarkdownOutput")]
  .reduce((sum, node) => sum + node.querySelectorAll("*").length, 0)"""


def command(folder: Path, port: int, *name: str) -> list[str]:
    """The command line of ``probebook open``."""
    root = ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    start = [sys.executable, "-m", "probebook", "open", *name]
    return [*start, "--dir", str(folder), "--no-browser", "--port", str(port), *root]


@dataclass
class Desk:
    """A folder of workbooks being served, and a browser to open them in."""

    folder: Path
    server: Any
    address: str
    browser: Any
    requests: list[str] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)

    @property
    def root(self) -> str:
        """The address of the server."""
        parts = urlsplit(self.address)
        return f"{parts.scheme}://{parts.netloc}"

    @property
    def token(self) -> str:
        """The server's token."""
        return parse_qs(urlsplit(self.address).query)["token"][0]

    def sheet(self, name: str) -> Sheet:
        """The key of a workbook."""
        return read_sheet(self.folder.parent / "answer_keys" / f"{name}.json")

    def page(self, **context: Any) -> Any:
        """A new window that knows the token and notes what is amiss."""
        given = {"viewport": {"width": 1280, "height": 900}} | context
        page = self.browser.new_context(**given).new_page()
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("pageerror", lambda error: self.troubles.append(str(error)))
        page.on("console", lambda told: self.troubles.append(told.text) if told.type == "error" else None)
        return page

    def open(self, name: str, *, live: bool = True, **context: Any) -> Any:
        """A new window with the page of a workbook; with ``live`` once its forms are marked."""
        page = self.page(**context)
        page.goto(f"{self.root}/probebook/workbook/{name}?token={self.token}")
        if live:
            page.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
        return page

    def kernels(self) -> list[Any]:
        """The processes of kernels."""
        family = psutil.Process(self.server.pid).children(recursive=True)
        return [child for child in family if "ipykernel_launcher" in " ".join(child.cmdline())]

    def rest(self, page: Any) -> None:
        """Close a window and stop the kernels, as when nobody works any more."""
        sessions = page.request.get(f"{self.root}/api/sessions", params={"token": self.token}).json()
        for session in sessions:
            headers = {"Authorization": f"token {self.token}"}
            page.request.delete(f"{self.root}/api/sessions/{session['id']}", headers=headers)
        page.context.close()


@contextmanager
def desk_on(folder: Path, home: Path, browser: Any, port: int, *name: str) -> Iterator[Desk]:
    """``probebook open`` on a folder."""
    with serving(command(folder, port, *name), surroundings(home), home / "log") as (server, address):
        yield Desk(folder, server, address, browser)


class _Scoped:
    """One question of a page, as the hands of a plain page take it."""

    def __init__(self, page: Any, place: Any) -> None:
        self.page, self.place = page, place
        self.keyboard = page.keyboard
        place.evaluate("node => { node.tabIndex = -1 }")

    def locator(self, selector: str) -> Any:
        return self.place if selector == "#before" else self.place.locator(selector)


class Hands(PlainHands):
    """A learner's hands at one question of a page."""

    def __init__(self, page: Any, question: Question, sheet: Sheet) -> None:
        self.page = _Scoped(page, page.locator(f'[data-place="{question.id}"]'))
        self.question = question
        told = view(question, sheet_words(sheet))
        self.form = type("Shown", (), {"model": type("Told", (), {"view": told})})  # type: ignore[assignment]

    def verdict(self, tone: str) -> str:
        """What is said, once a verdict of that tone is there."""
        said = self.page.locator(f".pb-verdict.pb-tone-{tone}:not(.pb-aged)")
        said.wait_for(timeout=15_000)
        return str(said.inner_text())


def axe_findings(page: Any) -> list[str]:
    """What axe-core finds that is serious or critical."""
    page.context.new_cdp_session(page).send("Page.setBypassCSP", {"enabled": True})
    page.evaluate(AXE.read_text("utf-8"))
    found = page.evaluate("async () => JSON.stringify((await axe.run(document)).violations)")
    return [
        f"{item['id']}: {node['html'][:160]}"
        for item in json.loads(found)
        if item["impact"] in ("serious", "critical")
        for node in item["nodes"]
    ]
