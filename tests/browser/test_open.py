from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import tomllib
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from chromium import CHROMIUM, FLAGS

import probebook
from probebook.cases.library import library
from probebook.cli.open import LAB, find_workbook, server_options
from probebook.errors import UsageError
from probebook.questions.codec import read_sheet
from probebook.workbook.build.files import build_all
from probebook.workbook.build.plan import load_plan
from probebook.workbook.journal import read_journal

playwright_api = pytest.importorskip("playwright.sync_api")
psutil = pytest.importorskip("psutil")

ROOT = Path(__file__).resolve().parents[2]
EXTENSION = LAB / "labextensions" / "probebook-lab"
AXE = ROOT / "tests" / "browser_code" / "node_modules" / "axe-core" / "axe.min.js"
PLAN = "three-sums"
PLAN_TEXT = """
id = "three-sums"
number = 7
title = "Three sums"
reader = "apprentice"
summary = "Ohms, watts and amperes of the conventional oven in the training kitchen of Alderbrook College."
seed = "alder"

[[block]]
text = '''
## What the plate tells you

| you want | you have | work out |
| --- | --- | --- |
| ohms | volts and watts | R = V² ÷ P |
| amperes | volts and ohms | I = V ÷ R |
'''

[[block]]
example = "power"
options = { form = "ohms", part = "E2.heater" }

[[block]]
ask = "power"
options = { form = "ohms", part = "E1.inner" }

[[block]]
ask = "power"
options = { form = "watts", part = "E1.outer" }

[[block]]
ask = "power"
options = { form = "amps", part = "E2.heater" }
"""

browser_test = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]


def in_browser(function: Any) -> Any:
    """Mark a test that drives a browser."""
    for mark in browser_test:
        function = mark(function)
    return function


@dataclass
class Desk:
    """A folder of workbooks being served, and a browser to open them in."""

    folder: Path
    stem: str
    server: subprocess.Popen[str]
    address: str
    browser: Any
    requests: list[str] = field(default_factory=list)

    def open(self, name: str, *, waits: str = ".pb-form") -> Any:
        """A new window with the notebook ``name``; returns when ``waits`` is there to be seen."""
        page = self.browser.new_page(viewport={"width": 1280, "height": 900})
        page.on("request", lambda request: self.requests.append(request.url))
        token = urlsplit(self.address).query
        page.goto(f"http://{urlsplit(self.address).netloc}/doc/tree/{name}.ipynb?{token}")
        try:
            page.wait_for_selector(waits, timeout=30_000)
        except playwright_api.TimeoutError:
            pytest.fail(f"{name} shows no {waits}: {page.locator('body').inner_text()}")
        return page


def workbook_files(folder: Path) -> tuple[str, dict[str, str]]:
    """A short workbook as it is built now: its name, and its files by path."""
    trade = library(ROOT / "scenarios")
    (folder / f"{PLAN}.toml").write_text(PLAN_TEXT, encoding="utf-8")
    plan = load_plan(folder / f"{PLAN}.toml")
    return plan.stem, build_all([plan], trade)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A built workbook with its key, beside notebooks that must not run; the folder and the workbook's name."""
    root = tmp_path_factory.mktemp("built")
    stem, files = workbook_files(root)
    for name, text in files.items():
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    folder = root / "workbooks"
    whole = json.loads((folder / f"{stem}.ipynb").read_text("utf-8"))

    # Ours, with one more cell that leaves a trace when it runs; its source is folded away like those of our lines.
    altered = json.loads(json.dumps(whole))
    trace = {
        "id": "trace", "cell_type": "code", "execution_count": None, "outputs": [],
        "metadata": {"jupyter": {"source_hidden": True}}, "source": ["open('trace-altered', 'w').close()"],
    }  # fmt: skip
    altered["cells"].insert(4, trace)
    (folder / "altered.ipynb").write_text(json.dumps(altered), encoding="utf-8")

    # Somebody's own notebook, without our mark.
    own = json.loads(json.dumps(altered))
    del own["metadata"]["probebook"]
    own["cells"][4]["source"] = ["open('trace-own', 'w').close()"]
    (folder / "own.ipynb").write_text(json.dumps(own), encoding="utf-8")

    # A workbook whole to the letter, with scripts in what was saved beside its lines.
    (folder / "scripted.ipynb").write_text(json.dumps(with_scripts(whole)), encoding="utf-8")

    # Another, in a folder where modules lie in wait for its imports and for those of the kernel itself.
    stranger = folder / "stranger"
    stranger.mkdir()
    shutil.copy(folder / f"{stem}.ipynb", stranger)
    shutil.copy(root / "answer_keys" / f"{stem}.json", stranger)
    for module in ("probebook", "ipywidgets", "click", "importlib", "contextlib", "pathlib"):
        (stranger / f"{module}.py").write_text("open('trace-import', 'w').close()\n", encoding="utf-8")
    return folder, stem


