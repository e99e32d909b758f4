"""Hostile notebooks, answer keys, journals and scenario files opened with ``probebook open`` in a real browser.

One server and one browser for all of them. Each file's attacks name their row: a script that runs adds the name to
``top.ran``, an address that is asked is noted by a trap, code that runs in a kernel leaves a file of that name. The
policy of our pages is switched off in the browser, so that the escaping is seen to hold alone; that it is sent is
checked by itself.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from chromium import CHROMIUM, FLAGS
from hostile_kept import JOURNALS, KEYS, MARKUP
from hostile_notebooks import NOTEBOOKS, TEXTS, write
from hostile_rows import Row, aimed, cell, notebook, sheet
from hostile_trade import REFUSED, TRADE, build_book, refusal_of
from page_desk import Desk, desk_on

from probebook.page.frame import POLICY

playwright_api = pytest.importorskip("playwright.sync_api")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]

#: Everything that is opened in a page of ours by its own name.
OPENED = (*NOTEBOOKS, *KEYS, *JOURNALS)
BOOKS = tuple(dict.fromkeys(row.book for row in TRADE))
#: Where a page asks for the kernel of its workbook.
KERNEL = "**/probebook/workbook/*/kernel"
#: What presses everything that can be pressed in a page, and moves over all of it.
STIR = """root => { for (const each of (root ?? document).querySelectorAll('*')) {
  for (const name of ['mouseover', 'focus', 'toggle', 'click', 'begin'])
    each.dispatchEvent(new Event(name, { bubbles: true }));
} }"""
#: Elements and attributes that no text of a file may bring.
BROUGHT = (
    "iframe, object, embed, base, meta[http-equiv], style, audio, video, marquee, template, math, map, "
    "form:not(.pb-form), foreignObject, image, picture, [srcdoc], [formaction], [ping], [autofocus], [contenteditable]"
)
FOUND = f"""root => [...(root ?? document).querySelectorAll('*')].filter((node) =>
  node.matches({BROUGHT!r}) || [...node.attributes].some(({{ name, value }}) =>
    name.startsWith('on') || /^\\s*(javascript|vbscript):/i.test(value))
  || (node.matches('script') && !node.src && node.type !== 'application/json')
).map((node) => node.outerHTML.slice(0, 150))"""


#: What JupyterLab may not leave in text: what runs, and what sends a form somewhere. It takes the rest of a form away.
LEADS = """root => [...root.querySelectorAll('*')].filter((node) =>
  node.matches('script, iframe, object, embed, base, meta, link, [action], [formaction], [ping], [srcdoc]')
  || [...node.attributes].some(({ name, value }) => name.startsWith('on')
    || (!node.matches('img') && /^\\s*(javascript|vbscript):/i.test(value)))
).map((node) => node.outerHTML.slice(0, 150))"""


class Trap(ThreadingHTTPServer):
    """A server that notes what it is asked for."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Noting)
        self.asked: list[str] = []
        self.address = f"http://127.0.0.1:{self.server_address[1]}"


