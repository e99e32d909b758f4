from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from chromium import CHROMIUM, FLAGS

import probebook
from probebook.questions.codec import marking_sheet
from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Slip
from probebook.workbook.journal import read_journal

playwright_api = pytest.importorskip("playwright.sync_api")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]

# Invented: the demonstration oven of the Alderbrook training kitchen, 1150 W at 230 V, so 230²/1150 = 46 Ω.
LONG = (
    "Leave it isolated, dry the element with its supply still locked off, and measure its insulation again before "
    "anybody thinks of connecting it to the supply"
)
QUESTIONS = (
    Question(
        "q01", Kind.POWER, "ohms and watts", 1, "The base element", "p",
        (Field("ohms", FieldKind.QUANTITY, "Resistance of the element", 2.0, "46 ohm", "ohm", band=Band(45.0, 47.0)),),
        (Slip("amps-for-ohms", "ohms", "5 ohm", "1150 W ÷ 230 V gives **amps**, not ohms.", band=Band(4.9, 5.1)),),
        "Power is V²/R, so R = V²/P = 230² / 1150 = **46 Ω**.", "1. 230 × 230 = 52 900\n2. 52 900 / 1150 = 46",
    ),
    Question(
        "q02", Kind.STOP_OR_GO, "know when to stop", 1, "Go on?", "p",
        (
            Field(
                "verdict", FieldKind.CHOICE, "What do you do next?", 2.0, "stop",
                options=(
                    Option("dry", "Switch it on for an hour and hope that the heat drives the damp out"),
                    Option("stop", LONG, "A damp element recovers; a damaged one does not."),
                    Option("note", "Note it down"),
                ),
            ),
            Field(
                "ticks", FieldKind.CHOICES, "Live parts with the selector at grill", 2.0, ["grill", "lamp"],
                options=(
                    Option("base", "Base element"),
                    Option("grill", f"Grill element. {LONG}"),
                    Option("lamp", "Lamp"),
                ),
            ),
        ),
        (Slip("live-damp", "verdict", "dry", "A case that leaks is never made live.", critical=True),),
        "It stays off until it measures well.",
    ),
    Question(
        "q03", Kind.ORDER, "isolate and prove dead", 1, "Before the cover", "p",
        (
            Field(
                "steps", FieldKind.ORDER, "Steps", 2.0, ["off", "lock", "prove"],
                options=(
                    Option("lock", "Lock it off and hang up the tag with your name"),
                    Option("off", "Switch off at the isolator"),
                    Option("prove", "Prove the tester, test between all conductors, then prove the tester again"),
                ),
                before=(("off", "lock"), ("lock", "prove")),
            ),
        ),
        (),
        "Off, lock, prove.",
    ),
)  # fmt: skip
CELLS = (
    'from probebook.workbook import open_workbook; book = open_workbook("demo")',
    'book.ask("q01")',
    'book.ask("q02")',
    'book.ask("q03")',
    "book.progress()",
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one notebook and its answer key."""
    (tmp_path / "demo.json").write_text(marking_sheet(QUESTIONS, {"title": "Demonstration oven"}), encoding="utf-8")
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(source, id=f"c{number}") for number, source in enumerate(CELLS)]
    )
    notebook.metadata.kernelspec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(notebook, tmp_path / "demo.ipynb")
    return tmp_path


@pytest.fixture
def lab(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a JupyterLab that serves the folder."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    home = tmp_path_factory.mktemp("home")
    settings = home / "config" / "lab" / "user-settings" / "@jupyterlab" / "apputils-extension"
    settings.mkdir(parents=True)
    (settings / "notification.jupyterlab-settings").write_text(
        json.dumps({"fetchNews": "false", "checkForUpdates": False})
    )
    theme = {"theme": os.environ.get("PROBEBOOK_THEME", "JupyterLab Light")}
    (settings / "themes.jupyterlab-settings").write_text(json.dumps(theme))
    environment = os.environ | {
        "PYTHONPATH": str(Path(probebook.__file__).resolve().parents[1]),
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_RUNTIME_DIR": str(home / "runtime"),
        "JUPYTERLAB_SETTINGS_DIR": str(home / "config" / "lab" / "user-settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
    }
    command = [
        sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root", f"--port={port}", "--ip=127.0.0.1",
        "--ServerApp.port_retries=0", "--IdentityProvider.token=", f"--ServerApp.root_dir={folder}",
        "--LabApp.expose_app_in_browser=True",
    ]  # fmt: skip
    with (home / "log").open("wb") as log, subprocess.Popen(command, env=environment, stdout=log, stderr=log) as server:
        try:
            _wait_for(f"http://127.0.0.1:{port}/api", server)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(20)


def _wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)
    pytest.fail("JupyterLab did not start")


@pytest.fixture
def page(lab: str) -> Iterator[Any]:
    """The notebook opened in a browser."""
    with playwright_api.sync_playwright() as player:
        browser = player.chromium.launch(
            executable_path=str(CHROMIUM),
            args=list(FLAGS),
        )
        page = browser.new_page(viewport={"width": 1000, "height": 1500})
        page.set_default_timeout(20_000)
        page.goto(f"{lab}/doc/tree/demo.ipynb", wait_until="domcontentloaded")
        yield page
        browser.close()


def run_all(page: Any) -> None:
    """Wait for the kernel, run every cell and wait for the last output."""
    page.wait_for_function(
        "() => window.jupyterapp?.shell?.currentWidget?.sessionContext?.session?.kernel?.status === 'idle'",
        timeout=60_000,
    )
    page.evaluate("() => { jupyterapp.commands.execute('notebook:run-all-cells'); }")
    page.wait_for_selector(".pb-table", timeout=60_000)


def restart(page: Any) -> None:
    """A new kernel, and every output cleared away."""
    page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    page.evaluate("() => { jupyterapp.commands.execute('notebook:clear-all-cell-outputs'); }")
    page.wait_for_selector(".pb-form", state="detached")


def check(page: Any, number: int, wanted: str) -> str:
    """Press the button of a form and give back its verdict, which must hold the wanted words."""
    form = page.locator(".pb-form").nth(number)
    form.get_by_role("button", name="Check").click()
    verdict = form.locator(".pb-verdict", has_text=wanted)
    verdict.wait_for(timeout=15_000)
    return str(verdict.inner_text())


def shot(page: Any, name: str) -> None:
    """Keep a picture where PROBEBOOK_SHOTS names a folder, for a person to look at."""
    if folder := os.environ.get("PROBEBOOK_SHOTS"):
        page.screenshot(path=str(Path(folder) / f"{name}.png"))


def test_a_workbook_fits_a_telephone(page: Any) -> None:
    """At 390 pixels nothing of a form runs over its edge, and every button is at least 24 pixels high and wide.

    24 by 24 CSS pixels: Web Content Accessibility Guidelines 2.2, success criterion 2.5.8.
    """
    run_all(page)
    page.set_viewport_size({"width": 390, "height": 1400})
    page.locator(".pb-form").first.scroll_into_view_if_needed()
    page.wait_for_timeout(500)
    shot(page, "telephone")
    for form in page.locator(".pb-form").all():
        assert form.evaluate("node => node.scrollWidth <= node.clientWidth + 1")
        for target in form.locator("button:visible, label:has(input)").all():
            box = target.bounding_box()
            assert box is not None
            assert box["height"] >= 24, target.inner_text()
            assert box["width"] >= 24, target.inner_text()


def test_a_learner_answers_in_a_browser_and_finds_it_again(page: Any, folder: Path) -> None:
    """In JupyterLab: rubbish, a slip and a right answer are told apart; a new kernel brings every answer back."""
    run_all(page)
    box = page.get_by_label("Resistance of the element")
    box.fill("12 parsec")
    assert "no attempt is used up" in check(page, 0, "cannot be read")
    box.fill("5 ohm")
    assert "gives amps, not ohms" in check(page, 0, "known slip")
    shot(page, "slip")
    box.fill("0,046 kΩ")
    check(page, 0, "✔ Right")

    # The whole line of a choice is its target, and the texts are all there to read.
    second = page.locator(".pb-form").nth(1)
    second.get_by_text(LONG, exact=True).click()
    second.get_by_label("Lamp").check()
    second.get_by_label("Base element").check()
    check(page, 1, "1 of 2 parts")
    for text in page.locator(".pb-form label, .pb-form button:visible").all():
        assert text.evaluate("node => node.scrollWidth <= node.clientWidth + 1"), text.inner_text()

    # Every button of a step says in words which step it moves.
    for button in page.locator(".pb-step button").all():
        assert "Move " in (button.get_attribute("aria-label") or ""), button.inner_text()

    # By keyboard alone: the second step goes up, and the focus goes along with it.
    third = page.locator(".pb-form").nth(2)
    third.locator(".pb-step").nth(1).get_by_role("button").first.focus()
    page.keyboard.press("Enter")
    playwright_api.expect(third.locator(".pb-step").first).to_contain_text("Switch off at the isolator")
    playwright_api.expect(third.locator(".pb-step").first.get_by_role("button").first).to_be_focused()
    check(page, 2, "✔ Right")
    playwright_api.expect(page.locator(".pb-table")).to_contain_text("4 of 8")
    shot(page, "answered")

    restart(page)
    run_all(page)
    playwright_api.expect(page.locator(".pb-verdict", has_text="From your saved answers")).to_have_count(3)
    playwright_api.expect(page.get_by_label("Resistance of the element")).to_have_value("0,046 kΩ")
    assert page.locator(".pb-form").nth(1).get_by_label(LONG, exact=True).is_checked()
    assert page.locator(".pb-form").nth(1).get_by_label("Lamp").is_checked()
    playwright_api.expect(page.locator(".pb-step").first).to_contain_text("Switch off at the isolator")
    shot(page, "restored")
    history = read_journal(folder / "demo.answers.jsonl", origin="demo")
    assert [str(entry.standing) for entry in history.of("q01")] == ["unreadable", "slip", "right"]
    assert history.problems == ()