def with_scripts(notebook: dict[str, Any]) -> dict[str, Any]:
    """The same lines, with a script in each kind of saved output; whichever runs adds its name to ``window.ran``."""

    def script(name: str) -> str:
        return f"(window.ran ??= []).push('{name}')"

    def html(name: str) -> str:
        return f'<p>{name}</p><img src="x:" onerror="{script(name)}"><script>{script(name)}</script>'

    view = "application/vnd.jupyter.widget-view+json"
    saved: list[dict[str, Any]] = [
        {"application/javascript": script("script")},
        {"text/html": html("html")},
        {"image/svg+xml": f'<svg xmlns="http://www.w3.org/2000/svg"><script>{script("svg")}</script></svg>'},
        {"text/markdown": html("markdown")},
        {view: {"version_major": 2, "version_minor": 0, "model_id": "a" * 32}},
    ]
    controls, base = "@jupyter-widgets/controls", "@jupyter-widgets/base"
    layout = {"model_module": base, "model_module_version": "2.0.0", "model_name": "LayoutModel", "state": {}}
    widget = {"value": html("widget"), "layout": f"IPY_MODEL_{'b' * 32}", "_dom_classes": []}
    models = {
        "a" * 32: layout | {"model_module": controls, "model_name": "HTMLModel", "state": widget},
        "b" * 32: layout,
    }
    notebook = json.loads(json.dumps(notebook))
    state = {"state": models, "version_major": 2, "version_minor": 0}
    notebook["metadata"]["widgets"] = {"application/vnd.jupyter.widget-state+json": state}
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell["outputs"] = [{"output_type": "display_data", "metadata": {}, "data": data} for data in saved]
    return dict(notebook)


def surroundings(home: Path, **more: str) -> dict[str, str]:
    """The environment of a server that keeps away from whoever runs the tests."""
    return os.environ | {
        "PYTHONPATH": str(Path(probebook.__file__).resolve().parents[1]),
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTERLAB_SETTINGS_DIR": str(home / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
        **more,
    }


