"""Workbooks in JupyterLab as ``probebook open --lab`` serves them: a short workbook, a server, a browser, a window."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from chromium import CHROMIUM, FLAGS

import probebook
from probebook.cases.library import library
from probebook.cli.open import LAB
from probebook.workbook.build.files import build_all
from probebook.workbook.build.plan import load_plan

playwright_api = pytest.importorskip("playwright.sync_api")

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
    place: str = "doc/tree"  # where the host shows a notebook

    def open(self, name: str, *, waits: str = ".pb-form") -> Any:
        """A new window with the notebook ``name``; returns when ``waits`` is there to be seen."""
        page = self.browser.new_page(viewport={"width": 1280, "height": 900})
        page.on("request", lambda request: self.requests.append(request.url))
        token = urlsplit(self.address).query
        page.goto(f"http://{urlsplit(self.address).netloc}/{self.place}/{name}.ipynb?{token}")
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


def open_command(folder: Path, name: str, port: int = 18888) -> list[str]:
    """The command line of ``probebook open``."""
    root = ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return [
        sys.executable, "-m", "probebook", "open", name, "--lab", "--dir", str(folder), "--no-browser",
        "--port", str(port), *root,
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


def stays_here(desk: Desk) -> None:
    """Hold a desk's requests against the rule: nothing off this machine, and nobody asked for news or updates."""
    urls = [urlsplit(url) for url in desk.requests]
    assert {url.hostname for url in urls if url.scheme in ("http", "https", "ws", "wss")} == {"localhost"}
    assert {url.scheme for url in urls} <= {"http", "ws", "data", "blob", "x"}  # x: the picture of a stranger's text
    assert not [url.path for url in urls if "/lab/api/news" in url.path or "/lab/api/update" in url.path]


def is_saved(page: Any) -> bool:
    """No mark of unsaved changes on the tab."""
    return int(page.locator(".jp-mod-dirty").count()) == 0


def check(form: Any, text: str, wanted: str) -> None:
    """Answer a form and wait for the verdict."""
    form.locator("input").fill(text)
    form.get_by_role("button", name="Check").click()
    form.locator(".pb-verdict", has_text=wanted).wait_for(timeout=15_000)


def stop_kernels(desk: Desk) -> None:
    """End every session of the server."""
    parts = urlsplit(desk.address)
    with urllib.request.urlopen(f"http://{parts.netloc}/api/sessions?{parts.query}") as answer:
        sessions = json.load(answer)
    for session in sessions:
        address = f"http://{parts.netloc}/api/sessions/{session['id']}?{parts.query}"
        urllib.request.urlopen(urllib.request.Request(address, method="DELETE")).close()


def restart(page: Any, command: str) -> None:
    """Choose a command of the menu Kernel that restarts it, and say yes."""
    page.get_by_role("menuitem", name="Kernel", exact=True).click()
    page.locator(f'.lm-Menu-item[data-command="{command}"]').click()
    page.locator(".jp-Dialog button.jp-mod-accept").click()