class _Noting(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        self.server.asked.append(self.path)  # type: ignore[attr-defined]
        self.send_response(204)
        self.end_headers()

    do_POST = do_GET  # noqa: N815 - as the standard library names it

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - as the standard library names it
        """Say nothing."""


@dataclass
class Ground:
    """The folder with all hostile files, served; the trap; a window of the browser."""

    desk: Desk
    trap: Trap
    window: Any
    failed: list[str] = field(default_factory=list)

    def taken(self) -> list[str]:
        """What was noted so far; from here on nothing is."""
        found, self.failed = self.failed, []
        return found

    def clean(self, row: str) -> None:
        """Note whatever ran or was asked, and by whom."""
        self.failed += [f"{row}: {name} ran" for name in self.window.evaluate("top.ran")]
        self.failed += [f"{row}: {path} was asked" for path in self.trap.asked]
        self.trap.asked.clear()
        self.window.evaluate("top.ran.length = 0")


@pytest.fixture(scope="module")
def trap() -> Iterator[Trap]:
    """The trap, listening."""
    server = Trap()
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server
    server.shutdown()
    server.server_close()


@pytest.fixture(scope="module")
def ground(tmp_path_factory: pytest.TempPathFactory, trap: Trap) -> Iterator[Ground]:
    """``probebook open`` on the folder of all rows; a window that knows the token and starts no kernel of a page."""
    folder, home = tmp_path_factory.mktemp("hostile") / "workbooks", tmp_path_factory.mktemp("home")
    folder.mkdir()
    (folder.parent / "answer_keys").mkdir()
    for row in OPENED:
        (folder.parent / "answer_keys" / f"{row.name}.json").write_text(json.dumps(sheet(row.name)), "utf-8")
        (folder / f"{row.name}.ipynb").write_text(json.dumps(notebook(row.name)), "utf-8")
        row.lay(folder, row, trap.address)
    for book in BOOKS:
        build_book(folder, book, trap.address)
    write(folder, Row("control"), trap.address, _control())
    (folder / "every-text.ipynb").write_text(json.dumps(_every_text(trap.address)), "utf-8")
    (folder.parent / "answer_keys" / "every-text.json").write_text(json.dumps(sheet("every-text")), "utf-8")
    (home / "config").mkdir()
    (home / "config" / "jupyter_lab_config.json").write_text('{"LabApp": {"expose_app_in_browser": true}}', "utf-8")
    # Every cell is drawn at once, not only those that are in view.
    settings = home / "settings" / "@jupyterlab" / "notebook-extension"
    settings.mkdir(parents=True)
    (settings / "tracker.jupyterlab-settings").write_text('{"windowingMode": "none"}', "utf-8")
    with playwright_api.sync_playwright() as player:
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        with desk_on(folder, home, browser, 18960) as desk:
            window = desk.page(bypass_csp=True)
            window.add_init_script("if (top === window) window.ran = [];")
            window.on("dialog", lambda dialog: dialog.dismiss())
            window.context.route(KERNEL, lambda route: route.abort())
            window.goto(f"{desk.root}/probebook/?token={desk.token}")
            yield Ground(desk, trap, window)
        browser.close()


def _every_text(trap: str) -> dict[str, Any]:
    """A notebook of ours with every hostile text in it, each with its own marker."""
    texts = [cell("markdown", aimed(text, name, trap), f"text-{name}") for name, (text, _) in TEXTS.items()]
    return notebook("every-text", *texts)


def _control() -> dict[str, Any]:
    """Somebody's own notebook, whose one cell does all that no other file may do."""
    data = {"application/javascript": "MARK; fetch('TRAP')"}
    source = "open('TRACE', 'w').close()\nfrom IPython.display import display\ndisplay(DATA, raw=True)"
    made = notebook(
        "control", cell("code", source.replace("DATA", json.dumps(data)), "own"), questions=(), probebook={}
    )
    return made | {"cells": [each for each in made["cells"] if each["id"] in ("title-000", "own")]}


# ---------------------------------------------------------------- what the marker is worth


def test_there_are_enough_files_of_each_sort() -> None:
    """At least 120 hostile files, of four sorts, no two of one name."""
    names = [*(row.name for row in (*OPENED, *TRADE)), *REFUSED]
    assert len(set(names)) == len(names) >= 120
    assert all(len(rows) >= 20 for rows in (NOTEBOOKS, KEYS, JOURNALS, (*TRADE, *REFUSED)))


def test_the_marker_shows_what_runs(ground: Ground, trap: Trap) -> None:
    """Attacks put into a page as they are set the mark and spring the trap: the checks below would see it."""
    page = ground.window
    seen: set[str] = set()
    for name, (text, _) in TEXTS.items():
        made = text.replace("MARK", f"top.ran.push(/{name}/.source)").replace("TRAP", f"{trap.address}/{name}")
        page.set_content(f"<!DOCTYPE html><body>{made}</body>")
        page.evaluate("() => { window.ran ??= []; }")
        page.wait_for_timeout(40)
        page.evaluate(STIR)
        if page.evaluate(FOUND) or "link" in name:
            seen.add(name)
        seen |= {*page.evaluate("top.ran"), *(path.split("/")[1] for path in trap.asked)}
        page.evaluate("top.ran.length = 0")
        trap.asked.clear()
    page.goto(f"{ground.desk.root}/probebook/")
    assert len(seen) > 35, sorted(seen)


# ---------------------------------------------------------------- our page


def look(ground: Ground, row: str, address: str) -> tuple[int, str]:
    """Open an address, stir what is there, note what ran; its status and all its text."""
    page = ground.window
    answer = page.goto(f"{ground.desk.root}{address}")
    if answer.status == 200 and "/workbook/" in address:
        page.wait_for_function("() => performance.getEntriesByName('probebook forms').length > 0", timeout=20_000)
    page.evaluate(STIR)
    page.wait_for_timeout(30)
    assert answer.headers["content-security-policy"] == POLICY
    assert page.evaluate(FOUND) == []
    ground.clean(row)
    boxes = page.eval_on_selector_all("input[type=text]", "nodes => nodes.map((node) => node.value)")
    return answer.status, "\n".join([page.inner_text("body"), page.title(), *boxes])


@pytest.mark.parametrize("row", OPENED, ids=lambda row: row.name)
def test_a_file_does_what_it_must_on_our_page(ground: Ground, row: Row) -> None:
    """It is shown, its attack as letters, or refused in a sentence; nothing runs and nothing is asked for."""
    status, shown = look(ground, row.name, f"/probebook/workbook/{row.name}")
    assert status in {"shown": (200,), "refused": (404,), "either": (200, 404)}[row.page], shown
    assert row.says in shown
    assert "Traceback" not in shown
    assert ground.taken() == []
    assert not (ground.desk.folder / f"trace-{row.name}").exists()


def test_an_answer_that_attacks_stands_in_its_box(ground: Ground) -> None:
    """What a journal says was typed is brought back to the letter."""
    shown = look(ground, "journal-typed", "/probebook/workbook/journal-typed")[1]
    assert MARKUP.replace("MARK", "top.ran.push(/journal-typed/.source)").partition("TRAP")[0] in shown


@pytest.mark.parametrize("book", BOOKS)
def test_a_workbook_of_hostile_scenarios_shows_letters(ground: Ground, book: str) -> None:
    """Names, titles and sentences of scenario files that a workbook shows stand on its page as they were written."""
    status, shown = look(ground, book, f"/probebook/workbook/{book}")
    assert status == 200
    assert ground.taken() == []
    key = (ground.desk.folder.parent / "answer_keys" / f"{book}.json").read_text("utf-8")
    for row in TRADE:
        attack = f"onerror=top.ran.push(/{row.name}/.source)>"
        if row.book == book and row.says == "notebook" and row.name != "trade-term":
            assert attack in shown, row.name
        if row.book == book and row.says == "key":
            assert attack in key, row.name


@pytest.mark.parametrize("name", REFUSED)
def test_a_scenario_file_that_cannot_be_meant_is_refused(tmp_path: Path, name: str) -> None:
    """One sentence that says where; no workbook comes of it."""
    (tmp_path / "workbooks").mkdir()
    said = refusal_of(tmp_path / "workbooks", name)
    assert REFUSED[name][2] in said
    assert said.endswith(".")
    assert len(said.splitlines()) == 1


def test_the_start_page_stands_among_all_of_them(ground: Ground) -> None:
    """It lists what can be shown and what is left out, with why; and the record of practice can be made."""
    status, shown = look(ground, "start", "/probebook/")
    assert status == 200
    assert ground.taken() == []
    for row in OPENED:
        if row.page != "either" and not (row.name.startswith("file-") and "no workbook" in row.says):
            assert row.name in shown, row.name
    page = ground.window
    for kind in ("html", "json"):
        answer = page.request.get(f"{ground.desk.root}/probebook/record.{kind}")
        assert answer.status == 200
    assert json.loads(answer.text())["workbooks"]
    page.set_content(page.request.get(f"{ground.desk.root}/probebook/record.html").text())
    page.evaluate(STIR)
    page.wait_for_timeout(100)
    brought = [found for found in page.evaluate(FOUND) if not found.startswith(("<meta http-equiv=", "<style>"))]
    assert brought == []  # its own policy and its own looks stand in it
    ground.clean("record")
    assert ground.taken() == []


def test_a_kernel_shows_letters_too(ground: Ground) -> None:
    """With a kernel: a key whose every text attacks is marked, and what it says of an answer are letters."""
    page = ground.window
    page.goto("about:blank")  # the page before asks again and again for its own
    page.context.unroute(KERNEL)
    page.goto(f"{ground.desk.root}/probebook/workbook/key-everything")
    page.wait_for_selector("html[data-live]", state="attached", timeout=60_000)
    for form in page.locator(".pb-form").all():
        for box in form.locator("input[type=radio]").all()[:1]:
            box.check(force=True)
        for box in form.locator("input[type=text]").all():
            box.fill("<img src=x: onerror=top.ran.push(1)> 1 W")
        form.get_by_role("button", name="Check").click()
    page.wait_for_selector(".pb-verdict", timeout=20_000)
    page.wait_for_timeout(1500)
    page.evaluate(STIR)
    assert page.evaluate(FOUND) == []
    ground.clean("key-everything with a kernel")
    assert ground.taken() == []
    sessions = page.request.get(f"{ground.desk.root}/api/sessions", params={"token": ground.desk.token}).json()
    assert "key-everything.answers.jsonl" in [each["path"] for each in sessions]
    page.context.route(KERNEL, lambda route: route.abort())


# ---------------------------------------------------------------- JupyterLab


@dataclass
class Lab:
    """JupyterLab in one window, in which notebooks are opened one after the other on one kernel."""

    ground: Ground
    page: Any
    kernel: dict[str, Any]

    def open(self, name: str) -> Any:
        """Open a notebook; the element of its panel."""
        return self.page.evaluate_handle(
            """async ([path, kernel]) => {
              const panel = await window.jupyterapp.commands.execute('docmanager:open', { path, kernel });
              window.panel = panel;
              await panel.context.ready; await panel.revealed; await panel.sessionContext.ready;
              return panel.node; }""",
            [f"{name}.ipynb", self.kernel],
        ).as_element()

    def stir(self, panel: Any) -> list[str]:
        """Press and move over all that the notebook brought, but no button of JupyterLab's; what leads somewhere."""
        brought = panel.query_selector_all(".jp-MarkdownOutput, .jp-OutputArea-output")
        for each in brought:
            self.page.evaluate(STIR, each)
        self.page.wait_for_timeout(100)
        return [found for each in brought for found in self.page.evaluate(LEADS, each)]

    def close(self) -> None:
        """Close it, whatever was changed in it."""
        self.page.evaluate("() => { window.panel.context.model.dirty = false; window.panel.dispose(); }")


@pytest.fixture(scope="module")
def lab(ground: Ground) -> Iterator[Lab]:
    """A window with JupyterLab, and a kernel."""
    desk = ground.desk
    page = desk.page()
    page.add_init_script("if (top === window) window.ran = [];")
    head = {"Authorization": f"token {desk.token}"}
    kernel = page.request.post(f"{desk.root}/api/kernels", headers=head, data={"name": "python3", "path": ""}).json()
    page.goto(f"{desk.root}/lab?token={desk.token}")
    page.wait_for_function("() => window.jupyterapp !== undefined", timeout=60_000)
    page.evaluate("() => window.jupyterapp.restored")
    ground.window, kept = page, ground.window
    yield Lab(ground, page, {"id": kernel["id"], "name": "python3"})
    ground.window = kept
    page.context.close()


def test_the_marker_works_in_lab(lab: Lab) -> None:
    """A cell that its reader runs does set the mark, spring the trap and leave the file."""
    lab.open("control")
    trace = lab.ground.desk.folder / "trace-control"
    lab.page.wait_for_timeout(300)
    lab.ground.clean("control")
    assert lab.ground.taken() == []
    assert not trace.exists()
    lab.page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
    lab.page.wait_for_function("() => window.ran.includes('control')", timeout=30_000)
    assert trace.exists()
    lab.page.evaluate("() => { window.ran.length = 0; }")
    lab.ground.trap.asked.clear()
    lab.close()


def test_hostile_text_is_nothing_but_text_in_lab(lab: Lab) -> None:
    """Every text in a cell of one notebook: nothing runs, nothing is asked for, nothing is left that leads anywhere."""
    panel = lab.open("every-text")
    panel.wait_for_selector(".pb-form", timeout=60_000)
    lab.page.wait_for_timeout(500)
    assert len(panel.query_selector_all(".jp-MarkdownOutput")) > len(TEXTS)
    assert lab.stir(panel) == []
    lab.page.wait_for_timeout(400)
    lab.ground.clean("in JupyterLab")
    failed = lab.ground.taken()
    lab.close()
    assert failed == []


@pytest.mark.parametrize("row", [row for row in OPENED if row.lab], ids=lambda row: row.name)
def test_a_notebook_does_what_it_must_in_lab(lab: Lab, row: Row) -> None:
    """It is run, of our lines alone, or told to be altered; nothing else runs, nothing is asked for."""
    panel = lab.open(row.name)
    try:
        panel.wait_for_selector(".pb-note-above" if row.lab == "altered" else ".pb-form", timeout=30_000)
        if row.lab == "altered":
            assert "not started by itself" in panel.query_selector(".pb-note-above").inner_text()
            assert panel.query_selector(".pb-form") is None
        assert lab.stir(panel) == []
        lab.ground.clean(row.name)
        assert lab.ground.taken() == []
        assert not (lab.ground.desk.folder / f"trace-{row.name}").exists()
    finally:
        lab.close()