@contextmanager
def serving(command: list[str], environment: dict[str, str], log: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A server that prints its address; the address is there to be asked when this begins."""
    with (
        log.open("w") as errors,
        subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=errors, text=True) as server,
    ):
        try:
            assert server.stdout is not None
            found = re.search(r"http://\S+", server.stdout.readline())
            assert found, log.read_text()
            parts = urlsplit(found[0])
            wait_for(f"{parts.scheme}://{parts.netloc}/api", server)
            yield server, found[0]
        finally:
            if server.poll() is None:
                server.send_signal(signal.SIGINT)
                with suppress(subprocess.TimeoutExpired):
                    server.wait(30)
                server.kill()  # no more than a formality once it has stopped


def wait_for(address: str, server: subprocess.Popen[str]) -> None:
    """Return when the server answers."""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    pytest.fail("the server did not start")


def open_command(folder: Path, name: str) -> list[str]:
    """The command line of ``probebook open``."""
    root = ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return [
        sys.executable, "-m", "probebook", "open", name, "--lab", "--dir", str(folder), "--no-browser",
        "--port", "18888", *root,
    ]  # fmt: skip


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium."""
    with playwright_api.sync_playwright() as player:
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def desk(built: tuple[Path, str], browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """``probebook open`` on the folder; the extension lies in the data folder as well, as the wheel installs it."""
    folder, stem = built
    home = tmp_path_factory.mktemp("home")
    shutil.copytree(EXTENSION, home / "data" / "labextensions" / "probebook-lab")
    with serving(open_command(folder, PLAN), surroundings(home), home / "log") as (server, address):
        yield Desk(folder, stem, server, address, browser)


def is_saved(page: Any) -> bool:
    """No mark of unsaved changes on the tab."""
    return int(page.locator(".jp-mod-dirty").count()) == 0


def check(form: Any, text: str, wanted: str) -> None:
    """Answer a form and wait for the verdict."""
    form.locator("input").fill(text)
    form.get_by_role("button", name="Check").click()
    form.locator(".pb-verdict", has_text=wanted).wait_for(timeout=15_000)


@in_browser
def test_an_apprentice_opens_a_workbook_and_works(desk: Desk) -> None:
    """Forms come with no click, a slip and a right answer are told apart, and a reload brings both back."""
    assert urlsplit(desk.address).path == f"/doc/tree/{desk.stem}.ipynb"
    as_built = (desk.folder / f"{desk.stem}.ipynb").read_bytes()
    sheet = read_sheet(desk.folder.parent / "answer_keys" / f"{desk.stem}.json")
    first, second = sheet.questions[:2]
    slip, right = first.slips[0].response, second.fields[0].answer
    assert isinstance(slip, str)
    assert isinstance(right, str)

    started = time.perf_counter()
    page = desk.open(desk.stem)
    print(f"address to first form: {time.perf_counter() - started:.1f} s")
    page.locator(".pb-form").nth(len(sheet.questions) - 1).wait_for()
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0)

    # Nothing of the code is to be seen, nothing covers the forms, nothing asks for attention, the page is at its top.
    for clutter in (
        ".jp-Placeholder", ".jp-InputPrompt", ".jp-OutputPrompt", ".jp-OutputArea-promptOverlay", ".cm-editor",
        ".jp-NotebookPanel-toolbar", ".jp-FileBrowser", ".jp-SideBar", ".jp-Dialog", ".Toastify__toast",
    ):  # fmt: skip
        assert not [node for node in page.locator(clutter).all() if node.is_visible()], clutter
    playwright_api.expect(page.get_by_role("heading", level=1)).to_be_in_viewport()

    check(page.locator(".pb-form").nth(0), slip, "known slip")
    check(page.locator(".pb-form").nth(1), right, "Right")
    assert is_saved(page)
    page.reload()
    page.wait_for_selector(".pb-verdict", timeout=60_000)
    playwright_api.expect(page.locator(".pb-verdict", has_text="From your saved answers")).to_have_count(2)
    playwright_api.expect(page.locator(".pb-form input").nth(0)).to_have_value(slip)
    history = read_journal(desk.folder / f"{desk.stem}.answers.jsonl", origin=desk.stem)
    assert [str(entry.standing) for entry in history.entries] == ["slip", "right"]
    assert (desk.folder / f"{desk.stem}.ipynb").read_bytes() == as_built

    # In a box the keys are the box's: typing there neither cuts a cell (x) nor adds one (b).
    cells = page.locator(".jp-Cell")
    playwright_api.expect(cells).to_have_count(len(json.loads(as_built)["cells"]))  # it attaches them by and by
    page.locator(".pb-form").nth(2).get_by_role("button", name="Check").focus()
    page.keyboard.type("xbdd")
    page.wait_for_timeout(500)
    assert cells.count() == len(json.loads(as_built)["cells"])

    # The extension is there twice, packaged and installed, and loaded once.
    scripts = [url for url in desk.requests if "probebook.js" in url]
    assert len(scripts) == 2, scripts  # once a page load
    page.close()


@in_browser
def test_the_answers_outlive_the_kernel(desk: Desk) -> None:
    """When the kernel is killed, it comes back with the forms and the saved answers in them, with no click."""
    page = desk.open(desk.stem)
    check(page.locator(".pb-form").nth(2), "1 A", "Not right")
    kernels = [
        child
        for child in psutil.Process(desk.server.pid).children(recursive=True)
        if "ipykernel_launcher" in " ".join(child.cmdline())
    ]
    assert kernels
    page.evaluate("() => document.querySelectorAll('.pb-form').forEach((node) => node.classList.add('before'))")
    for kernel in kernels:
        kernel.kill()
    page.get_by_role("dialog", name="Kernel Restarting").get_by_role("button", name="Ok").click()
    page.wait_for_selector(".pb-form:not(.before) .pb-verdict", timeout=60_000)
    form = page.locator(".pb-form:not(.before)").nth(2)
    playwright_api.expect(form.locator("input")).to_have_value("1 A")
    check(form, "2 A", "Not right")
    page.close()


@in_browser
def test_a_draft_outlives_a_reload(desk: Desk) -> None:
    """What was typed and not checked stands there again when the page is loaded anew; it is no answer yet."""
    page = desk.open(desk.stem)
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)
    box = page.locator(".pb-form input").nth(1)
    box.fill("39.2")
    page.wait_for_timeout(1500)
    journal = desk.folder / f"{desk.stem}.answers.jsonl"
    before = journal.read_bytes() if journal.exists() else b""
    page.reload()
    page.wait_for_selector(".pb-form", timeout=60_000)
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)
    playwright_api.expect(page.locator(".pb-form input").nth(1)).to_have_value("39.2")
    assert (journal.read_bytes() if journal.exists() else b"") == before
    page.close()


