from __future__ import annotations

import json
import re
import signal
import time
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from lab_desk import (
    AXE,
    PLAN,
    Desk,
    browser,
    built,
    check,
    desk,
    in_browser,
    is_saved,
    open_command,
    restart,
    serving,
    stays_here,
    stop_kernels,
    surroundings,
)

from probebook.questions.codec import read_sheet
from probebook.workbook.journal import read_journal

playwright_api = pytest.importorskip("playwright.sync_api")
psutil = pytest.importorskip("psutil")

__all__ = ["browser", "built", "desk"]  # fixtures


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
    desk.open(desk.stem).close()
    stays_here(desk)


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
