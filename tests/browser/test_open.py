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
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

import probebook
from probebook.cases.library import library
from probebook.cli.open import LAB, find_workbook, server_options
from probebook.errors import UsageError
from probebook.questions.codec import read_sheet
from probebook.workbook.building import build_all
from probebook.workbook.journal import read_journal
from probebook.workbook.plan import load_plan

playwright_api = pytest.importorskip("playwright.sync_api")
psutil = pytest.importorskip("psutil")

ROOT = Path(__file__).resolve().parents[2]
EXTENSION = LAB / "labextensions" / "probebook-lab"
CHROMIUM = Path("/usr/bin/chromium")
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
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

    # A workbook whole to the letter, in a folder where modules lie in wait for its imports.
    stranger = folder / "stranger"
    stranger.mkdir()
    shutil.copy(folder / f"{stem}.ipynb", stranger)
    shutil.copy(root / "answer_keys" / f"{stem}.json", stranger)
    for module in ("probebook", "ipywidgets", "click"):
        (stranger / f"{module}.py").write_text("open('trace-import', 'w').close()\n", encoding="utf-8")
    return folder, stem


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
                server.wait(30)


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
        sys.executable, "-m", "probebook", "open", name, "--dir", str(folder), "--no-browser", "--port", "18888", *root,
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
    cells = page.locator(".jp-Cell").count()
    page.locator(".pb-form").nth(2).get_by_role("button", name="Check").focus()
    page.keyboard.type("xbdd")
    assert page.locator(".jp-Cell").count() == cells

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
    """A workbook that lies among files named like the modules it needs runs with the installed ones."""
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
    assert {url.hostname for url in urls if url.scheme not in ("data", "blob")} == {"localhost"}
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


@pytest.fixture(scope="module")
def blank(browser: Any) -> Iterator[Any]:
    """An empty page with the extension's ``judge`` in it."""
    page = browser.new_page()
    page.add_script_tag(content=(EXTENSION / "static" / "probebook.js").read_text("utf-8"))
    page.evaluate(
        """async () => {
          const module = { 1: { loaded: 1, get: async () => () => ({}) } };
          const container = window._JUPYTERLAB["probebook-lab"];
          const names = ["notebook", "cells", "apputils"].map((name) => `@jupyterlab/${name}`);
          container.init(Object.fromEntries(names.map((name) => [name, module])));
          window.judge = (await container.get("./extension"))().judge;
        }"""
    )
    yield page
    page.close()


def judged(page: Any, mark: object, lines: list[str]) -> str:
    """What the extension makes of a notebook with this mark and these lines of code."""
    return str(page.evaluate("([mark, lines]) => window.judge(mark, lines)", [mark, lines]))


@in_browser
def test_every_workbook_we_build_may_run(blank: Any, tmp_path: Path) -> None:
    """The lines the builder writes are those the extension lets through, in every workbook."""
    texts = {name: text for name, text in workbook_files(tmp_path)[1].items() if name.endswith(".ipynb")}
    texts |= {path.name: path.read_text("utf-8") for path in (ROOT / "workbooks").glob("*.ipynb")}
    for name, text in texts.items():
        data = json.loads(text)
        lines = ["".join(cell["source"]) for cell in data["cells"] if cell["cell_type"] == "code"]
        assert judged(blank, data["metadata"]["probebook"], lines) == "ours", name


OPENING = 'from probebook.workbook import open_workbook; book = open_workbook("a")'


@in_browser
@pytest.mark.parametrize(
    ("mark", "lines", "verdict"),
    [
        ({"workbook": "a"}, [OPENING, 'book.ask("q01")', "book.progress()", "book.practice()"], "ours"),
        (None, [OPENING], "other"),
        ({}, [OPENING], "other"),
        ({"workbook": ["a"]}, [OPENING], "other"),
        ({"workbook": "a"}, [], "altered"),
        ({"workbook": "b"}, [OPENING], "altered"),
        ({"workbook": "../a"}, [OPENING.replace('"a"', '"../a"')], "altered"),
        ({"workbook": "a"}, ['book.ask("q01")', OPENING], "altered"),
        ({"workbook": "a"}, [OPENING, "print(1)"], "altered"),
        ({"workbook": "a"}, [OPENING, ""], "altered"),
        ({"workbook": "a"}, [OPENING + "\nprint(1)"], "altered"),
        ({"workbook": "a"}, [OPENING + "\n"], "altered"),
        ({"workbook": "a"}, ["%pip install a\n" + OPENING], "altered"),
        ({"workbook": "a"}, [OPENING.replace('"a"', '"a"); print("a"')], "altered"),
        ({"workbook": "a"}, [OPENING, 'book.ask("q01"); print(1)'], "altered"),
        ({"workbook": "a"}, [OPENING, 'book.ask("q01", bench=print(1))'], "altered"),
        ({"workbook": "a"}, [OPENING, 'book.ask("q01" + str(print(1)) + "")'], "altered"),
        ({"workbook": "a"}, [OPENING, "book.ask(f\"{print(1)}\")"], "altered"),
        ({"workbook": "a"}, [OPENING, "book.progress()\rprint(1)"], "altered"),
        ({"workbook": "a"}, [OPENING, "book.progress()\u2028print(1)"], "altered"),
        ({"workbook": "a"}, [OPENING, "book.progress() "], "altered"),
        ({"workbook": "a"}, [OPENING, "book.practice(print(1))"], "altered"),
        ({"workbook": "a"}, [OPENING, "book.form('q01')"], "altered"),
    ],
)  # fmt: skip
def test_only_our_own_lines_may_run(blank: Any, mark: object, lines: list[str], verdict: str) -> None:
    """A line that is longer, shorter, elsewhere or otherwise than we write it keeps the notebook from running."""
    assert judged(blank, mark, lines) == verdict


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
    options = server_options(tmp_path / "für dich #1.ipynb", tmp_path, 8888)
    assert "--LabApp.default_url=/doc/tree/f%C3%BCr%20dich%20%231.ipynb" in options


def test_the_extension_is_what_its_files_say() -> None:
    """Version, file names and the wheel's folder agree, so that JupyterLab finds the script and no stale copy of it."""
    package = json.loads((EXTENSION / "package.json").read_text("utf-8"))
    assert package["version"] == probebook.__version__
    load = urlsplit(package["jupyterlab"]["_build"]["load"])
    assert load.query == f"v={probebook.__version__}"
    assert (EXTENSION / load.path).is_file()
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    shared = project["tool"]["hatch"]["build"]["targets"]["wheel"]["shared-data"]
    source = ROOT / next(key for key, value in shared.items() if value.endswith("/probebook-lab"))
    # the package under test may be the installed one
    within = EXTENSION.relative_to(Path(probebook.__file__).parent)
    assert source.relative_to(ROOT / "src" / "probebook") == within