def stop_kernels(desk: Desk) -> None:
    """End every session of the server."""
    parts = urlsplit(desk.address)
    with urllib.request.urlopen(f"http://{parts.netloc}/api/sessions?{parts.query}") as answer:
        sessions = json.load(answer)
    for session in sessions:
        address = f"http://{parts.netloc}/api/sessions/{session['id']}?{parts.query}"
        urllib.request.urlopen(urllib.request.Request(address, method="DELETE")).close()


@in_browser
def test_a_form_takes_few_messages(desk: Desk) -> None:
    """To make a question live takes one comm and at most one more message, for an answer that comes back."""
    stop_kernels(desk)  # models of a page before would be told of once more
    page = desk.browser.new_page()
    kinds: list[str] = []
    forms: list[bytes] = []

    def note(payload: str | bytes) -> None:
        data = payload if isinstance(payload, bytes) else payload.encode()
        forms.extend(re.findall(rb'"component": ?"form.js', data))
        kinds.extend(kind.decode() for kind in re.findall(rb'"msg_type": ?"(comm_\w+)"', data))

    def listen(channel: Any) -> None:
        channel.on("framereceived", note)
        channel.on("framesent", note)

    page.on("websocket", listen)
    page.goto(desk.address)
    page.wait_for_selector(".pb-form", timeout=60_000)
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)
    page.wait_for_timeout(1500)
    count = page.locator(".pb-form").count()
    print(f"{count} forms, told of {len(forms)} times; all messages of the page: {kinds}")
    assert len(forms) == count
    # at most one more for an answer that comes back; the rest is the page's own: progress, practice, the host's control
    assert len([kind for kind in kinds if kind == "comm_msg"]) <= count + 8
    kinds.clear()
    check(page.locator(".pb-form").nth(0), "1 W", "Not")
    page.wait_for_timeout(1000)
    print(f"a check: {kinds}")
    assert len([kind for kind in kinds if kind == "comm_msg"]) <= 8  # and what is only named as a cause
    page.close()


