from __future__ import annotations

import pytest
from lab_desk import Desk, browser, built, desk, in_browser, restart, stays_here

playwright_api = pytest.importorskip("playwright.sync_api")

__all__ = ["browser", "built", "desk"]  # fixtures


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
def test_modules_beside_the_notebook_are_not_imported(desk: Desk) -> None:
    """A workbook among files named like the modules that it and its kernel need runs with the installed ones."""
    page = desk.open(f"stranger/{desk.stem}")
    assert not (desk.folder / "stranger" / "trace-import").exists()
    page.close()


@in_browser
def test_no_request_of_theirs_leaves_the_machine(desk: Desk) -> None:
    """Whatever the windows above asked for came from this machine, and nobody was asked for news or updates."""
    desk.open(desk.stem).close()
    stays_here(desk)