@in_browser
def test_a_page_whose_kernel_is_gone_says_so(desk: Desk) -> None:
    """When the kernel is shut down, the form says that nobody marks; the answer stays."""
    page = desk.open(desk.stem)
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)
    form = page.locator(".pb-form").nth(0)
    form.locator("input").fill("12 W")
    stop_kernels(desk)
    page.wait_for_timeout(1000)
    form.get_by_role("button", name="Check").click()
    playwright_api.expect(form.get_by_role("alert")).to_contain_text("is saved", timeout=15_000)
    playwright_api.expect(form.locator("input")).to_have_value("12 W")
    print(form.get_by_role("alert").inner_text())
    page.close()


@in_browser
@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm install in tests/browser_code")
def test_axe_finds_nothing_serious_of_ours(desk: Desk) -> None:
    """On a workbook in JupyterLab axe-core finds nothing serious or critical in what we draw."""
    page = desk.open(desk.stem)
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)
    page.locator(".pb-suits").click()
    playwright_api.expect(page.locator(".pb-practice [role=status] p").first).not_to_be_empty(timeout=30_000)
    check(page.locator(".pb-form").nth(1), "1 W", "Not")
    page.add_script_tag(content=AXE.read_text("utf-8"))
    found = page.evaluate("() => axe.run('.pb-line').then((found) => found.violations)")
    told = [(one["id"], one["impact"], [node["html"][:90] for node in one["nodes"]][:3]) for one in found]
    print(told)
    assert [one for one in told if one[1] in ("serious", "critical")] == []
    page.close()


def restart(page: Any, command: str) -> None:
    """Choose a command of the menu Kernel that restarts it, and say yes."""
    page.get_by_role("menuitem", name="Kernel", exact=True).click()
    page.locator(f'.lm-Menu-item[data-command="{command}"]').click()
    page.locator(".jp-Dialog button.jp-mod-accept").click()


@in_browser
def test_the_answers_outlive_a_restart(desk: Desk) -> None:
    """A kernel restarted from the menu gets its forms and answers back; where all cells are run too, they run once."""
    page = desk.open(desk.stem)
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)
    check(page.locator(".pb-form").nth(2), "3 A", "Not right")
    for command in ("kernelmenu:restart", "runmenu:restart-and-run-all"):
        page.evaluate("() => document.querySelectorAll('.pb-form').forEach((node) => node.classList.add('before'))")
        restart(page, command)
        page.wait_for_selector(".pb-form:not(.before) .pb-verdict", timeout=60_000)
        playwright_api.expect(page.locator(".pb-form:not(.before) input").nth(2)).to_have_value("3 A")
        page.wait_for_timeout(2000)
        prompts = page.locator(".jp-CodeCell .jp-InputArea-prompt").all_text_contents()
        assert prompts == [f"[{number}]:" for number in range(1, len(prompts) + 1)], command
    assert page.locator(".pb-form.before").count() == 0
    page.close()


@in_browser
def test_scripts_in_saved_outputs_do_not_run(desk: Desk) -> None:
    """A notebook of our lines alone is run, and no script of what was saved with it: not before, not when run again."""
    page = desk.open("scripted")
    playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)
    page.locator(".pb-form").nth(2).wait_for()
    restart(page, "kernelmenu:restart")
    page.wait_for_timeout(3000)
    page.locator(".pb-form").nth(2).wait_for()
    page.mouse.wheel(0, 10_000)
    page.wait_for_timeout(1000)
    assert page.evaluate("() => [...new Set(window.ran)]") == []
    playwright_api.expect(page.locator(".jp-OutputArea-output", has_text="widget")).to_have_count(0)
    page.close()


@in_browser
def test_code_from_elsewhere_does_not_run(desk: Desk) -> None:
    """One cell that is not ours: nothing runs, the reader is told, and that cell is not hidden away."""
    page = desk.open("altered", waits=".pb-note-above")
    assert "not started by itself" in page.locator(".pb-note-above").inner_text()
    page.wait_for_selector('.jp-Notebook-ExecutionIndicator[data-status="idle"]', state="attached", timeout=60_000)
    page.wait_for_timeout(1500)
    assert page.locator(".pb-form").count() == 0
    assert not (desk.folder / "trace-altered").exists()
    playwright_api.expect(page.locator(".jp-CodeCell:not(.pb-line) .jp-Placeholder")).to_be_visible()
    page.close()


@in_browser
def test_the_layout_of_the_user_stays(desk: Desk) -> None:
    """The side bars that a workbook does without are there again beside another notebook."""
    page = desk.open(desk.stem)
    playwright_api.expect(page.locator(".jp-SideBar.jp-mod-left")).to_be_hidden()
    page.wait_for_timeout(1500)  # JupyterLab writes its layout down a second after a change
    page.close()
    page = desk.open("own", waits=".jp-CodeCell")
    playwright_api.expect(page.locator(".jp-SideBar.jp-mod-left")).to_be_visible()
    page.close()


@in_browser
def test_other_notebooks_are_left_alone(desk: Desk) -> None:
    """A notebook without our mark is neither run nor dressed."""
    page = desk.open("own", waits=".jp-CodeCell")
    page.wait_for_selector('.jp-Notebook-ExecutionIndicator[data-status="idle"]', timeout=60_000)
    page.wait_for_timeout(1500)
    assert page.locator(".pb-workbook, .pb-line, .pb-note-above, .pb-form").count() == 0
    assert not (desk.folder / "trace-own").exists()
    assert page.locator(".jp-NotebookPanel-toolbar").is_visible()
    assert page.locator(".jp-CodeCell .jp-InputPrompt").first.is_visible()
    page.close()


@in_browser
def test_modules_beside_the_notebook_are_not_imported(desk: Desk) -> None:
    """A workbook among files named like the modules that it and its kernel need runs with the installed ones."""
    page = desk.open(f"stranger/{desk.stem}")
    assert not (desk.folder / "stranger" / "trace-import").exists()
    page.close()


@in_browser
def test_a_workbook_prints_as_it_stands(desk: Desk) -> None:
    """The print command prints this page: all its forms, no menus, over as many sheets as it needs."""
    page = desk.open(desk.stem)
    page.evaluate("() => { window.print = () => { window.wasPrinted = true; }; }")
    page.get_by_role("heading", level=1).click()
    page.keyboard.press("Control+p")
    page.wait_for_function("() => window.wasPrinted === true", timeout=10_000)
    page.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    assert not page.locator("#jp-top-panel").is_visible()
    assert not page.get_by_role("button", name="Check").first.is_visible()
    assert page.locator(".pb-form").last.is_visible()
    assert page.evaluate("() => document.documentElement.scrollHeight") > 1200
    page.emulate_media(media="screen")
    page.evaluate("() => window.dispatchEvent(new Event('afterprint'))")
    assert page.locator("#jp-top-panel").is_visible()
    assert not [url for url in desk.requests if "/nbconvert/html" in url]
    page.close()


@in_browser
def test_no_request_leaves_the_machine(desk: Desk) -> None:
    """Whatever the windows above asked for came from this machine, and nobody was asked for news or updates."""
    page = desk.open(desk.stem)
    page.close()
    urls = [urlsplit(url) for url in desk.requests]
    assert {url.hostname for url in urls if url.scheme in ("http", "https", "ws", "wss")} == {"localhost"}
    assert {url.scheme for url in urls} <= {"http", "ws", "data", "blob", "x"}  # x: the picture of a stranger's text
    assert not [url.path for url in urls if "/lab/api/news" in url.path or "/lab/api/update" in url.path]


@in_browser
def test_an_ordinary_jupyterlab_runs_it_too(
    built: tuple[Path, str], browser: Any, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """With the files where the wheel puts them, a JupyterLab started as ever runs the workbook on opening."""
    folder, stem = built
    home = tmp_path_factory.mktemp("ordinary")
    shutil.copytree(EXTENSION, home / "data" / "labextensions" / "probebook-lab")
    start = (
        "import sys; from jupyterlab.labapp import LabApp; server = LabApp.initialize_server(argv=sys.argv[1:]);"
        "print(f'http://localhost:{server.port}/?token=t', flush=True); server.start()"
    )
    command = [
        sys.executable, "-c", start, "--no-browser", "--allow-root", "--port=18980", "--IdentityProvider.token=t",
        "--ServerApp.answer_yes=True", f"--ServerApp.root_dir={folder}",
    ]  # fmt: skip
    with serving(command, surroundings(home), home / "log") as (server, address):
        page = Desk(folder, stem, server, address, browser).open(stem)
        page.close()


@in_browser
def test_ctrl_c_stops_everything(built: tuple[Path, str], browser: Any, tmp_path: Path) -> None:
    """After Ctrl-C the command ends with 0 and without a traceback, and no kernel is left behind."""
    folder, stem = built
    with serving(open_command(folder, PLAN), surroundings(tmp_path), tmp_path / "log") as (server, address):
        page = Desk(folder, stem, server, address, browser).open(stem)
        playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=30_000)  # every cell has run
        page.close()
        children = psutil.Process(server.pid).children(recursive=True)
        assert children
        server.send_signal(signal.SIGINT)
        assert server.wait(30) == 0
        assert server.stdout is not None
        assert server.stdout.read().endswith("Stopped.\n")
        assert psutil.wait_procs(children, timeout=10)[1] == []
    log = (tmp_path / "log").read_text()
    assert log == ""


def test_a_workbook_is_found_by_part_of_its_name(tmp_path: Path) -> None:
    """A part, a whole name or a path names a workbook; none or several are one sentence with the choice."""
    with pytest.raises(UsageError, match="probebook build"):
        find_workbook("meter", tmp_path)
    for stem in ("01-meter", "01-meter-and-leads", "02-ohms"):
        (tmp_path / f"{stem}.ipynb").touch()
    assert find_workbook("ohms", tmp_path) == tmp_path / "02-ohms.ipynb"
    assert find_workbook("01-meter", tmp_path) == tmp_path / "01-meter.ipynb"
    assert find_workbook("some/where/02-ohms.ipynb", tmp_path) == tmp_path / "02-ohms.ipynb"
    assert find_workbook(None, tmp_path) is None
    with pytest.raises(UsageError, match=r"2 workbooks; choose one of 01-meter, 01-meter-and-leads\."):
        find_workbook("meter", tmp_path)
    with pytest.raises(UsageError, match="no workbook"):
        find_workbook("kettle", tmp_path)


def test_the_address_holds_any_name(tmp_path: Path) -> None:
    """A name with spaces or letters beyond ASCII is written into the address as RFC 3986 asks."""
    options = server_options(tmp_path / "für dich #1.ipynb", tmp_path, 8888, lab=True)
    assert "--LabApp.default_url=/doc/tree/f%C3%BCr%20dich%20%231.ipynb" in options
    options = server_options(tmp_path / "für dich #1.ipynb", tmp_path, 8888)
    assert "--LabApp.default_url=/probebook/workbook/f%C3%BCr%20dich%20%231" in options
    assert "--LabApp.default_url=/probebook/" in server_options(None, tmp_path, 8888)


def test_the_extension_is_what_its_files_say() -> None:
    """Version, file names and the wheel's folder agree, and the script's address changes with the script.

    A browser keeps what has a ``v`` in its address for years; the modules beside it have none and are asked for anew.
    """
    package = json.loads((EXTENSION / "package.json").read_text("utf-8"))
    assert package["version"] == probebook.__version__
    load = urlsplit(package["jupyterlab"]["_build"]["load"])
    assert load.query == f"v={sha256((EXTENSION / load.path).read_bytes()).hexdigest()[:12]}"
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    shared = project["tool"]["hatch"]["build"]["targets"]["wheel"]["shared-data"]
    source = ROOT / next(key for key, value in shared.items() if value.endswith("/probebook-lab"))
    # the package under test may be the installed one
    within = EXTENSION.relative_to(Path(probebook.__file__).parent)
    assert source.relative_to(ROOT / "src" / "probebook") == within
